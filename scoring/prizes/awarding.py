"""From the prizes of a division and its final order to what each player is due. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from scoring.prizes.posting import Base
from scoring.prizes.splitting import Finisher, Split, split
from scoring.prizes.taking import TROPHY_ONLY, DivisionFacts, Kind, PlayerFacts, Taking, taking

NO_TROPHY = "no cash, and this place has no trophy"


@dataclass(frozen=True, slots=True)
class Runner:
    """A player with a final place; equal places are ties. `trophy`: of a shared place, the one whose trophy was won in
    a playoff or contest for it; None: not decided, so that all who share the place have its trophy."""

    entry_id: int
    name: str
    place: int
    facts: PlayerFacts
    trophy: int | None = None


@dataclass(frozen=True, slots=True)
class Award:
    """What a player is due.

    `spans`: the prizes added up for a tie of `tied`; `extra`: left-over cents in `cents`; `passed`: why the prize moved
    on, with its rule in `source`; `asked`: what is still to be settled about it; `trophy_of`: the place whose trophy it
    is, where that was decided among those who are tied.
    """

    entry_id: int
    name: str
    place: int
    tied: int
    cents: int
    kind: Kind
    trophy: bool
    spans: tuple[int, ...] = ()
    extra: int = 0
    passed: str = ""
    source: str = ""
    asked: str = ""
    trophy_of: int | None = None


@dataclass(frozen=True, slots=True)
class Awarded:
    """A division's awards, best place first, and the split they come from."""

    base: Base
    awards: tuple[Award, ...]
    split: Split


def award(base: Base, runners: Sequence[Runner], division: DivisionFacts) -> Awarded:
    """Pay a division's prizes to its final order; only who is due something, or was passed, has an award."""
    takings = {runner.entry_id: taking(runner.facts, division) for runner in runners}
    field = [Finisher(each.entry_id, each.place, takings[each.entry_id].passed) for each in runners]
    paid = split(base.prizes, field, unit=base.unit)
    shares = {share.key: share for share in paid.shares}
    slid = {slide.key for slide in paid.slides}
    awards = []
    for runner in sorted(runners, key=lambda each: each.place):
        share, taken = shares.get(runner.entry_id), takings[runner.entry_id]
        trophy = (runner.trophy or runner.place) <= base.trophies and taken.passed != "declined"
        if share is None and not trophy and runner.entry_id not in slid:
            continue
        moved = taken if runner.entry_id in slid else Taking(taken.kind)
        awards.append(
            Award(
                entry_id=runner.entry_id,
                name=runner.name,
                place=runner.place,
                tied=share.tied if share else 1,
                cents=share.cents if share else 0,
                kind=taken.kind if share else Kind.TROPHY,
                trophy=trophy,
                spans=share.spans if share else (),
                extra=share.extra if share else 0,
                passed=moved.passed if trophy else moved.passed.replace(TROPHY_ONLY, NO_TROPHY),
                source=taken.source if share or runner.entry_id in slid else "",
                asked=moved.asked,
                trophy_of=runner.trophy if trophy else None,
            )
        )
    return Awarded(base, tuple(awards), paid)
