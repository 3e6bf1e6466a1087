"""From entry fees to the purse of a division: net entry, minimum, added cash, packs. Pure; integer cents.

Competition Manual 2025: net entry 5.04.A, minimum shares 5.05, added cash 1.10.C, packs 5.04.C; figures come from the
rulebook in force.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from events.paper.text import money as amount
from events.setup.apportioning import apportion
from scoring.prizes.shares import percent_up

PER_PLAYER, TD_FEE = "player_fee", "td_fee"
# The only kinds that 5.04.A lets pass through, with the words for them.
PASSED_THROUGH: Mapping[str, str] = {
    PER_PLAYER: "per-player fee",
    "greens": "greens fee",
    "series": "series fee",
    "restroom": "restroom cost",
    TD_FEE: "TD fee",
}


@dataclass(frozen=True, slots=True)
class Passed:
    """A fee inside the entry fee that goes to somebody else; `kind` as in PASSED_THROUGH."""

    name: str
    kind: str
    cents: int


@dataclass(frozen=True, slots=True)
class NetEntry:
    """One gross entry: what passes through, what is left for prizes, and what breaks the limits, in words."""

    gross: int
    passed: tuple[Passed, ...]
    net: int
    problems: tuple[str, ...]


def net_entry(gross: int, fees: Sequence[Passed], *, per_player_limit: int | None) -> NetEntry:
    """Gross less the fees that may pass through; never below zero, as for a player who plays free.

    `per_player_limit`: the tier's per-player fee, which a TD fee may not exceed; None: none is published. A fee of
    another kind stays in the net entry, a TD fee counts up to its limit, and both are said.
    """
    allowed, problems = [], []
    for fee in fees:
        if fee.kind not in PASSED_THROUGH:
            problems.append(f"{fee.name} may not pass through the entry fee: it stays in the net entry.")
            continue
        if fee.kind == TD_FEE and per_player_limit is not None and fee.cents > per_player_limit:
            problems.append(
                f"{fee.name} is above the tier's per-player fee of {amount(per_player_limit)}: "
                "only that much passes."
            )
            fee = Passed(fee.name, fee.kind, per_player_limit)  # noqa: PLW2901  the part of it that counts
        allowed.append(fee)
    through = sum(fee.cents for fee in allowed)
    return NetEntry(gross, tuple(allowed), max(0, gross - through), tuple(problems))


def added_shares(added: int, fees: Mapping[str, int]) -> dict[str, int]:
    """Added cash over the professional divisions, by the entry fees that each brought in.

    Nothing for anybody where there are no fees to go by.
    """
    if not sum(fees.values()):
        return dict.fromkeys(fees, 0)
    return dict(zip(fees, apportion(added, list(fees.values())), strict=True))


@dataclass(frozen=True, slots=True)
class DivisionMoney:
    """What a division brings in and what its director chose, in cents.

    `players`: headcount of the payout; `net`: net entries of all of them; `share`: per cent of net that is returned;
    `minimum`: per cent that the rules ask for, None where none is published; `added`: its part of the event's added
    cash; `extra`: more, given to this division alone; `packs`: retail value of all its packs; `fixed`: a purse that
    the director set instead.
    """

    players: int
    net: int
    share: int
    minimum: int | None
    professional: bool
    added: int = 0
    extra: int = 0
    packs: int = 0
    fixed: int | None = None


@dataclass(frozen=True, slots=True)
class Purse:
    """`cents` to pay out; `required` is the least that the rules ask for (packs taken off for amateurs); `short` what
    is missing to it; `added`: how much of the division's part of the added cash is in it."""

    cents: int
    returned: int
    required: int
    short: int
    added: int = 0


def purse(money: DivisionMoney) -> Purse:
    """The purse of a division.

    Professionals: the share of net entry, plus added cash; packs are extra and count as nothing. Amateurs: the share
    of net entry less the retail value of the packs, plus what is given to the division. `fixed`: an amount the
    director set instead; of the added cash it holds what is beyond the least that the rules ask for.
    """
    returned = percent_up(money.share, money.net)
    packs = 0 if money.professional else money.packs
    required = 0
    if money.players:
        least = percent_up(money.minimum or 0, money.net)
        required = max(0, least - packs)
    cents, added = max(0, returned - packs) + money.added + money.extra, money.added
    if money.fixed is not None:
        cents, added = money.fixed, max(0, min(money.added, money.fixed - required))
    return Purse(cents, returned, required, max(0, required - cents), added)


def pack_each(total: int, players: int) -> int:
    """What each player's pack must be worth at least where a total is spread evenly (true amateur, 2.06)."""
    return -(-total // players) if players else 0
