"""What is not in order with the event's money, as sentences. Pure but for the row of the last count."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from events.setup.figures import money_text
from scoring.money.statement import Facts

_NAMES = 6  # more are counted instead
_WITH_CHARGES = ("card", "online")


@dataclass(frozen=True, slots=True)
class Asked:
    """`gone`: who left with money still here; `owing`: who plays and owes. `counted`: the last count, None: none.

    `expected`: method → cents that should be here now, cash with the float.
    """

    facts: Facts
    due_on: date | None
    gone: Sequence[str]
    owing: Sequence[str]
    receipts: Sequence[str]
    counted: Any
    opened: bool
    expected: Mapping[str, int]
    currency: str


def open_points(asked: Asked) -> tuple[str, ...]:
    return (*_box(asked), *_players(asked), *_prizes(asked), *_lines(asked), *_fees(asked))


def _box(asked: Asked) -> list[str]:
    points = []
    facts, names = asked.facts, asked.facts.methods
    if not asked.opened and (facts.by_method["cash"] or asked.counted):
        points.append("The float at opening was not counted: cash is reckoned without one.")
    if asked.counted is None:
        if any(asked.expected.values()):
            points.append("The cash box is not counted at closing.")
        return points
    for method, cents in asked.counted.differences.items():
        if cents and not asked.counted.reason:
            points.append(
                f"{names[method].capitalize()}: {money_text(abs(cents), asked.currency)} "
                f"{'too much' if cents > 0 else 'missing'} at the last count, and no reason is written."
            )
    moved = [
        names[method]
        for method, cents in asked.expected.items()
        if cents != asked.counted.expected.get(method, 0)
    ]
    if moved:
        points.append(f"Money moved since the last count ({', '.join(moved)}): count again.")
    unseen = [
        names[method]
        for method, cents in asked.expected.items()
        if cents and method not in asked.counted.counted
    ]
    if unseen:
        points.append(f"Not looked at when the box was counted: {', '.join(unseen)}.")
    return points


def _players(asked: Asked) -> list[str]:
    points = []
    if asked.owing:
        cents = money_text(asked.facts.entries.owed, asked.currency)
        points.append(f"{cents} is still owed by {_names(asked.owing)}.")
    if asked.gone:
        cents = money_text(asked.facts.entries.gone, asked.currency)
        points.append(f"{cents} is here of {_names(asked.gone)}, who left: look whether a refund is due.")
    return points


def _names(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) <= _NAMES else f"{len(names)} players"


def _prizes(asked: Asked) -> list[str]:
    written = sum(line.cents for line in asked.facts.own if line.kind == "added_cash")
    prizes, points = asked.facts.prizes, []
    if prizes.added is not None and prizes.added != written:
        points.append(
            f"The prizes count on {money_text(prizes.added, asked.currency)} added cash; "
            f"{money_text(written, asked.currency)} is written as received."
        )
    if asked.facts.things_to_buy:
        points.append(
            f"Prizes worth {money_text(prizes.things, asked.currency)} are due in things, "
            "and no line says what they cost."
        )
    if prizes.overpaid:
        points.append(
            f"{money_text(prizes.overpaid, asked.currency)} of prizes was paid too much: "
            "the page of handing out says to whom."
        )
    return points


def _lines(asked: Asked) -> list[str]:
    points = [
        f"Receipt {number} stands on {count} lines."
        for number, count in Counter(asked.receipts).items()
        if count > 1
    ]
    ways = asked.facts.entries.ways
    by_card = sum(ways.get(way, (0, 0))[0] for way in _WITH_CHARGES)
    charges = any(line.kind == "charges" for line in asked.facts.own)
    if by_card and not charges:
        points.append(
            f"{money_text(by_card, asked.currency)} came by card or online, and no transaction fees are written."
        )
    return points


def _fees(asked: Asked) -> list[str]:
    points = []
    for kind, fee in asked.facts.fees:
        paid = -sum(line.cents for line in asked.facts.own if line.kind == kind)
        if fee.cents is None:
            points.append(f"No published {fee.words} for this tier and region: set it among the rules.")
        elif fee.cents > paid:
            when = f", due by {asked.due_on.day} {asked.due_on:%B %Y}" if asked.due_on else ""
            points.append(f"{money_text(fee.cents - paid, asked.currency)} {fee.words} to pay{when}.")
    return points
