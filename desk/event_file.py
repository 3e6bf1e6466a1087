"""An event in one documented file: what `manage.py new_event FILE.toml` reads. DEVELOPERS.md shows one.

Reading is strict: an unknown word, a missing one, or a value of the wrong kind is named with its place, and every
fault of the file is found at once. Making the event goes through the services that the pages use, all or nothing.
"""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction

from events.course.grid import HoleRow
from events.course.services import LayoutRefused, assign_layouts, save_layout
from events.draw.models import Pool
from events.log.services import Actor
from events.setup import services as setup
from events.setup.models import Event
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


def _clock(value: Any) -> time:
    if not isinstance(value, time):
        raise ValueError("write a time without quotes, as 09:00:00")
    return value


def _moment(value: Any) -> datetime:
    if not isinstance(value, datetime):
        raise ValueError("write a date and time without quotes, as 2026-06-12T07:00:00")
    return value


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
    "venue": _text, "place": _text, "latitude": _number, "longitude": _number, "time_zone": _text,
    "units": _text, "paper": _text, "currency": _text, "cap": _count, "cap_pro": _count, "cap_am": _count,
    "handling_fee": _cents, "registration_opens": _moment, "registration_closes": _moment,
    "checkin_opens": _moment, "checkin_closes": _moment, "card_per_player": _flag, "avoid_repeats": _flag,
    "show_town": _flag,
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
    "label": _text, "divisions": _texts, "start": _text, "first_start": _clock, "interval": _count,
    "gap_after": _count, "gap_minutes": _count, "start_holes": _texts, "players": _count,
}  # fmt: skip
ADDON: dict[str, Reader] = {"name": _text, "kind": _text, "fee": _cents, "included": _flag}
PARTS = {"event", "divisions", "layouts", "rounds", "addons"}

# The file's words for fields of Event that are named otherwise.
RENAMED = {
    "first_day": "starts_on", "last_day": "ends_on", "handling_fee": "handling_fee_cents",
    "registration_opens": "registration_opens_at", "registration_closes": "registration_closes_at",
    "checkin_opens": "checkin_opens_at", "checkin_closes": "checkin_closes_at",
}  # fmt: skip


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


@transaction.atomic
def make_event(*, file: EventFile, actor: Actor, now: datetime, is_demo: bool = False) -> Event:
    """Make the event with divisions, layouts, rounds and pools. Raises EventFileRefused; nothing is half made."""
    try:
        event = _make(file, actor, now, is_demo)
    except ValidationError as error:
        found = error.message_dict if hasattr(error, "error_dict") else {"": error.messages}
        problems = [f"{name}: {text}".removeprefix(": ") for name, texts in found.items() for text in texts]
        raise EventFileRefused(problems) from None
    except (setup.PlanError, LayoutRefused) as error:
        raise EventFileRefused([str(error)]) from None
    return event


def _make(file: EventFile, actor: Actor, now: datetime, is_demo: bool) -> Event:
    zone = ZoneInfo(file.event.get("time_zone", "UTC"))
    facts = {RENAMED.get(name, name): _at(value, zone) for name, value in file.event.items()}
    event = setup.create_event(actor=actor, now=now, is_demo=is_demo, **facts)
    for order, row in enumerate(file.divisions):
        setup.set_division(
            event=event,
            code=row["code"],
            fee_cents=row["fee"],
            cap=row.get("cap"),
            order=order,
            actor=actor,
            now=now,
        )
    for row in file.addons:
        setup.set_addon(
            event=event,
            name=row["name"],
            kind=row.get("kind", "extra"),
            fee_cents=row["fee"],
            included=row.get("included", False),
            actor=actor,
            now=now,
        )
    for row in file.layouts:
        holes = [
            HoleRow(
                label=hole["label"],
                par=hole["par"],
                length_m=hole.get("length"),
                tee=hole.get("tee", ""),
                target=hole.get("target", ""),
                walk_minutes=hole.get("walk"),
                note=hole.get("note", ""),
            )
            for hole in row["holes"]
        ]
        save_layout(event=event, name=row["name"], rows=holes, actor=actor, now=now)
    for index, row in enumerate(file.rounds):
        _make_round(event, index, row, file, actor, now)
    event.refresh_from_db()
    return event


def _at(value: Any, zone: ZoneInfo) -> Any:
    """A time in the file is a wall-clock time at the venue."""
    return value.replace(tzinfo=zone) if isinstance(value, datetime) and value.tzinfo is None else value


def _make_round(
    event: Event, index: int, row: Mapping[str, Any], file: EventFile, actor: Actor, now: datetime
) -> None:
    plan = {"start": "start_type", "first_start": "first_start", "interval": "interval_minutes"}
    given = {field: row[word] for word, field in plan.items() if word in row}
    round_ = setup.set_round(
        event=event, number=row["number"], date=row["date"], actor=actor, now=now, **given
    )
    layouts = {layout.name: layout for layout in event.layouts.all()}
    divisions = {division.code: division for division in event.divisions.all()}
    played = {
        division["code"]: division["layouts"][index] if "layouts" in division else division.get("layout")
        for division in file.divisions
    }
    only = next(iter(layouts)) if len(layouts) == 1 else None
    choices = {divisions[code]: layouts[name or only] for code, name in played.items() if name or only}
    assign_layouts(round=round_, choices=choices, actor=actor, now=now)
    for pool_row in row["pools"]:
        pool = Pool.objects.create(
            round=round_,
            label=pool_row["label"],
            start_type=pool_row.get("start", round_.start_type),
            first_start_at=event.at(round_.date, pool_row.get("first_start", round_.first_start)),
            interval_minutes=pool_row.get("interval", round_.interval_minutes),
            gap_after=pool_row.get("gap_after"),
            gap_minutes=pool_row.get("gap_minutes", 0),
            start_labels=", ".join(pool_row.get("start_holes", ())),
            groups_of=pool_row.get("players", 4),
        )
        pool.divisions.set(divisions[code] for code in pool_row["divisions"])


def load(path: Path) -> EventFile:
    """Raises EventFileRefused, also for a file that is not there or not text."""
    try:
        return read_event_file(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise EventFileRefused([f"{path}: {error.strerror}."]) from None
    except UnicodeDecodeError:
        raise EventFileRefused([f"{path} is not a text file in UTF-8."]) from None
