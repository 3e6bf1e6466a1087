"""Writing the draw: drafts and publishing. Pools are saved in planning.py, changes by hand in editing.py."""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction

from events.course.models import Layout
from events.course.queries import layouts_of
from events.course.services import lock_layouts
from events.draw.above import Out
from events.draw.candidates import Candidate
from events.draw.changes import compare
from events.draw.checks import Severity
from events.draw.drafting import copy_groups, inputs_of, next_version, write_draft
from events.draw.drawn import Draw
from events.draw.field import Totals, candidates
from events.draw.marks import Mark, marks_of
from events.draw.models import Pool, Sheet
from events.draw.placing import DrawRefused, claim_round, draw_pool, place, refuse_when_over, split
from events.draw.queries import (
    draft_of,
    lines_of,
    pools_of,
    published_of,
    view_of,
)
from events.draw.ways import refusal
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from events.setup.queries import rulebook_for

__all__ = ["DrawRefused", "SheetStale", "ensure_pools", "make_draw", "publish", "reopen"]


class SheetStale(DrawRefused):
    """Somebody else changed the draft since the page was shown."""


@transaction.atomic
def ensure_pools(round: Round) -> list[Pool]:
    """The pools of a round in the order of play; one with every division where none was planned."""
    pools = pools_of(round)
    if pools:
        return pools
    pool = Pool.objects.create(
        round=round,
        label="A",
        start_type=round.start_type,
        first_start_at=round.first_start_at,
        interval_minutes=round.interval_minutes,
    )
    pool.divisions.set(round.event.divisions.filter(dropped_at__isnull=True))
    return [pool]


@transaction.atomic
def make_draw(
    *,
    round: Round,
    method: Sheet.Method,
    seed: str,
    actor: Actor,
    now: datetime,
    totals: Totals | None = None,
    only_checked_in: bool = False,
    out: Out = ({}, ()),
) -> Sheet:
    """Draw a round into a draft, which takes the place of an earlier draft.

    `totals`: entry id → throws of each earlier round, oldest first (None: no card), for drawing by score.
    `out`: who does not play on after a cut, entry id → why, and what is not decided yet, which the sheet notes.
    The same field and the same seed give the same draft. Raises DrawRefused.
    """
    round = claim_round(round)
    method = Sheet.Method(method)
    rulebook = rulebook_for(round.event)
    people = candidates(round, rulebook, totals=totals, only_checked_in=only_checked_in, out=out[0])
    _refuse_undrawable(people, method, refusal(method, round, rulebook), only_checked_in=only_checked_in)
    layouts = layouts_of(round.event)
    pools = ensure_pools(round)
    parts = split(pools, people, method)
    found = {
        pool.pk: draw_pool(pool, parts.members[index], method, seed, round, rulebook, layouts)
        for index, pool in enumerate(pools)
    }
    drawn = {pk: draw.groups for pk, draw in found.items()}
    notes = [*parts.notes, *out[1], *_not_on(out[0]), *_without_total(people, method)]
    placed = place(pools, drawn, layouts, best_last=method.by_score)
    inputs = inputs_of(pools, parts.members, method, only_checked_in=only_checked_in, out=out[0])
    sheet = write_draft(
        round=round,
        method=method,
        seed=seed,
        notes=[*notes, *_pool_notes(pools, found)],
        inputs=inputs,
        placed=placed,
        layouts=layouts,
        actor=actor,
        now=now,
    )
    record(
        chain=round.event.slug,
        action=Action.DRAW_MADE,
        subject=str(round),
        actor=actor,
        now=now,
        detail={
            "method": method.value,
            "seed": seed,
            "players": len(people),
            "groups": len(placed),
            "only_checked_in": only_checked_in,
        },
    )
    return sheet


def _pool_notes(pools: Sequence[Pool], found: Mapping[int, Draw]) -> list[str]:
    """What the draw of each pool says, under the pool's label where there are several."""
    several = len(pools) > 1
    return [
        f"Pool {pool.label}: {note}" if several else note for pool in pools for note in found[pool.pk].notes
    ]


def _not_on(out: Mapping[int, str]) -> list[str]:
    """ "12 missed the cut", in words for the sheet."""
    return [f"Not drawn: {count} {why}." for why, count in sorted(Counter(out.values()).items())]


def _without_total(people: Sequence[Candidate], method: Sheet.Method) -> list[str]:
    names = [f"{person.name} ({person.division})" for person in people if person.total is None]
    if not method.by_score or not names:
        return []
    last = "last of all" if method.across else "last of the division"
    return [f"Without a complete total, so {last}: {', '.join(names)}."]


