"""`manage.py sun LAT LON DATE --tz Zone`: sunrise, sunset and civil twilight of a place and day."""

import json
from argparse import ArgumentParser
from datetime import date, datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from events.setup.sun import NotAPlace, SunDay, sun_on
from events.setup.zones import NoSuchMoment, local_zone, zone_named


class Command(BaseCommand):
    help = (
        "Tell sunrise, sunset and civil twilight of a place and day. North and east are positive."
        " Exits with 2 where there is no such place."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("latitude", metavar="LAT", help="degrees, as 60.17 or -33.87")
        parser.add_argument("longitude", metavar="LON", help="degrees, as 24.94 or -104.99")
        parser.add_argument("date", metavar="DATE", help="as 2026-06-12")
        parser.add_argument("--tz", metavar="ZONE", help="time zone of the place; default: this machine's")
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            zone = zone_named(options["tz"] or local_zone())
            day = sun_on(
                _day(options["date"]),
                _degrees(options["latitude"], "latitude"),
                _degrees(options["longitude"], "longitude"),
                zone,
            )
        except (NotAPlace, NoSuchMoment) as refused:
            raise CommandError(str(refused), returncode=2) from None
        if options["json"]:
            self.stdout.write(json.dumps(_facts(day, zone.key), ensure_ascii=False))
            return
        self.stdout.write(f"{day.on.isoformat()}, {zone.key}: {day.sentence}")
        self.stdout.write("\n".join((*day.remarks, f"Source: {day.source}.")))


def _degrees(typed: str, what: str) -> float:
    try:
        return float(typed.replace("−", "-"))
    except ValueError:
        raise NotAPlace(
            f"{what}: {typed!r} is not a number of degrees. Write it as 60.17 or -33.87."
        ) from None


def _day(typed: str) -> date:
    try:
        on = date.fromisoformat(typed)
    except ValueError:
        raise NoSuchMoment(f"{typed!r} is not a date. Write 2026-06-12.") from None
    if not 1900 <= on.year <= 2100:
        raise NoSuchMoment("The equations are for the years 1900 to 2100.")
    return on


def _facts(day: SunDay, zone: str) -> dict[str, Any]:
    return {
        "date": day.on.isoformat(),
        "zone": zone,
        "civil_dawn": _iso(day.civil.start),
        "sunrise": _iso(day.light.start),
        "noon": _iso(day.noon),
        "sunset": _iso(day.light.end),
        "civil_dusk": _iso(day.civil.end),
        "sun": day.light.state,
        "civil_twilight": day.civil.state,
        "sentence": day.sentence,
        "remarks": list(day.remarks),
        "source": day.source,
    }


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat(timespec="seconds")
