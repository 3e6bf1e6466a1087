"""The rulebook in force on a day, in a region, with a director's overrides: the toml beside this file.

`in_force(date(2025, 5, 3), "north_america").int("play.absence_throws_over_par")` is 4. Every answer of
`value()` carries its document and section, so that whatever it decides can show why.
"""

import builtins
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType

from events.rulebook.values import (
    KINDS,
    REGIONS,
    TRUST_MARKS,
    UNITS,
    Override,
    Plain,
    RulebookError,
    RuleValue,
    UnknownRule,
    ValueNotKnown,
    frozen,
    kind_of,
    overridden_by,
    penalty_problem,
)

FOLDER = Path(__file__).parent
NEEDED = ("key", "unit", "document", "section", "trust")
ALLOWED = {*NEEDED, "value", "each", "unknown", "region", "note", "choices", "penalty"}


class BadRulebookError(RulebookError):
    """A toml file breaks the form; the message names file and key."""


@dataclass(frozen=True, slots=True)
class Edition:
    """One toml file: `effective` is the first day on which its values hold."""

    id: str
    title: str
    effective: date
    values: tuple[RuleValue, ...]


@dataclass(frozen=True, slots=True)
class Rulebook:
    """All values in force for one event. Unknown keys raise UnknownRule everywhere."""

    on: date
    region: str
    _values: Mapping[str, RuleValue]

    def has(self, key: str) -> bool:
        return key in self._values

    def value(self, key: str) -> RuleValue:
        try:
            return self._values[key]
        except KeyError:
            raise UnknownRule(key) from None

    def get(self, key: str) -> Plain:
        """The bare value; None where no published value is known."""
        return self.value(key).value

    def int(self, key: str) -> builtins.int:
        """A whole number. Raises ValueNotKnown where none is known, TypeError for another kind."""
        found = self._known(key)
        if not isinstance(found, int) or isinstance(found, bool):
            raise TypeError(f"{key} is {kind_of(found)}, not int")
        return found

    def decimal(self, key: str) -> Decimal:
        found = self._known(key)
        if not isinstance(found, Decimal):
            raise TypeError(f"{key} is {kind_of(found)}, not decimal")
        return found

    def text(self, key: str) -> str:
        found = self._known(key)
        if not isinstance(found, str):
            raise TypeError(f"{key} is {kind_of(found)}, not text")
        return found

    def flag(self, key: str) -> bool:
        found = self._known(key)
        if not isinstance(found, bool):
            raise TypeError(f"{key} is {kind_of(found)}, not flag")
        return found

    def words(self, key: str) -> tuple[str, ...]:
        """A list of words, as text."""
        found = self._known(key)
        if not isinstance(found, tuple):
            raise TypeError(f"{key} is {kind_of(found)}, not list")
        return tuple(str(item) for item in found)

    def rows(self, key: str) -> tuple[Mapping[str, Plain], ...]:
        """A list of tables, such as the caps by age."""
        found = self._known(key)
        if not isinstance(found, tuple):
            raise TypeError(f"{key} is {kind_of(found)}, not list")
        return tuple(item for item in found if isinstance(item, Mapping))

    def table(self, key: str) -> Mapping[str, Plain]:
        """The value itself if it is a table, else all values below the key (`membership.needed`: by tier)."""
        if key in self._values:
            found = self._known(key)
            if not isinstance(found, Mapping):
                raise TypeError(f"{key} is {kind_of(found)}, not table")
            return found
        start = f"{key}."
        below = {
            name.removeprefix(start): rule.value
            for name, rule in self._values.items()
            if name.startswith(start)
        }
        if not below:
            raise UnknownRule(key)
        return MappingProxyType(below)

    def all(self) -> tuple[RuleValue, ...]:
        """Every value in force, by key: what the rulebook page shows."""
        return tuple(self._values[key] for key in sorted(self._values))

    def _known(self, key: str) -> Plain:
        rule = self.value(key)
        if rule.value is None:
            raise ValueNotKnown(
                f"No published value is known for {key}: set one for this event, with a reason."
            )
        return rule.value


_NONE: Mapping[str, Override] = MappingProxyType({})


def in_force(on: date, region: str, overrides: Mapping[str, Override] = _NONE) -> Rulebook:
    """The rulebook on the event's first day.

    A value whose earliest edition is later than `on` is taken from that edition and marked `early`.
    Raises UnknownRule for an override of no value, BadOverride for one that does not fit, ValueError for a
    region that is not one.
    """
    published = _published(on, region)
    if not overrides:
        return Rulebook(on, region, published)
    values = dict(published)
    for key, override in overrides.items():
        if key not in values:
            raise UnknownRule(key)
        values[key] = overridden_by(values[key], override)
    return Rulebook(on, region, MappingProxyType(values))


@lru_cache(maxsize=64)
def _published(on: date, region: str) -> Mapping[str, RuleValue]:
    if region not in REGIONS:
        raise ValueError(f"{region!r} is not a region of the rulebook ({', '.join(REGIONS)})")
    return select(editions(), on, region)


def select(held: tuple[Edition, ...], on: date, region: str) -> Mapping[str, RuleValue]:
    """The value of each key on a day: the latest edition in force wins, within it the region's own value."""
    chosen: dict[str, RuleValue] = {}
    for edition in sorted((e for e in held if e.effective <= on), key=lambda e: e.effective):
        chosen.update(_of_region(edition, region))
    for edition in sorted((e for e in held if e.effective > on), key=lambda e: e.effective):
        for key, rule in _of_region(edition, region).items():
            chosen.setdefault(key, replace(rule, early=True))
    return MappingProxyType(chosen)


