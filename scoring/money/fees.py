"""What the event owes the sanctioning body, by the rulebook's table of tiers. Pure."""

from dataclasses import dataclass
from datetime import date, timedelta

from events.rulebook.loader import Rulebook

_TIERS = "tier"


@dataclass(frozen=True, slots=True)
class Fee:
    """`cents` None: no published value is known for this tier and region. `basis`: how it was worked out."""

    words: str
    cents: int | None
    basis: str
    source: str


def per_player_fee(rules: Rulebook, tier: str, players: int, rounds: int) -> Fee:
    """Owed for everybody who played; a league owes for each player and round."""
    by_round = f"{_TIERS}.per_player_round_fee_cents.{tier}"
    if rules.has(by_round):
        value = rules.value(by_round)
        times, what = players * rounds, f"{players} players, {rounds} rounds"
    else:
        key = f"{_TIERS}.per_player_fee_cents.{tier}"
        if not rules.has(key):
            return _unknown("per-player fees")
        value, times, what = rules.value(key), players, f"{players} players"
    each = value.value
    cents = each * times if isinstance(each, int) else None
    return Fee("per-player fees", cents, what, value.citation)


def sanction_fee(rules: Rulebook, tier: str) -> Fee:
    key = f"{_TIERS}.sanction_fee_cents.{tier}"
    if not rules.has(key):
        return _unknown("sanction fee")
    value = rules.value(key)
    return Fee("sanction fee", value.value if isinstance(value.value, int) else None, "once", value.citation)


def due_on(rules: Rulebook, tier: str, ends_on: date) -> date | None:
    """The day by which both are due; None where the table names none."""
    key = f"{_TIERS}.fees_due_days.{tier}"
    return ends_on + timedelta(days=rules.int(key)) if rules.has(key) else None


def _unknown(words: str) -> Fee:
    return Fee(words, None, "", "Competition Manual 2025, 5.05: no value for this tier and region")
