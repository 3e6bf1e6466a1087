"""`manage.py weather --temp 32C --rh 60 --wind 5m/s …`: the computations of the weather desk without an event."""

import json
import re
from argparse import ArgumentParser
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from events.rulebook.loader import Rulebook, in_force
from events.safety import units
from events.safety.computed import CAUTIONS, Computed
from events.safety.conditions import Condition, Readings, conditions
from events.safety.lightning import Strike, Thunder, count_rule, flash_to_bang, judged, lightning_set
from events.safety.triggers import KINDS, UnknownSet
from events.safety.units import NotAReading, figure

OPTIONS: dict[str, tuple[Callable[[str], Decimal], str]] = {
    "temp": (units.temperature_c, "air, as 32C or 90F"),
    "rh": (units.humidity_percent, "relative humidity in percent"),
    "wind": (units.speed_ms, "as 5m/s, 18km/h, 12mph or 10kn"),
    "gust": (units.speed_ms, "as wind"),
    "wbgt": (units.wbgt_c, "measured WBGT, as 28.5C: it stands before the computed one"),
    "pm25": (units.pm25_ug_m3, "fine particles, mean of 24 hours, µg/m³"),
    "uv": (units.uv_index, "UV index"),
    "flash-to-bang": (units.count_seconds, "seconds from flash to thunder"),
    "strike": (units.distance_m, "distance of a strike from a detection service, as 12mi or 19km"),
}


class Command(BaseCommand):
    help = (
        "Compute heat index, WBGT, wind chill, Beaufort, air quality, UV class and lightning from readings, with the"
        " published limits. Exits with 2 where a reading cannot be read."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        # So that --temp -5C is a temperature and not an option that nobody knows.
        parser._negative_number_matcher = re.compile(r"^-\d")
        for name, (_, words) in OPTIONS.items():
            parser.add_argument(f"--{name}", metavar="READING", help=words)
        parser.add_argument(
            "--set",
            action="append",
            default=[],
            metavar="KIND=NAME",
            help=f"limits to go by; kinds: {', '.join((*KINDS, 'lightning'))}",
        )
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        book = in_force(timezone.localdate(), "north_america")
        try:
            read = {name: _read(name, options[name.replace("-", "_")]) for name in OPTIONS}
            chosen = _chosen(options["set"])
            lines = [_line(each) for each in conditions(_readings(read, options), book, chosen)]
            lines += _lightning(read, book, chosen.get("lightning", ""))
        except (NotAReading, UnknownSet) as refused:
            raise CommandError(str(refused), returncode=2) from None
        if not any(value is not None for value in read.values()):
            raise CommandError("Give at least one reading, as --temp 32C --rh 60.", returncode=2)
        if options["json"]:
            self.stdout.write(json.dumps({"computed": lines, "cautions": CAUTIONS}, ensure_ascii=False))
            return
        for line in lines:
            self.stdout.write(_words(line))
        if not lines:
            self.stdout.write("Nothing can be computed: heat needs --temp and --rh, cold --temp and --wind.")
        self.stdout.write("\n" + "\n".join(CAUTIONS))


def _read(name: str, typed: str | None) -> Decimal | None:
    return None if typed is None else OPTIONS[name][0](typed)


def _readings(read: dict[str, Decimal | None], options: dict[str, Any]) -> Readings:
    return Readings(
        temperature_c=read["temp"],
        humidity=read["rh"],
        wind_ms=read["wind"],
        gust_ms=read["gust"],
        wbgt_c=read["wbgt"],
        pm25=read["pm25"],
        uv=read["uv"],
        wind_unit=units.speed_unit(options["wind"]) if options["wind"] else "m/s",
        gust_unit=units.speed_unit(options["gust"]) if options["gust"] else "m/s",
    )


def _chosen(pairs: list[str]) -> dict[str, str]:
    chosen = {}
    for pair in pairs:
        kind, equals, key = pair.partition("=")
        if not equals or kind not in (*KINDS, "lightning"):
            raise UnknownSet(
                f"{pair!r}: write KIND=NAME, as heat=later; kinds are {', '.join(KINDS)}, lightning."
            )
        chosen[kind] = key
    return chosen


def _line(each: Condition) -> dict[str, Any]:
    return _facts(each.kind, each.computed) | {
        "limits": each.trigger.limits.title,
        "limits_source": each.trigger.limits.source,
        "trigger_met": each.trigger.met,
        "sentence": each.trigger.sentence,
    }


def _facts(kind: str, computed: Computed) -> dict[str, Any]:
    return {
        "kind": kind,
        "quantity": computed.quantity,
        "value": None if computed.value is None else round(computed.value, 2),
        "unit": computed.unit,
        "reason": computed.reason,
        "measured": computed.measured,
        "formula": computed.formula,
        "inputs": dict(computed.inputs),
        "source": computed.source,
        "remarks": list(computed.remarks),
    }


def _lightning(read: dict[str, Decimal | None], book: Rulebook, key: str) -> list[dict[str, Any]]:
    """Counted thunder and a strike, each by itself: they are two kinds of evidence."""
    limits, now = lightning_set(book, key), timezone.now()
    lines = []
    count, strike = read["flash-to-bang"], read["strike"]
    if count is not None:
        verdict = judged(Thunder(now, float(count)), limits)
        lines.append(
            _facts("thunder", flash_to_bang(count, count_rule(book))) | _verdict(verdict.counts, verdict.why)
        )
    if strike is not None:
        verdict = judged(Strike(now, float(strike)), limits)
        read_off = Computed(
            "lightning strike",
            float(strike),
            "m",
            "Distance as the service gives it",
            (("strike", f"{figure(float(strike) / 1000)} km"),),
            "a detection service",
        )
        lines.append(_facts("strike", read_off) | _verdict(verdict.counts, verdict.why))
    return [line | {"limits": limits.title, "limits_source": limits.source} for line in lines]


def _verdict(met: bool, why: str) -> dict[str, Any]:
    sentence = f"Trigger met: {why}: suspend play." if met else f"No trigger met: {why}."
    return {"trigger_met": met, "sentence": sentence}


def _words(line: dict[str, Any]) -> str:
    value = line["reason"] if line["value"] is None else _value(line)
    inputs = ", ".join(f"{name} {words}" for name, words in line["inputs"].items())
    told = [
        f"{line['quantity']}: {value}",
        f"  {line['sentence']}",
        f"  {line['formula']}; {inputs}. Source: {line['source']}.",
        f"  Limits: {line['limits_source']}.",
    ]
    return "\n".join([*told, *(f"  {remark}" for remark in line["remarks"])])


def _value(line: dict[str, Any]) -> str:
    """Whole numbers for indices, kilometres for distances, both scales for temperatures."""
    value = float(line["value"])
    if line["unit"] == "m":
        return f"{figure(value / 1000)} km ({figure(units.miles(value))} miles)"
    if line["unit"] == "°C":
        return f"{figure(value)} °C ({figure(units.fahrenheit(value), 0)} °F)"
    return f"{figure(value, 0)} {line['unit']}".strip()
