"""`manage.py restart_clock FILE.csv`: the earliest restart from a table of signal, strikes and thunder."""

import json
from argparse import ArgumentParser
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from events.rulebook.loader import in_force
from events.safety.computed import CAUTIONS
from events.safety.evidence_csv import EXPECTED, Clocks, read_evidence
from events.safety.lightning import Strike, lightning_set
from events.safety.restart import Clock, HornCall, restart_clock, restart_rule, resume_calls, stop_calls
from events.safety.triggers import UnknownSet
from events.setup.zones import NoSuchMoment, local_zone, one_moment, zone_named
from events.sheets.problems import Problem
from events.sheets.reading import read_table
from events.sheets.refusal import Refused


class Command(BaseCommand):
    help = (
        "Tell the earliest restart from a csv with the columns what (signal, strike, thunder), time, distance (12 mi,"
        " 19 km) and seconds. Exits with 2 where it cannot be read."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the table, .csv or .xlsx")
        parser.add_argument("--date", metavar="DATE", help="day of bare times, as 2026-06-12; default: today")
        parser.add_argument("--tz", metavar="ZONE", help="time zone of the times; default: this machine's")
        parser.add_argument("--now", metavar="TIME", help="look at it as of this moment; default: now")
        parser.add_argument("--set", default="", metavar="NAME", help="limits for lightning to go by")
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            clocks = _clocks(options)
            book = in_force(clocks.day, "north_america")
            limits = lightning_set(book, options["set"])
        except (NoSuchMoment, UnknownSet) as refused:
            raise CommandError(str(refused), returncode=2) from None
        rule = restart_rule(book)
        told, problems = read_evidence(_table(options["file"]), clocks)
        if told.signal is None and not problems:
            problems.append(
                Problem(None, "what", "", "there is no signal", "add the row of the suspension signal")
            )
        if problems or told.signal is None:
            raise CommandError(_lines(options["file"], problems), returncode=2)
        clock = restart_clock(told.signal, told.evidence, limits, rule)
        calls = (*stop_calls(told.signal, rule), *resume_calls(clock.earliest, rule))
        if options["json"]:
            self.stdout.write(json.dumps(_facts(clock, calls, limits.title), ensure_ascii=False))
            return
        self.stdout.write(_words(clock, calls, limits.title))


def _clocks(options: dict[str, Any]) -> Clocks:
    zone = zone_named(options["tz"] or local_zone())
    now = _moment(options["now"], zone) if options["now"] else timezone.now()
    return Clocks(_day(options["date"]) if options["date"] else now.astimezone(zone).date(), zone, now)


def _moment(typed: str, zone: ZoneInfo) -> datetime:
    try:
        return one_moment(datetime.fromisoformat(typed), zone)
    except ValueError as refused:
        if isinstance(refused, NoSuchMoment):
            raise
        raise NoSuchMoment(f"{typed!r} is not a time. Write 2026-06-12T14:30.") from None


def _day(typed: str) -> date:
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise NoSuchMoment(f"{typed!r} is not a date. Write 2026-06-12.") from None


def _table(path: Path) -> Any:
    try:
        return read_table(path.name, path.read_bytes(), expected=EXPECTED)
    except OSError as error:
        raise CommandError(f"{path}: {error.strerror}.", returncode=2) from error
    except Refused as reason:
        raise CommandError(f"{path}: {reason}", returncode=2) from reason


def _lines(path: Path, problems: list[Problem]) -> str:
    lines = [
        f"row {p.row}: {p.problem}" if p.row is not None else f"{p.problem}: {p.mend}" for p in problems[:50]
    ]
    return f"{path} cannot be read:\n  " + "\n  ".join(lines)


def _facts(clock: Clock, calls: tuple[HornCall, ...], title: str) -> dict[str, Any]:
    return {
        "signal": clock.signal.isoformat(),
        "earliest": clock.earliest.isoformat(),
        "warning": clock.warning.isoformat(),
        "rests_on": clock.sentence,
        "limits": title,
        "sources": list(clock.sources),
        "evidence": [
            {
                "kind": "strike" if isinstance(each.evidence, Strike) else "thunder",
                "at": each.evidence.at.isoformat(),
                "counts": each.counts,
                "why": each.why,
            }
            for each in clock.counted
        ],
        "horn": [
            {
                "signal": c.signal,
                "due": c.due.isoformat(),
                "blasts": c.blasts,
                "long": c.long,
                "words": c.words,
            }
            for c in calls
        ],
        "cautions": list(CAUTIONS),
    }


def _words(clock: Clock, calls: tuple[HornCall, ...], title: str) -> str:
    zone = clock.signal.tzinfo
    lines = [
        f"Earliest restart {clock.earliest:%H:%M}, two-minute signal {clock.warning:%H:%M} ({clock.earliest:%Y-%m-%d})",
        f"  {clock.sentence}.",
        f"  Limits: {title}. Source: {'; '.join(clock.sources)}.",
        "",
    ]
    for each in clock.counted:
        verdict = "counts" if each.counts else "does not count"
        lines.append(f"{each.evidence.at.astimezone(zone):%H:%M}  {verdict}: {each.why}")
    lines += [f"{call.due.astimezone(UTC).astimezone(zone):%H:%M:%S}  {call.words}" for call in calls]
    return "\n".join([*lines, "", *CAUTIONS])