def _of_region(edition: Edition, region: str) -> dict[str, RuleValue]:
    general = {rule.key: rule for rule in edition.values if rule.region is None}
    return general | {rule.key: rule for rule in edition.values if rule.region == region}


@cache
def editions() -> tuple[Edition, ...]:
    """All editions held, read once, earliest first."""
    return load(FOLDER)


def load(folder: Path) -> tuple[Edition, ...]:
    """Every toml file of a folder, checked strictly. Raises BadRulebookError."""
    held = tuple(_read(path) for path in sorted(folder.glob("*.toml")))
    for edition in held:
        for other in held:
            if other.id > edition.id and other.effective == edition.effective:
                _refuse_same_day(edition, other)
    return tuple(sorted(held, key=lambda edition: (edition.effective, edition.id)))


def _refuse_same_day(edition: Edition, other: Edition) -> None:
    """Two files that come into force on one day must not both hold a key: neither would win for a reason."""
    both = {rule.key for rule in edition.values} & {rule.key for rule in other.values}
    if both:
        raise BadRulebookError(f"{edition.id} and {other.id} both hold {', '.join(sorted(both))}")


def _read(path: Path) -> Edition:
    try:
        with path.open("rb") as file:
            raw = tomllib.load(file, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise BadRulebookError(f"{path.name}: {error}") from error
    head = raw.get("edition", {})
    if set(raw) != {"edition", "value"} or set(head) != {"title", "effective"}:
        raise BadRulebookError(
            f"{path.name}: needs [edition] with title and effective, then [[value]] tables only"
        )
    if type(head["effective"]) is not date:
        raise BadRulebookError(f"{path.name}: effective is a date, as in 2025-01-01")
    edition = Edition(path.stem, str(head["title"]), head["effective"], ())
    values: list[RuleValue] = []
    for row in raw["value"]:
        values += _rules(row, edition)
    _refuse_twice(values, path.name)
    return replace(edition, values=tuple(values))


def _refuse_twice(values: list[RuleValue], name: str) -> None:
    seen: set[tuple[str, str | None]] = set()
    for rule in values:
        if (rule.key, rule.region) in seen:
            raise BadRulebookError(f"{name}: {rule.key} stands there twice")
        seen.add((rule.key, rule.region))


def _rules(row: Mapping[str, object], edition: Edition) -> list[RuleValue]:
    """One [[value]] table as one rule, or as one rule for each name under `each`."""
    key = str(row.get("key", "?"))
    problem = _problem(row)
    if problem:
        raise BadRulebookError(f"{edition.id}: {key}: {problem}")
    each = row.get("each")
    if isinstance(each, Mapping):
        return [_rule(f"{key}.{name}", value, row, edition) for name, value in each.items()]
    return [_rule(key, row.get("value"), row, edition)]


def _problem(row: Mapping[str, object]) -> str:
    """What is wrong with a [[value]] table; empty if nothing."""
    missing = [name for name in NEEDED if not (isinstance(row.get(name), str) and str(row[name]).strip())]
    if missing:
        return f"needs {', '.join(missing)}"
    unknown_fits = "unknown" not in row or row["unknown"] in KINDS
    checks = (
        (set(row) <= ALLOWED, f"has unknown words {', '.join(sorted(set(row) - ALLOWED))}"),
        (len({"value", "each", "unknown"} & set(row)) == 1, "needs exactly one of value, each, unknown"),
        (row["trust"] in TRUST_MARKS, f"{row['trust']!r} is not a trust mark"),
        (
            ("unknown" in row) == (row["trust"] == "not known"),
            "'not known' belongs to unknown only",
        ),
        (row["unit"] in UNITS, f"{row['unit']!r} is not a unit"),
        (row.get("region") in {None, *REGIONS}, f"{row.get('region')!r} is not a region"),
        (
            (row.get("value") in _choices(row)) == (row["unit"] == "choice"),
            "a choice lists its choices, the value among them",
        ),
        (unknown_fits, f"unknown names the kind that would fit: {', '.join(KINDS)}"),
    )
    penalty = penalty_problem(row["penalty"], row["unit"]) if "penalty" in row else ""
    return next((words for holds, words in checks if not holds), "") or penalty


def _choices(row: Mapping[str, object]) -> tuple[str, ...]:
    """The words that a value of unit "choice" may be; empty for every other."""
    listed = row.get("choices", ())
    return tuple(str(word) for word in listed) if isinstance(listed, list) else ()


def _rule(key: str, raw: object, row: Mapping[str, object], edition: Edition) -> RuleValue:
    region = row.get("region")
    try:
        value = None if "unknown" in row else frozen(raw)
        kind = str(row["unknown"]) if value is None else kind_of(value)
    except ValueError as error:
        raise BadRulebookError(f"{edition.id}: {key}: {error}") from error
    return RuleValue(
        key=key,
        value=value,
        kind=kind,
        unit=str(row["unit"]),
        document=str(row["document"]),
        section=str(row["section"]),
        trust=str(row["trust"]),
        note=str(row.get("note", "")),
        edition=edition.title,
        effective=edition.effective,
        region=None if region is None else str(region),
        choices=_choices(row),
        penalty=_penalty(row),
    )


def _penalty(row: Mapping[str, object]) -> Mapping[str, Plain] | None:
    """What the penalty catalogue says of the value, where it is a row of it."""
    found = frozen(row["penalty"]) if "penalty" in row else None
    return found if isinstance(found, Mapping) else None
