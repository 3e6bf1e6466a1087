"""Rows of a tee sheet: written from a draw, and copied from one sheet to the next."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db.models import Max

from events.course.queries import LayoutFacts
from events.draw.candidates import Candidate
from events.draw.models import Group, Pool, Seat, Sheet
from events.draw.ordering import by_score
from events.draw.placing import Placed
from events.log.services import Actor
from events.setup.models import Round


def inputs_of(
    pools: Sequence[Pool],
    members: Mapping[int, Sequence[Candidate]],
    method: Sheet.Method,
    *,
    only_checked_in: bool,
    out: Mapping[int, str],
) -> dict[str, Any]:
    """What the draw rests on, kept with the sheet so that anybody can repeat it (`working.py`)."""
    lines = [by_score(each) if method is Sheet.Method.SCORE_ALL else each for each in members.values()]
    players = [
        [person.key, pool.label, person.division, person.rating, person.member_number, person.totals]
        for pool, line in zip(pools, lines, strict=True)
        for person in line
    ]
    facts: dict[str, Any] = {"only_checked_in": only_checked_in, "players": players}
    return facts | ({"out": sorted(out)} if out else {})


def write_draft(
    *,
    round: Round,
    method: Sheet.Method,
    seed: str,
    notes: list[str],
    inputs: dict[str, Any],
    placed: Sequence[Placed],
    layouts: Mapping[int, LayoutFacts],
    actor: Actor,
    now: datetime,
) -> Sheet:
    """The drawn groups as the round's draft; an earlier draft goes."""
    Sheet.objects.filter(round=round, state=Sheet.State.DRAFT).delete()
    starts: dict[tuple[int | None, int], int] = {
        (hole.layout, hole.position): hole.id for facts in layouts.values() for hole in facts.holes
    }
    sheet = Sheet.objects.create(
        round=round,
        version=next_version(round),
        method=method,
        seed=seed,
        notes=notes,
        inputs=inputs,
        made_at=now,
        made_by=actor.name,
    )
    groups = Group.objects.bulk_create(
        Group(
            sheet=sheet,
            number=number,
            pool=one.pool,
            layout_id=one.layout_id,
            start_id=starts[one.start.layout, one.start.position],
            starts_at=one.starts_at,
            second=one.start.second,
            how=one.drawn.reason[:300],
        )
        for number, one in enumerate(placed, start=1)
    )
    Seat.objects.bulk_create(
        Seat(sheet=sheet, group=group, entry_id=member.key, order=order)
        for group, one in zip(groups, placed, strict=True)
        for order, member in enumerate(one.drawn.members, start=1)
    )
    return sheet


def next_version(round: Round) -> int:
    """The number of the round's next sheet (1 query)."""
    return (Sheet.objects.filter(round=round).aggregate(last=Max("version"))["last"] or 0) + 1


def copy_groups(published: Sheet, draft: Sheet) -> None:
    """Groups and seats of a sheet, once more for another (4 queries)."""
    groups = list(published.groups.order_by("number"))
    copies = {group.pk: group for group in groups}
    for group in groups:
        group.pk, group.sheet = None, draft  # without its key a group is a new one
    Group.objects.bulk_create(groups)
    Seat.objects.bulk_create(
        Seat(sheet=draft, group=copies[seat.group_id], entry_id=seat.entry_id, order=seat.order)
        for seat in published.seats.all()
    )
