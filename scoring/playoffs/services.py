"""Playing off: begin, write a hole, take it back, leave, drop. What was written stays as versions."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from events.course.queries import layouts_of
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Division
from scoring.playoffs.claiming import (
    PlayoffRefused,
    claim_division,
    claim_playoff,
    refuse_second,
    tie_now,
)
from scoring.playoffs.contest import MOST_AGGREGATE_HOLES, ContestWrong, Outcome, play, tee_order
from scoring.playoffs.models import Playoff, PlayoffVersion
from scoring.playoffs.outcomes import contest_of, outcome_of
from scoring.standings.models import Placing

__all__ = ["Agreed", "PlayoffRefused", "begin", "drop", "leave", "outcome_of", "take_back", "write_hole"]

MOST_HOLES = 200  # of one playoff; the product's own bound, no source


@dataclass(frozen=True, slots=True)
class Agreed:
    """What is agreed before a playoff: labels of its holes in turn (none: the last layout from its first hole), how
    many are added up first (0: sudden death), the seed of the tee order, and who declines."""

    holes: tuple[str, ...] = ()
    aggregate: int = 0
    seed: str = ""
    declined: Collection[int] = ()


@transaction.atomic
def begin(
    *, division: Division, after_round: int, agreed: Agreed, actor: Actor, now: datetime, trophy: int = 0
) -> Playoff:
    """Begin the playoff of the tie that stands: for first place (after_round 0), at a cut, or for the `trophy` of a
    place that is shared. Raises PlayoffRefused."""
    division = claim_division(division)
    refuse_second(division, after_round, trophy)
    tie = tie_now(division, after_round, trophy)
    if tie is None:
        raise PlayoffRefused("Nobody is tied here any more.")
    if tie.layout is None:
        raise PlayoffRefused(f"No layout is chosen for the last round of {division}: choose it first.")
    holes = _holes(agreed, division, tie.layout)
    if not agreed.seed.strip():
        raise PlayoffRefused("The order on the first tee is drawn from a seed: write any number.")
    by_name = sorted(tie.rows, key=lambda row: (row.standing.sort_name, row.entry_id))
    players = tee_order([row.entry_id for row in by_name], agreed.seed.strip())
    playoff = Playoff(
        division=division,
        after_round=after_round,
        trophy=trophy,
        places=tie.places,
        players=list(players),
        seed=agreed.seed.strip()[:64],
        layout_id=tie.layout,
        holes=list(holes),
        aggregate=agreed.aggregate,
        begun_at=now,
        begun_by=actor.name[:150],
    )
    declined = {str(key): 0 for key in agreed.declined}
    _refuse_odd(playoff, [], declined)
    playoff.save()
    _write(playoff, [], declined, "begun", Action.PLAYOFF_BEGUN, actor, now)
    return playoff


def _holes(agreed: Agreed, division: Division, layout: int) -> tuple[str, ...]:
    labels = tuple(hole.label for hole in layouts_of(division.event)[layout].holes)
    unknown = [label for label in agreed.holes if label not in labels]
    if unknown:
        raise PlayoffRefused(f"This layout has no hole {unknown[0][:10]}.")
    holes = agreed.holes or (labels[: agreed.aggregate] if agreed.aggregate else labels)
    if not 0 <= agreed.aggregate <= MOST_AGGREGATE_HOLES:
        raise PlayoffRefused(
            f"At most {MOST_AGGREGATE_HOLES} holes are added up (Competition Manual 2025, 1.09.B.2)."
        )
    if agreed.aggregate and len(holes) != agreed.aggregate:
        raise PlayoffRefused(
            f"{agreed.aggregate} holes are added up, and {len(holes)} are named: name as many."
        )
    return holes


@transaction.atomic
def write_hole(
    *, playoff: Playoff, seen: int, index: int, throws: Mapping[int, int], actor: Actor, now: datetime
) -> Outcome:
    """Write hole `index` (from 0) of the playoff: the next one, or one before it, corrected.

    After a correction, holes that could not have been played like this are dropped. `seen` is the number of the version
    that was shown. Raises PlayoffRefused.
    """
    playoff, version = _claim(playoff, seen)
    figures = list(version.figures)
    if not 0 <= index <= len(figures) or index >= MOST_HOLES:
        raise PlayoffRefused(f"Hole {len(figures) + 1} of the playoff is next.")
    line = {str(key): figure for key, figure in throws.items()}
    kept, declined = [*figures[:index], line], _declined_until(version.declined, index)
    _refuse_odd(playoff, kept, declined)
    rest = _still_good(playoff, kept, figures[index + 1 :], version.declined)
    gone = len(figures) - index - 1 - rest
    if rest:
        kept, declined = (
            [*kept, *figures[index + 1 : index + 1 + rest]],
            _declined_until(version.declined, index + rest),
        )
    what = f"hole {index + 1}" if index == len(figures) else f"hole {index + 1} corrected"
    if gone > 0:
        what += f", {gone} after it dropped"
    return _write(playoff, kept, declined, what, Action.PLAYOFF_HOLE, actor, now)


def _declined_until(declined: Mapping[str, int], index: int) -> dict[str, int]:
    return {key: after for key, after in declined.items() if after <= index + 1}


def _still_good(
    playoff: Playoff, kept: list[dict[str, int]], later: Sequence[dict[str, int]], declined: Mapping[str, int]
) -> int:
    """How many of the later holes could still have been played after a correction."""
    for count in range(len(later), 0, -1):
        whole = [*kept, *later[:count]]
        try:
            play(contest_of(playoff, whole, _declined_until(declined, len(whole) - 1)))
        except ContestWrong:
            continue
        return count
    return 0


@transaction.atomic
def take_back(*, playoff: Playoff, seen: int, actor: Actor, now: datetime) -> Outcome:
    """Take the last hole back, or without a hole who declined at the start. Raises PlayoffRefused."""
    playoff, version = _claim(playoff, seen)
    figures = list(version.figures)
    if not figures:
        if not version.declined:
            raise PlayoffRefused("Nothing is written yet.")
        return _write(playoff, [], {}, "everybody plays", Action.PLAYOFF_HOLE, actor, now)
    declined = {key: after for key, after in version.declined.items() if after < len(figures)}
    what = f"hole {len(figures)} taken back"
    return _write(playoff, figures[:-1], declined, what, Action.PLAYOFF_HOLE, actor, now)


@transaction.atomic
def leave(*, playoff: Playoff, seen: int, entry: int, actor: Actor, now: datetime) -> Outcome:
    """A player declines to play on and takes the lower place. Raises PlayoffRefused for who is not in it any more."""
    playoff, version = _claim(playoff, seen)
    figures = list(version.figures)
    now_playing = outcome_of(playoff, version).playing
    if entry not in now_playing:
        raise PlayoffRefused("This player is not in the playoff any more.")
    declined = {**version.declined, str(entry): len(figures)}
    _refuse_odd(playoff, figures, declined)
    return _write(playoff, figures, declined, "a player declines", Action.PLAYOFF_HOLE, actor, now)


@transaction.atomic
def drop(*, playoff: Playoff, reason: str, actor: Actor, now: datetime) -> None:
    """A playoff that does not count, as it was not one of those who are tied; it stays to be read."""
    playoff = claim_playoff(playoff)
    if not reason.strip():
        raise PlayoffRefused("Write why the playoff does not count.")
    playoff.dropped_at, playoff.dropped_reason = now, reason.strip()[:200]
    playoff.save(update_fields=["dropped_at", "dropped_reason"])
    _unplace(playoff)
    _log(Action.PLAYOFF_DROPPED, playoff, actor, now, {}, playoff.dropped_reason)


def _refuse_odd(playoff: Playoff, figures: Sequence[Mapping[str, int]], declined: Mapping[str, int]) -> None:
    try:
        outcome = play(contest_of(playoff, figures, declined))
    except ContestWrong as wrong:
        raise PlayoffRefused(str(wrong)) from None
    if outcome.decided and len(outcome.through) < playoff.places:
        raise PlayoffRefused("Somebody must be left: not everybody can decline.")


def _claim(playoff: Playoff, seen: int) -> tuple[Playoff, PlayoffVersion]:
    playoff = claim_playoff(playoff)
    version = playoff.versions.order_by("number").last()
    if version is None or version.number != seen:
        raise PlayoffRefused("Somebody else wrote a hole meanwhile. Look at it, then write yours.")
    return playoff, version


def _write(
    playoff: Playoff,
    figures: Sequence[Mapping[str, int]],
    declined: Mapping[str, int],
    what: str,
    action: Action,
    actor: Actor,
    now: datetime,
) -> Outcome:
    """A new version, and what it decides."""
    number = playoff.versions.count() + 1
    version = PlayoffVersion.objects.create(
        playoff=playoff,
        number=number,
        figures=[dict(line) for line in figures],
        declined=dict(declined),
        what=what,
        at=now,
        by=actor.name[:150],
    )
    outcome = outcome_of(playoff, version)
    _unplace(playoff)
    if outcome.decided:
        _place(playoff, outcome, actor, now)
    detail = {"what": what, "version": number, "holes": version.figures, "declined": version.declined}
    begun = {
        "players": playoff.players,
        "seed": playoff.seed,
        "labels": playoff.holes,
        "aggregate": playoff.aggregate,
    }
    _log(action, playoff, actor, now, detail | (begun if action is Action.PLAYOFF_BEGUN else {}))
    return outcome


def _unplace(playoff: Playoff) -> None:
    if playoff.trophy:
        return  # it decided no place
    Placing.objects.filter(
        entry__in=playoff.players, after_round=playoff.after_round, how=Placing.How.PLAYOFF
    ).delete()


def _place(playoff: Playoff, outcome: Outcome, actor: Actor, now: datetime) -> None:
    """Rank 1 for the winner or who goes on, 2 for the others: a playoff splits no further place (1.09.B), and one for a
    trophy none at all (1.09.E)."""
    if playoff.trophy:
        return
    Placing.objects.bulk_create(
        Placing(
            entry_id=key,
            after_round=playoff.after_round,
            how=Placing.How.PLAYOFF,
            rank=1 if key in outcome.through else 2,
            at=now,
            by=actor.name[:150],
        )
        for key in playoff.players
    )


def _log(
    action: Action, playoff: Playoff, actor: Actor, now: datetime, detail: dict[str, object], reason: str = ""
) -> None:
    record(
        chain=playoff.division.event.slug,
        action=action,
        subject=str(playoff),
        actor=actor,
        now=now,
        detail=detail,
        reason=reason,
    )
