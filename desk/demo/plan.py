"""The demo event's plan: the file in fixtures/, moved in time so that its stage is going on now. Pure."""

from copy import deepcopy
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from desk.event_file import EventFile, read_event_file

FILE = Path(__file__).resolve().parents[2] / "fixtures" / "event.toml"
LARGEST_SHOTGUN = 100
TEE_TIME_HOLES = ["1", "7", "11"]  # on neither layout a tee that the other one uses

# Which round is how many minutes old when the demo is made: its stage is read off the clock.
STARTED = {"round1": (0, 206), "final": (2, 360), "closed": (2, 600)}
STAGES = ("entries", "checkin", *STARTED)


def plan_for(stage: str, *, now: datetime, zone: str, players: int, pro_cap: int | None = None) -> EventFile:
    """The plan with all its times moved. `now` aware; times in the file are wall-clock times in `zone`."""
    file = deepcopy(read_event_file(FILE.read_text(encoding="utf-8")))
    file.event["time_zone"] = zone
    # The venue moves with the clocks, so that its sun rises in the morning.
    file.event["longitude"] = round((now.utcoffset() or timedelta(0)) / timedelta(hours=1) * 15, 2)
    file.event.pop("cap", None)
    for division in file.divisions:
        if division["code"] == "MPO" and pro_cap is not None:
            division["cap"] = pro_cap
    if players > LARGEST_SHOTGUN:
        _use_tee_times(file)
    return moved(file, _shift(file, stage, now))


def _start(file: EventFile, index: int) -> datetime:
    row = file.rounds[index]
    return datetime.combine(row["date"], row["first_start"])


def _shift(file: EventFile, stage: str, now: datetime) -> timedelta:
    local = now.replace(tzinfo=None, second=0, microsecond=0)
    if stage in STARTED:
        index, minutes = STARTED[stage]
        return _floor(local - timedelta(minutes=minutes), 5) - _start(file, index)
    if stage == "entries":
        return datetime.combine(local.date() + timedelta(days=21), _start(file, 0).time()) - _start(file, 0)
    start = _floor(local + timedelta(minutes=90), 15)
    if not time(6) <= start.time() <= time(16):
        start = datetime.combine(start.date() + timedelta(days=start.time() > time(16)), time(9))
    return start - _start(file, 0)


def _floor(moment: datetime, minutes: int) -> datetime:
    """The full quarter of an hour, or the full five minutes, before."""
    return moment - timedelta(minutes=moment.minute % minutes)


def _use_tee_times(file: EventFile) -> None:
    """A field too large for a shotgun goes out on tee times from several holes."""
    for row in file.rounds:
        row["start"] = "tee_times"
        for pool in row["pools"]:
            pool.update(start="tee_times", interval=6, start_holes=TEE_TIME_HOLES)
            pool.pop("gap_after", None)


def moved(file: EventFile, shift: timedelta) -> EventFile:
    """Every date and time of the plan later by `shift`."""
    event = {
        name: value + shift if isinstance(value, datetime) else value for name, value in file.event.items()
    }
    rounds = [_moved_round(row, shift) for row in file.rounds]
    event["first_day"], event["last_day"] = rounds[0]["date"], rounds[-1]["date"]
    return replace(file, event=event, rounds=rounds)


def _moved_round(row: dict[str, Any], shift: timedelta) -> dict[str, Any]:
    start = datetime.combine(row["date"], row["first_start"]) + shift
    pools = [
        {**pool, "first_start": _moved_time(row["date"], pool.get("first_start", row["first_start"]), shift)}
        for pool in row["pools"]
    ]
    return {**row, "date": start.date(), "first_start": start.time(), "pools": pools}


def _moved_time(day: date, start: time | datetime, shift: timedelta) -> datetime:
    return (start if isinstance(start, datetime) else datetime.combine(day, start)) + shift
