"""The page of pictures and advice: the bag by role and wear, its masses, and this weather."""

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from events.bags.above import Measured
from events.bags.advice import Piece as AdvicePiece
from events.bags.advice import advise
from events.bags.bag_picture import WEARS, Piece, mass_picture, roles_table
from events.bags.judging import Judged, judge
from events.bags.models import Weighing
from events.bags.pages import ROLE_WORDS, WEAR_WORDS
from events.bags.queries import bag_of
from events.entries.models import Entry
from events.setup.models import Event, Round, Units

# What is measured where anybody plays; beyond it the figure is a slip of the finger.
WINDS, DEGREES = (0.0, 60.0), (-40.0, 55.0)


def advice_context(entry: Entry, round: Round, typed: Mapping[str, str]) -> dict[str, Any]:
    """The page's content for wind and temperature as they were typed; blank is not known, nonsense is `unread`."""
    view = bag_of(entry, round)
    judged = judge(entry.event, view.carried, round)
    pieces = [_piece(judged[disc.pk]) for disc in view.carried]
    feet = entry.event.units == Units.FEET
    wind = _between(WINDS, _metres_per_second(_number(typed.get("wind")), feet=feet))
    celsius = _between(DEGREES, _celsius(_number(typed.get("temperature")), feet=feet))
    read = {"wind": wind, "temperature": celsius}
    guards = [each.weighing.guard_g for each in judged.values() if each.weighing is not None]
    return {
        "entry": entry,
        "round": round,
        "roles": [(ROLE_WORDS[row.role], row.numbers) for row in roles_table(pieces)],
        "wears": [WEAR_WORDS[wear] for wear in WEARS],
        "masses": mass_picture(pieces, min(guards) if guards else None),
        "advice": advise(
            [_for_advice(judged[disc.pk]) for disc in view.carried],
            wind=wind,
            celsius=celsius,
        ),
        "unread": [name for name, value in read.items() if value is None and typed.get(name, "").strip()],
        "wind": typed.get("wind", "")[:10],
        "temperature": typed.get("temperature", "")[:10],
        "wind_unit": "mph" if feet else "m/s",
        "temperature_unit": "°F" if feet else "°C",
    }


def as_typed(event: Event, measured: Mapping[str, Measured]) -> dict[str, str]:
    """Readings of the weather desk as a player would type them, in the units of the event."""
    feet = event.units == Units.FEET
    shown = {}
    if "wind" in measured:
        wind = measured["wind"].value
        shown["wind"] = f"{wind / 0.44704 if feet else wind:.1f}"
    if "temperature" in measured:
        celsius = measured["temperature"].value
        shown["temperature"] = f"{celsius * 1.8 + 32 if feet else celsius:.0f}"
    return shown


def _mass(judged: Judged) -> Decimal | None:
    weighed: Weighing | None = judged.weighing
    return weighed.shown_g if weighed is not None else judged.disc.stamped_mass_g


def _piece(judged: Judged) -> Piece:
    disc = judged.disc
    limit = judged.limit.listed_g
    return Piece(disc.number, disc.role, disc.wear, _mass(judged), limit, judged.weighing is not None)


def _for_advice(judged: Judged) -> AdvicePiece:
    disc = judged.disc
    return AdvicePiece(
        disc.number, disc.model_key, disc.role, disc.wear, _mass(judged), judged.limit.listed_g
    )


def _number(text: str | None) -> float | None:
    try:
        found = Decimal((text or "").strip().replace(",", "."))
    except InvalidOperation:
        return None
    return float(found) if found.is_finite() and abs(found) < 1000 else None


def _between(bounds: tuple[float, float], value: float | None) -> float | None:
    return value if value is not None and bounds[0] <= value <= bounds[1] else None


def _metres_per_second(value: float | None, *, feet: bool) -> float | None:
    return value * 0.44704 if value is not None and feet else value


def _celsius(value: float | None, *, feet: bool) -> float | None:
    return (value - 32) / 1.8 if value is not None and feet else value
