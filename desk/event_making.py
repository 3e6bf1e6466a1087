"""From an event file to the event: through the services that the pages use, all or nothing."""

from collections.abc import Mapping
from datetime import datetime, tzinfo
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction

from desk.event_file import EventFile, EventFileRefused
from events.course.grid import HoleRow
from events.course.services import LayoutRefused, assign_layouts, save_layout
from events.draw.planning import PoolRow, PoolsRefused, save_pools
from events.log.services import Actor
from events.setup import services as setup
from events.setup.models import Division, Event, Round
from events.setup.rows import PlanError

# The file's words for fields that are named otherwise here.
RENAMED = {
    "first_day": "starts_on", "last_day": "ends_on", "handling_fee": "handling_fee_cents",
    "registration_opens": "registration_opens_at", "registration_closes": "registration_closes_at",
    "checkin_opens": "checkin_opens_at", "checkin_closes": "checkin_closes_at",
}  # fmt: skip
RENAMED_OF_HOLE = {"length": "length_m", "walk": "walk_minutes"}


@transaction.atomic
def make_event(*, file: EventFile, actor: Actor, now: datetime, is_demo: bool = False) -> Event:
    """Make the event with divisions, layouts, rounds and pools. Raises EventFileRefused; nothing is half made."""
    try:
        event = _make(file, actor, now, is_demo)
    except ValidationError as error:
        found = error.message_dict if hasattr(error, "error_dict") else {"": error.messages}
        problems = [f"{name}: {text}".removeprefix(": ") for name, texts in found.items() for text in texts]
        raise EventFileRefused(problems) from None
    except (PlanError, LayoutRefused, PoolsRefused) as error:
        raise EventFileRefused([str(error)]) from None
    return event


def _make(file: EventFile, actor: Actor, now: datetime, is_demo: bool) -> Event:
    zone = ZoneInfo(file.event.get("time_zone", "UTC"))
    facts = {RENAMED.get(name, name): _at(value, zone) for name, value in file.event.items()}
    event = setup.create_event(actor=actor, now=now, is_demo=is_demo, **facts)
    _make_prices(event, file, actor, now)
    for row in file.layouts:
        holes = [
            HoleRow(**{RENAMED_OF_HOLE.get(word, word): hole[word] for word in hole}) for hole in row["holes"]
        ]
        save_layout(event=event, name=row["name"], rows=holes, actor=actor, now=now)
    layouts = {layout.name: layout for layout in event.layouts.all()}
    divisions = {division.code: division for division in event.divisions.all()}
    for index, row in enumerate(file.rounds):
        round_ = _make_round(event, row, actor, now)
        played = {divisions[code]: layouts[name] for code, name in _played(file, index).items()}
        assign_layouts(round=round_, choices=played, actor=actor, now=now)
        if row["pools"]:
            pools = [_pool_row(round_, pool, divisions) for pool in row["pools"]]
            save_pools(round=round_, rows=pools, actor=actor, now=now)
    event.refresh_from_db()
    return event


def _make_prices(event: Event, file: EventFile, actor: Actor, now: datetime) -> None:
    """What can be entered and bought: divisions and add-ons."""
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


def _make_round(event: Event, row: Mapping[str, Any], actor: Actor, now: datetime) -> Round:
    plan = {"start": "start_type", "first_start": "first_start", "interval": "interval_minutes"}
    facts = {field: row[word] for word, field in plan.items() if word in row}
    return setup.set_round(event=event, number=row["number"], date=row["date"], actor=actor, now=now, **facts)


def _played(file: EventFile, index: int) -> dict[str, str]:
    """The layout of each division in a round; the only layout of the event needs no naming."""
    only = file.layouts[0]["name"] if len(file.layouts) == 1 else None
    named = {
        division["code"]: division["layouts"][index]
        if "layouts" in division
        else division.get("layout", only)
        for division in file.divisions
    }
    return {code: name for code, name in named.items() if name is not None}


def _pool_row(round_: Round, row: Mapping[str, Any], divisions: Mapping[str, Division]) -> PoolRow:
    start = row.get("first_start", round_.first_start)
    return PoolRow(
        pk=None,
        label=row["label"],
        divisions=tuple(divisions[code].pk for code in row["divisions"]),
        start_type=row.get("start", round_.start_type),
        first_start_at=(
            _at(start, round_.event.zone)
            if isinstance(start, datetime)
            else round_.event.at(round_.date, start)
        ),
        interval_minutes=row.get("interval", round_.interval_minutes),
        gap_after=row.get("gap_after"),
        gap_minutes=row.get("gap_minutes", 0),
        start_labels=", ".join(row.get("start_holes", ())),
        groups_of=row.get("players", 4),
    )


def _at(value: Any, zone: tzinfo) -> Any:
    """A time in the file is a wall-clock time at the venue."""
    return value.replace(tzinfo=zone) if isinstance(value, datetime) and value.tzinfo is None else value
