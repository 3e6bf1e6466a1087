"""The duties of an event as the rulebook states them: which hold for a tier, and what each is dated from. Pure."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from events.rulebook.loader import Rulebook
from events.rulebook.values import Plain, RuleValue

CHAPTER = "duty"
MUST, SHOULD, USUAL = "must", "should", "usual"
FORCES: Mapping[str, str] = {MUST: "required", SHOULD: "recommended", USUAL: "common practice"}


@dataclass(frozen=True, slots=True)
class Beside:
    """A value of the rulebook to know with a duty, in words, and where it stands."""

    label: str
    words: str
    citation: str


@dataclass(frozen=True, slots=True)
class Rule:
    """One duty. `start`: the moment it is dated from; `after`: it falls after that moment, else before.

    `amount` counts `unit` (days, hours, minutes, seconds); None: no published value is known. `fixed`: a calendar day
    instead. `not_after`: a moment that ends it where that comes earlier, "" for none. `business`: days from Monday to
    Friday. `passes`: a date to know, which nobody ticks off. `figure` is the value of the rulebook that `amount` was
    read from, None where the duty says it itself. `beside`: values to know with it.
    """

    name: str
    what: str
    when: str
    force: str
    owner: str
    slips: str
    start: str
    after: bool
    amount: int | None
    unit: str
    business: bool
    passes: bool
    fixed: Mapping[str, Plain] | None
    source: RuleValue
    figure: RuleValue | None
    not_after: str = ""
    beside: tuple[Beside, ...] = ()


def rules_for(book: Rulebook, tier: str, rounds: int) -> list[Rule]:
    """Every duty that holds for this tier and so many rounds, in the order of their names."""
    return [
        _rule(book, tier, name, table, force)
        for name, table in _tables(book).items()
        if (force := _force(table, tier)) and _enough_rounds(book, table, rounds)
    ]


def _tables(book: Rulebook) -> dict[str, Mapping[str, Plain]]:
    found = book.table(CHAPTER)
    return {name: table for name, table in sorted(found.items()) if isinstance(table, Mapping)}


def _force(table: Mapping[str, Plain], tier: str) -> str:
    """How strongly the duty holds for the tier; "" where it does not."""
    if table.get(USUAL):
        return USUAL
    for force in (MUST, SHOULD):
        tiers = table.get(force, ())
        if isinstance(tiers, tuple) and tier in tiers:
            return force
    return ""


def _enough_rounds(book: Rulebook, table: Mapping[str, Plain], rounds: int) -> bool:
    key = table.get("rounds_from")
    return key is None or rounds >= book.int(str(key))


def _rule(book: Rulebook, tier: str, name: str, table: Mapping[str, Plain], force: str) -> Rule:
    figure = _held(book, table.get("figure"), tier)
    day = _held(book, table.get("or_on"), tier)
    fixed = day.value if figure is None and day is not None else None
    amount, unit = _span(table, figure)
    return Rule(
        name=name,
        what=str(table["what"]),
        when=str(table.get("when", "")),
        force=force,
        owner=str(table.get("owner", "director")),
        slips=str(table["slips"]),
        start=str(table["from"]),
        after=table.get("after") is True,
        amount=amount,
        unit=unit,
        business=table.get("business") is True,
        passes=table.get("passes") is True,
        fixed=fixed if isinstance(fixed, Mapping) else None,
        source=book.value(f"{CHAPTER}.{name}"),
        figure=figure or day,
        not_after=str(table.get("not_after", "")),
        beside=tuple(_beside(book, table, tier)),
    )


def _beside(book: Rulebook, table: Mapping[str, Plain], tier: str) -> Iterator[Beside]:
    named = table.get("beside")
    for key, label in (named if isinstance(named, Mapping) else {}).items():
        found = _held(book, key, tier)
        if found is not None:
            yield Beside(str(label), _words(found.value), found.citation)


def _words(value: Plain) -> str:
    """A span as "2 to 3", a row as "A 200, B 100", anything else as it is."""
    if not isinstance(value, Mapping):
        return str(value)
    if set(value) == {"from", "to"}:
        return f"{value['from']} to {value['to']}"
    return ", ".join(f"{name} {each}" for name, each in value.items())


def _held(book: Rulebook, key: Plain, tier: str) -> RuleValue | None:
    found = str(key).format(tier=tier) if key is not None else ""
    return book.value(found) if found and book.has(found) else None


def _span(table: Mapping[str, Plain], figure: RuleValue | None) -> tuple[int | None, str]:
    if figure is not None:
        return (figure.value if isinstance(figure.value, int) else None), figure.unit
    for unit in ("days", "hours", "minutes"):
        if isinstance(amount := table.get(unit), int):
            return amount, unit
    return None, ""
