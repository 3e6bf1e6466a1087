"""An event in one documented file: what `manage.py new_event FILE.toml` reads. DEVELOPERS.md shows one.

Reading is strict: an unknown word, a missing one, or a value of the wrong kind is named with its place, and every
fault of the file is found at once. event_making.py makes the event.
"""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from events.sheets.numbers import money
from events.sheets.values import BadValue


class EventFileRefused(Exception):
    """The file cannot become an event; `problems` say where and why."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


Reader = Callable[[Any], Any]


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise ValueError("write text in quotes")
    return value.strip()


def _count(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise ValueError("write a whole number")
    return value


def _flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise ValueError("write true or false")
    return value


def _cents(value: Any) -> int:
    """45, 45.5 or "45.50" in the currency of the event."""
    try:
        cents = money(Decimal(str(value)) if isinstance(value, int | float) else value)
    except BadValue as bad:
        raise ValueError(bad.mend) from None
    if cents is None or cents < 0:
        raise ValueError("write an amount, as 45 or 45.50")
    return cents


def _number(value: Any) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("write a number")
    return Decimal(str(value))


def _day(value: Any) -> date:
    if not isinstance(value, date) or isinstance(value, datetime):
        raise ValueError("write a date without quotes, as 2026-06-12")
    return value


def _days(value: Any) -> list[str]:
    if not isinstance(value, list):
        raise ValueError("write a list of dates without quotes, as [2026-12-25]")
    return sorted(_day(item).isoformat() for item in value)


def _clock(value: Any) -> time:
    if not isinstance(value, time):
        raise ValueError("write a time without quotes, as 09:00:00")
    return value


def _clock_or_moment(value: Any) -> time | datetime:
    """A pool starts on the day of its round, unless it says otherwise."""
    return _moment(value) if isinstance(value, datetime) else _clock(value)


def _moment(value: Any) -> datetime:
    if not isinstance(value, datetime):
        raise ValueError("write a date and time without quotes, as 2026-06-12T07:00:00")
    return value


def _zone(value: Any) -> str:
    name = _text(value)
    if name not in available_timezones():
        raise ValueError(f"{name} is not a time zone; an example: Europe/Oslo")
    return name


def _texts(value: Any) -> list[str]:
    if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
        raise ValueError('write a list of texts, as ["MPO", "MA1"]')
    return value


def _tables(value: Any) -> list[Mapping[str, Any]]:
    if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
        raise ValueError("write tables")
    return value


EVENT: dict[str, Reader] = {
    "name": _text, "slug": _text, "first_day": _day, "last_day": _day, "tier": _text, "region": _text,
    "venue": _text, "place": _text, "latitude": _number, "longitude": _number, "time_zone": _zone,
    "units": _text, "paper": _text, "currency": _text, "cap": _count, "cap_pro": _count, "cap_am": _count,
    "handling_fee": _cents, "registration_opens": _moment, "registration_closes": _moment,
    "checkin_opens": _moment, "checkin_closes": _moment, "cards": _text, "avoid_repeats": _flag,
    "show_town": _flag, "days_off": _days,
}  # fmt: skip
DIVISION: dict[str, Reader] = {
    "code": _text,
    "fee": _cents,
    "cap": _count,
    "layout": _text,
    "layouts": _texts,
}
LAYOUT: dict[str, Reader] = {"name": _text, "holes": _tables}
HOLE: dict[str, Reader] = {
    "label": _text, "par": _count, "length": _count, "tee": _text, "target": _text, "walk": _count, "note": _text,
}  # fmt: skip
ROUND: dict[str, Reader] = {
    "number": _count, "date": _day, "start": _text, "first_start": _clock, "interval": _count, "pools": _tables,
}  # fmt: skip
POOL: dict[str, Reader] = {
    "label": _text, "divisions": _texts, "start": _text, "first_start": _clock_or_moment, "interval": _count,
    "gap_after": _count, "gap_minutes": _count, "start_holes": _texts, "players": _count,
}  # fmt: skip
ADDON: dict[str, Reader] = {"name": _text, "kind": _text, "fee": _cents, "included": _flag}
PARTS = {"event", "divisions", "layouts", "rounds", "addons"}


@dataclass(frozen=True, slots=True)
class EventFile:
    """The file's tables with their values read, in the order of the file."""

    event: dict[str, Any]
    divisions: list[dict[str, Any]]
    layouts: list[dict[str, Any]]
    rounds: list[dict[str, Any]]
    addons: list[dict[str, Any]] = field(default_factory=list)


