"""Who takes a prize, of which kind, and who is passed. Pure.

Competition Manual 2025: cash needs a member number (1.10.A), amateurs in professional divisions (1.10.B), a
declined prize slides (1.10.E).
"""

from dataclasses import dataclass
from enum import StrEnum

TROPHY_ONLY = "trophy only"  # as the rules say; where a place has no trophy, that is nothing


class Kind(StrEnum):
    """What a prize is."""

    CASH = "cash"
    MERCHANDISE = "merchandise"
    VOUCHER = "voucher"
    TROPHY = "trophy"


class Answer(StrEnum):
    """What was said for a player; the last one counts."""

    NONE = ""
    CASH = "cash"
    MERCHANDISE = "merchandise"
    VOUCHER = "voucher"
    DECLINED = "declined"
    NO_CASH = "no_cash"  # declines cash only: trophy, and the money slides


@dataclass(frozen=True, slots=True)
class PlayerFacts:
    """`amateur` None: the class is not known, and taken as the division's."""

    member_number: int | None
    amateur: bool | None
    answer: Answer = Answer.NONE


@dataclass(frozen=True, slots=True)
class DivisionFacts:
    """`league`: neither rule asks for a number there. `merchandise_for_amateurs`: the tier leaves it to the TD."""

    professional: bool
    league: bool
    merchandise_for_amateurs: bool
    amateur_kind: Kind = Kind.MERCHANDISE


@dataclass(frozen=True, slots=True)
class Taking:
    """`passed`: why no prize is taken ("" if one is); `kind` of the prize; `source` of the rule; `asked`: what the
    director still has to settle, "" if nothing."""

    kind: Kind
    passed: str = ""
    source: str = ""
    asked: str = ""


def taking(player: PlayerFacts, division: DivisionFacts) -> Taking:
    """What a finisher of a paid place takes, or why the prize moves on."""
    if player.answer is Answer.DECLINED:
        return Taking(Kind.TROPHY, "declined", "1.10.E")
    if not division.professional:
        return _amateur_division(player, division)
    if player.member_number is None and not division.league:
        return Taking(Kind.TROPHY, f"no member number: {TROPHY_ONLY}", "1.10.A")
    if player.answer is Answer.NO_CASH:
        return Taking(Kind.TROPHY, f"declined cash: {TROPHY_ONLY}", "1.10.E")
    if player.amateur and not division.league:
        return _amateur_among_professionals(player, division)
    return Taking(Kind.VOUCHER if player.answer is Answer.VOUCHER else Kind.CASH)


def _amateur_division(player: PlayerFacts, division: DivisionFacts) -> Taking:
    if player.answer is Answer.CASH and division.league:
        return Taking(Kind.CASH)
    chosen = {Answer.MERCHANDISE: Kind.MERCHANDISE, Answer.VOUCHER: Kind.VOUCHER}
    return Taking(chosen.get(player.answer, division.amateur_kind))


def _amateur_among_professionals(player: PlayerFacts, division: DivisionFacts) -> Taking:
    """Cash makes a professional (2.04.B), so that nobody gets it unasked."""
    if player.answer is Answer.CASH:
        return Taking(Kind.CASH, source="2.04.B")
    goods = {Answer.MERCHANDISE: Kind.MERCHANDISE, Answer.VOUCHER: Kind.VOUCHER}.get(player.answer)
    if goods is not None and division.merchandise_for_amateurs:
        return Taking(goods, source="1.10.B")
    asked = "an amateur: ask whether cash is taken, which makes a professional"
    if division.merchandise_for_amateurs:
        asked += ", or give merchandise"
    return Taking(Kind.TROPHY, f"amateur: {TROPHY_ONLY}", "1.10.B", asked)
