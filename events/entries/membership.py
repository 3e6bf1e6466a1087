"""Which membership an event asks of a player, and whether it is there (1.01.B, 5.05, 6.03.A). Pure."""

from dataclasses import dataclass
from datetime import date

from events.rulebook.divisions import division
from events.rulebook.loader import Rulebook
from events.rulebook.values import TIER_WORDS

OK, MISSING, TEMPORARY_FEE, NOT_NEEDED, UNKNOWN = "ok", "missing", "temporary_fee", "not_needed", "unknown"
FEE = "membership.temporary_fee_cents"


@dataclass(frozen=True, slots=True)
class MemberFacts:
    """What is known: `standing` is "current", "expired", "none" or "unknown"; an expiry date speaks louder.

    `official` is whether the player is a certified official, None where that is not known.
    """

    standing: str = "unknown"
    expires: date | None = None
    official: bool | None = None


@dataclass(frozen=True, slots=True)
class Membership:
    """`state` is ok, missing, temporary_fee, not_needed or unknown; `fee_cents` only where a fee mends it."""

    state: str
    text: str
    source: str
    fee_cents: int | None = None


def current_on(facts: MemberFacts, day: date) -> bool | None:
    """Whether the membership holds on a day; an expiry date counts to its end. None: not known."""
    if facts.expires is not None:
        return facts.expires >= day
    return {"current": True, "expired": False, "none": False}.get(facts.standing)


def membership(
    facts: MemberFacts, *, tier: str, code: str, on: date, rulebook: Rulebook, waived: bool = False
) -> Membership:
    """What this tier, region and division ask, and whether the player has it on a day of play.

    `waived` is the governing body's waiver for some charity and women's events. The region is the rulebook's.
    """
    rule = rulebook.value(f"membership.needed.{tier}")
    needed, source = rulebook.text(rule.key), rule.citation
    if waived:
        return Membership(NOT_NEEDED, "Membership is waived for this event.", source)
    if needed == "none":
        return Membership(NOT_NEEDED, f"No membership is needed ({TIER_WORDS[tier]}).", source)
    exempt = rulebook.value("membership.junior_exempt_tiers")
    if division(rulebook, code).junior and tier in rulebook.words(exempt.key):
        return Membership(NOT_NEEDED, "Junior divisions need no membership here.", exempt.citation)
    current = current_on(facts, on)
    if current is None:
        return Membership(UNKNOWN, "It is not known whether the membership is current.", source)
    if current:
        return _official(facts, needed, source)
    return _not_current(facts, needed, tier, rulebook)


def _official(facts: MemberFacts, needed: str, source: str) -> Membership:
    """Current already; majors and elite series ask for the official's certificate besides."""
    if needed != "current and certified official" or facts.official:
        return Membership(OK, "Membership is current.", source)
    if facts.official is None:
        return Membership(UNKNOWN, "It is not known whether the player is a certified official.", source)
    return Membership(MISSING, "The player has to be a certified official.", source)


def _not_current(facts: MemberFacts, needed: str, tier: str, rulebook: Rulebook) -> Membership:
    source = rulebook.value(f"membership.needed.{tier}").citation
    ended = f"Membership ended on {facts.expires.isoformat()}" if facts.expires else ""
    state = ended or ("Membership has expired" if facts.standing == "expired" else "No membership")
    if needed == "current or temporary fee":
        fee, fee_source = rulebook.int(FEE), rulebook.value(FEE).citation
        return Membership(TEMPORARY_FEE, f"{state}: pays the temporary fee.", fee_source, fee)
    return Membership(MISSING, f"{state}: this tier asks for a current one ({TIER_WORDS[tier]}).", source)
