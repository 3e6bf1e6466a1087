"""Small worlds for tests of cards: a published tee sheet without a draw, and lines to hand in."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any
from uuid import uuid4

import build
from events.course.models import Layout
from events.draw.models import Group, Pool, Seat, Sheet
from events.entries.models import Entry
from events.setup.models import Event, Round, StartType
from scoring.cards.checking import LineIn
from scoring.cards.models import CardVersion
from scoring.cards.services import Saved, save_card

NAMES = [
    ("Ludvik", "Moravec"), ("Hale", "Oyelaran"), ("Dov", "Pennock"), ("Niko", "Eskola"),
    ("Mira", "Tindall"), ("Sefa", "Varga"), ("Asta", "Stroud"), ("Ivo", "Quist"),
    ("Runa", "Halloran"), ("Tam", "Brekke"), ("Lio", "Cardew"), ("Oda", "Fenwick"),
]  # fmt: skip


def make_field(event: Event, count: int, division: str = "MA1") -> list[Entry]:
    """Entries of named people, in the order of NAMES."""
    return [
        build.make_entry(event, division, person=build.make_person(family, given))
        for given, family in NAMES[:count]
    ]


def publish(
    round: Round,
    groups: Sequence[Sequence[Entry]],
    *,
    layout: Layout | None = None,
    starts: Sequence[int] = (),
) -> Sheet:
    """A published sheet: group n starts on hole n, unless `starts` (positions from 1) says otherwise."""
    Sheet.objects.filter(round=round, state=Sheet.State.PUBLISHED).update(state=Sheet.State.SUPERSEDED)
    layout = layout or round.event.layouts.get(name="Upper")
    holes = list(layout.layout_holes.order_by("position"))
    pool, _ = Pool.objects.get_or_create(
        round=round,
        label="A",
        defaults={"start_type": StartType.SHOTGUN, "first_start_at": round.first_start_at},
    )
    sheet = Sheet.objects.create(
        round=round,
        version=round.sheets.count() + 1,
        state=Sheet.State.PUBLISHED,
        method=Sheet.Method.RANDOM,
        seed="1",
        made_at=build.NOW,
        made_by="Tester",
        published_at=build.NOW,
        published_by="Tester",
    )
    for number, members in enumerate(groups, start=1):
        start = holes[(starts[number - 1] if starts else number) - 1]
        group = Group.objects.create(
            sheet=sheet,
            number=number,
            pool=pool,
            layout=layout,
            start=start,
            starts_at=round.first_start_at + timedelta(0),
        )
        for order, entry in enumerate(members, start=1):
            Seat.objects.create(sheet=sheet, group=group, entry=entry, order=order)
    return sheet


def line(entry: Entry, throws: Sequence[int | None] | int | None = 3, **facts: Any) -> LineIn:
    """A line of 18 holes; one figure stands for all of them."""
    if throws is None or isinstance(throws, int):
        throws = [throws] * 18
    return LineIn(entry.pk, throws, **facts)


def save(round: Round, number: int, lines: Sequence[LineIn], base: int = 0, **facts: Any) -> Saved:
    facts.setdefault("submission", uuid4())
    facts.setdefault("source", CardVersion.Source.PAPER)
    facts.setdefault("actor", build.ACTOR)
    facts.setdefault("now", build.NOW)
    return save_card(round=round, group_number=number, lines=lines, base=base, **facts)