def _refuse_undrawable(
    people: Sequence[Candidate], method: Sheet.Method, why_not: str, *, only_checked_in: bool
) -> None:
    if why_not:
        raise DrawRefused(why_not)
    if not people:
        who = "confirmed and checked in" if only_checked_in else "confirmed"
        raise DrawRefused(f"Nobody is there to be drawn: no entry is {who}.")
    without = sorted({person.division for person in people if person.layout is None})
    if without:
        raise DrawRefused(f"No layout is chosen in this round for {', '.join(without)}.")
    if method.by_score and not any(figure for person in people for figure in person.totals):
        raise DrawRefused("There are no scores yet to draw by.")


@transaction.atomic
def publish(
    *,
    sheet: Sheet,
    actor: Actor,
    now: datetime,
    reason: str = "",
    keep: str = "",
    revision: int | None = None,
) -> Sheet:
    """Freeze a draft as the round's tee sheet; the one before is kept as superseded.

    A later version needs a `reason`. What cannot be (a player twice, two layouts in a group) is refused. Where
    a rule says "must", the sheet goes out when each breach is kept with a reason; `keep` is the reason for all
    that have none yet. Raises DrawRefused, SheetStale.
    """
    sheet = claim_draft(sheet.pk, revision)
    view = view_of(sheet)
    marks = marks_of(view, rulebook_for(sheet.round.event))
    _refuse_open(marks, keep)
    before = published_of(sheet.round)
    if before is not None and not reason.strip():
        raise DrawRefused("A published sheet is changed: say why.")
    changes = [change.text for change in compare(lines_of(view_of(before)), lines_of(view))] if before else []
    if before is not None:
        before.state = Sheet.State.SUPERSEDED
        before.save(update_fields=["state"])
    kept = {mark.key: mark.reason or keep for mark in marks if mark.reason or mark.must}
    sheet.state, sheet.published_at, sheet.published_by = Sheet.State.PUBLISHED, now, actor.name
    sheet.reason, sheet.accepted, sheet.undo = reason, kept, []
    sheet.save(update_fields=["state", "published_at", "published_by", "reason", "accepted", "undo"])
    lock_layouts(layouts=list(Layout.objects.filter(groups__sheet=sheet).distinct()), now=now)
    record(
        chain=sheet.round.event.slug,
        action=Action.DRAW_PUBLISHED,
        subject=f"{sheet.round}, version {sheet.version}",
        actor=actor,
        now=now,
        detail={"groups": len(view.groups), "players": view.players, "changes": changes, "kept": kept},
        reason=reason,
    )
    return sheet


def _refuse_open(marks: Sequence[Mark], keep: str) -> None:
    impossible = [mark.breach.text for mark in marks if mark.breach.severity is Severity.IMPOSSIBLE]
    if impossible:
        raise DrawRefused(f"This cannot be: {' '.join(impossible)}")
    still_open = [mark.breach.text for mark in marks if mark.must and not mark.reason]
    if still_open and not keep.strip():
        raise DrawRefused(f"Mend this, or say why it is kept: {' '.join(still_open)}")


def claim_draft(pk: int, revision: int | None) -> Sheet:
    """The draft, held until the transaction ends.

    Raises SheetStale where it is not the one that was shown, DrawRefused when the event is over.
    """
    sheet = Sheet.objects.select_for_update(of=("self",)).select_related("round__event").filter(pk=pk).first()
    if sheet is None:
        raise SheetStale("The round was drawn anew meanwhile. Look at the new draft first.")
    refuse_when_over(sheet.round.event)
    if sheet.state != Sheet.State.DRAFT:
        raise SheetStale("This sheet is published already: it does not change any more.")
    if revision is not None and revision != sheet.revision:
        raise SheetStale("Somebody else changed the draft meanwhile. Look again before you go on.")
    return sheet


@transaction.atomic
def reopen(*, round: Round, actor: Actor, now: datetime) -> Sheet:
    """A new draft that starts from the published sheet. An existing draft is returned as it is."""
    round = claim_round(round)
    standing = draft_of(round)
    if standing is not None:
        return standing
    published = published_of(round)
    if published is None:
        raise DrawRefused("Nothing is published yet.")
    draft = Sheet.objects.create(
        round=round,
        version=next_version(round),
        method=published.method,
        seed=published.seed,
        notes=published.notes,
        inputs=published.inputs,
        accepted=published.accepted,
        made_at=now,
        made_by=actor.name,
    )
    copy_groups(published, draft)
    record(
        chain=round.event.slug,
        action=Action.DRAW_EDITED,
        subject=str(round),
        actor=actor,
        now=now,
        detail={"what": f"draft {draft.version} from published version {published.version}"},
    )
    return draft


@transaction.atomic
def discard(*, sheet: Sheet, actor: Actor, now: datetime, revision: int | None = None) -> None:
    """Drop a draft; what is published stays as it is. Raises SheetStale."""
    sheet = claim_draft(sheet.pk, revision)
    record(
        chain=sheet.round.event.slug,
        action=Action.DRAW_EDITED,
        subject=str(sheet.round),
        actor=actor,
        now=now,
        detail={"what": "draft dropped", "seed": sheet.seed, "revision": sheet.revision},
    )
    sheet.delete()
