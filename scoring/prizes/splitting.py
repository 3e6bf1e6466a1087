"""A division's purse paid out by place: ties, declined prizes, rounding, every cent accounted for. Pure.

The order is fixed. First the ladder: the prize of each place in cents. Then who takes one: a player who declines
or may not take a prize is passed, and everything at or below that place moves up to the next finisher, so that
one more place is paid (Competition Manual 2025, 1.10.A, B, E). Then ties: the prizes of the places spanned are
added and divided equally (1.09.E); what cannot be divided equally is left over. Last the rounding to whole units,
where the director pays in them and somebody holds a place alone who can take what that leaves.

No published rule says where left-over cents go. Here they go to the best place that somebody holds alone, so
that tied players stay equal, and are carried over where nobody does.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, pairwise


@dataclass(frozen=True, slots=True)
class Finisher:
    """A player in the final order; equal `place` is a tie. `passed` says why no prize is taken, "" if one is."""

    key: Hashable
    place: int
    passed: str = ""


@dataclass(frozen=True, slots=True)
class Share:
    """What one finisher gets, in cents. `spans` are the rungs of the ladder that were added up for a tie (from 1),
    shared by `tied` players; `extra` are left-over cents that are in `cents`."""

    key: Hashable
    place: int
    cents: int
    spans: tuple[int, ...]
    tied: int
    extra: int = 0


@dataclass(frozen=True, slots=True)
class Slide:
    """A prize that its finisher does not take: it moves on to the next one."""

    key: Hashable
    place: int
    rung: int
    why: str


@dataclass(frozen=True, slots=True)
class Split:
    """The purse paid out: shares + `carried` + `kept` is the purse.

    `left`: cents that ties or rounding left over, wherever they went; `carried`: those that found no place held by one
    alone; `kept`: prizes that passed everybody, which the event may keep (1.10.E). `unit` is the one paid in.
    """

    purse: int
    ladder: tuple[int, ...]
    shares: tuple[Share, ...]
    slides: tuple[Slide, ...]
    left: int
    carried: int
    kept: int
    unit: int = 1

    def of(self, key: Hashable) -> Share | None:
        return next((share for share in self.shares if share.key == key), None)

    @property
    def kept_words(self) -> str:
        return "passed everybody" if self.slides else "no finisher for it"


@dataclass(slots=True)
class _Tie:
    """Players of one place who take prizes, and the sum of the rungs they span."""

    keys: list[Hashable]
    place: int
    spans: tuple[int, ...]
    total: int
    each: int = 0
    extra: int = 0


def split(ladder: Sequence[int], finishers: Iterable[Finisher], *, unit: int = 1) -> Split:
    """Pay a ladder of prizes (cents, never rising) to finishers in whatever order they come.

    `unit`: 1 pays cents, 100 whole currency, 500 fives. Raises ValueError for a ladder that rises or is negative.
    """
    rungs = tuple(ladder)
    if any(prize < 0 for prize in rungs) or any(a < b for a, b in pairwise(rungs)):
        raise ValueError("Prizes are not negative, and no place gets more than the place before it.")
    order = sorted(finishers, key=lambda finisher: finisher.place)
    ties, slides = _ties(rungs, order)
    reached = sum(tie.total for tie in ties)
    left = _pay_in_units(ties, reached, unit) if unit > 1 else _pay_in_cents(ties)
    carried = _give_away(ties, left)
    if carried and unit > 1:
        return split(rungs, order)
    shares = tuple(
        Share(key, tie.place, tie.each + tie.extra, tie.spans, len(tie.keys), tie.extra)
        for tie in ties
        for key in tie.keys
        if tie.each + tie.extra
    )
    return Split(sum(rungs), rungs, shares, tuple(slides), left, carried, sum(rungs) - reached, unit)


def _ties(rungs: tuple[int, ...], order: list[Finisher]) -> tuple[list[_Tie], list[Slide]]:
    """The takers by place with the rungs they span, and every prize that moved on. A slide names the rung that
    was the player's own when it was passed."""
    ties: list[_Tie] = []
    slides: list[Slide] = []
    taken = 0
    for place, same in groupby(order, key=lambda finisher: finisher.place):
        members = list(same)
        if taken >= len(rungs):
            break
        slides += [Slide(each.key, place, taken + 1, each.passed) for each in members if each.passed]
        keys = [each.key for each in members if not each.passed]
        if keys:
            spans = tuple(range(taken + 1, min(taken + len(keys), len(rungs)) + 1))
            ties.append(_Tie(keys, place, spans, sum(rungs[rung - 1] for rung in spans)))
            taken += len(keys)
    return ties, slides


def _pay_in_cents(ties: list[_Tie]) -> int:
    """Equal shares in cents; the cents left over."""
    for tie in ties:
        tie.each = tie.total // len(tie.keys)
    return sum(tie.total % len(tie.keys) for tie in ties)


def _pay_in_units(ties: list[_Tie], reached: int, unit: int) -> int:
    """Equal shares in whole units, after the ties were made; what is left over.

    The units missing go to the largest fractions, to all players of a tie or to none of them.
    """
    exact = [Fraction(tie.total, len(tie.keys) * unit) for tie in ties]
    for tie, share in zip(ties, exact, strict=True):
        tie.each = share.numerator // share.denominator * unit
    left = reached - sum(tie.each * len(tie.keys) for tie in ties)
    for at in sorted(range(len(ties)), key=lambda at: (ties[at].each - exact[at] * unit, at)):
        cost = unit * len(ties[at].keys)
        falls = at == 0 or ties[at].each + unit <= ties[at - 1].each
        if cost <= left and falls and exact[at].denominator > 1:
            ties[at].each += unit
            left -= cost
    return left


def _give_away(ties: list[_Tie], left: int) -> int:
    """Left-over cents to the best place held by one alone, above which nobody then gets less; what is carried."""
    for at, tie in enumerate(ties):
        if left and len(tie.keys) == 1 and (at == 0 or tie.each + left <= ties[at - 1].each):
            tie.extra = left
            return 0
    return left