def read_event_file(text: str) -> EventFile:
    """Raises EventFileRefused with every fault of the file."""
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise EventFileRefused([f"The file is not valid TOML: {error}."]) from None
    problems = [
        f"{name}: no such part; there are {', '.join(sorted(PARTS))}." for name in raw if name not in PARTS
    ]
    event = _read(raw.get("event", {}), EVENT, ("name", "first_day", "last_day"), "event", problems)
    divisions = _read_all(raw, "divisions", DIVISION, ("code", "fee"), problems)
    layouts = _read_all(raw, "layouts", LAYOUT, ("name", "holes"), problems)
    rounds = _read_all(raw, "rounds", ROUND, ("number", "date"), problems)
    addons = _read_all(raw, "addons", ADDON, ("name", "fee"), problems)
    for layout in layouts:
        layout["holes"] = [
            _read(hole, HOLE, ("label", "par"), f"layout {layout.get('name')}, hole {number}", problems)
            for number, hole in enumerate(layout.get("holes", ()), start=1)
        ]
    for round_ in rounds:
        round_["pools"] = [
            _read(
                pool, POOL, ("label", "divisions"), f"round {round_.get('number')}, pool {number}", problems
            )
            for number, pool in enumerate(round_.get("pools", ()), start=1)
        ]
    if not problems:
        problems = _references(divisions, layouts, rounds)
    if problems:
        raise EventFileRefused(problems)
    return EventFile(event, divisions, layouts, rounds, addons)


def _read_all(
    raw: Mapping[str, Any],
    part: str,
    readers: dict[str, Reader],
    needed: tuple[str, ...],
    problems: list[str],
) -> list[dict[str, Any]]:
    tables = raw.get(part, [])
    if not isinstance(tables, list):
        problems.append(f"{part}: write each as [[{part}]].")
        return []
    return [
        _read(table, readers, needed, f"{part} {number}", problems)
        for number, table in enumerate(tables, start=1)
    ]


def _read(
    table: Any, readers: dict[str, Reader], needed: tuple[str, ...], place: str, problems: list[str]
) -> dict[str, Any]:
    if not isinstance(table, dict):
        problems.append(f"{place}: write a table.")
        return {}
    problems += [f"{place}: {name} is missing." for name in needed if name not in table]
    values: dict[str, Any] = {}
    for name, value in table.items():
        if name not in readers:
            problems.append(f"{place}: there is no {name} here; there are {', '.join(readers)}.")
            continue
        try:
            values[name] = readers[name](value)
        except ValueError as error:
            problems.append(f"{place}: {name} = {value!r}: {error}.")
    return values


def _references(
    divisions: list[dict[str, Any]], layouts: list[dict[str, Any]], rounds: list[dict[str, Any]]
) -> list[str]:
    """Names that point at nothing."""
    names, codes = {layout["name"] for layout in layouts}, {division["code"] for division in divisions}
    problems = []
    for division in divisions:
        played = division.get("layouts", [division["layout"]] if "layout" in division else [])
        problems += [
            f"division {division['code']}: there is no layout {name}." for name in played if name not in names
        ]
        if "layouts" in division and len(division["layouts"]) != len(rounds):
            problems.append(
                f"division {division['code']}: layouts names one layout for each of {len(rounds)} rounds."
            )
    for round_ in rounds:
        for pool in round_["pools"]:
            problems += [
                f"round {round_['number']}, pool {pool['label']}: {code} is not offered."
                for code in pool["divisions"]
                if code not in codes
            ]
    return problems


def load(path: Path) -> EventFile:
    """Raises EventFileRefused, also for a file that is not there or not text."""
    try:
        return read_event_file(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise EventFileRefused([f"{path}: {error.strerror}."]) from None
    except UnicodeDecodeError:
        raise EventFileRefused([f"{path} is not a text file in UTF-8."]) from None
