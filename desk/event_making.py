"""From an event file to the event: through the services that the pages use, all or nothing."""

from collections.abc import Mapping
from datetime import datetime, time, tzinfo
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction

from desk.event_file import EventFile, EventFileRefused
from events.course.grid import HoleRow
from events.course.services import LayoutRefused, assign_layouts, save_layout
from events.draw.models import Pool
from events.log.services import Actor
from events.setup import services as setup
from events.setup.models import Event, Round
from events.setup.rows import PlanError

# The file's words for fields of Event that are named otherwise.
RENAMED = {
    "first_day": "starts_on", "last_day": "ends_on", "handling_fee": "handling_fee_cents",
    "registration_opens": "registration_opens_at", "registration_closes": "registration_closes_at",
    "checkin_opens": "checkin_opens_at", "checkin_closes": "checkin_closes_at",
}  # fmt: skip


@transaction.atomic
def make_event(*, file: EventFile, actor: Actor, now: datetime, is_demo: bool = False) -> Event:
    """Make the event with divisions, layouts, rounds and pools. Raises EventFileRefused; nothing is half made."""
    try:
        event = _make(file, actor, now, is_demo)
    except ValidationError as error:
        found = error.message_dict if hasattr(error, "error_dict") else {"": error.messages}
        problems = [f"{name}: {text}".removeprefix(": ") for name, texts in found.items() for text in texts]
        raise EventFileRefused(problems) from None
    except (PlanError, LayoutRefused) as error:
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


def _at(value: Any, zone: tzinfo) -> Any:
    """A time in the file is a wall-clock time at the venue."""
    return value.replace(tzinfo=zone) if isinstance(value, datetime) and value.tzinfo is None else value


def _pool_start(event: Event, round_: Round, start: time | datetime) -> datetime:
    return _at(start, event.zone) if isinstance(start, datetime) else event.at(round_.date, start)


def _make_round(
    event: Event, index: int, row: Mapping[str, Any], file: EventFile, actor: Actor, now: datetime
) -> None:
    plan = {"start": "start_type", "first_start": "first_start", "interval": "interval_minutes"}
    facts = {field: row[word] for word, field in plan.items() if word in row}
    round_ = setup.set_round(
        event=event, number=row["number"], date=row["date"], actor=actor, now=now, **facts
    )
    layouts = {layout.name: layout for layout in event.layouts.all()}
    divisions = {division.code: division for division in event.divisions.all()}
    played = {
        division["code"]: division["layouts"][index] if "layouts" in division else division.get("layout")
        for division in file.divisions
    }
    only = next(iter(layouts)) if len(layouts) == 1 else None
    choices = {divisions[code]: layouts[name] for code, given in played.items() if (name := given or only)}
    assign_layouts(round=round_, choices=choices, actor=actor, now=now)
    for pool_row in row["pools"]:
        pool = Pool.objects.create(
            round=round_,
            label=pool_row["label"],
            start_type=pool_row.get("start", round_.start_type),
            first_start_at=_pool_start(event, round_, pool_row.get("first_start", round_.first_start)),
            interval_minutes=pool_row.get("interval", round_.interval_minutes),
            gap_after=pool_row.get("gap_after"),
            gap_minutes=pool_row.get("gap_minutes", 0),
            start_labels=", ".join(pool_row.get("start_holes", ())),
            groups_of=pool_row.get("players", 4),
        )
        pool.divisions.set(divisions[code] for code in pool_row["divisions"])
