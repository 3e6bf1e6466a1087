"""Sunrise, sunset and civil twilight by the published solar equations; polar day and night are values, not errors.

Source: the solar calculation details of the US atmospheric agency's research laboratory (the equations of the textbook
on astronomical algorithms); definitions of the naval observatory: rise and set with the sun's centre 0.833° below an
ideal horizon (34′ of refraction, 16′ of radius), civil twilight at 6°. The agency gives them as good to a minute up to
72° of latitude, to ten minutes beyond. Hills, trees and real air are not in them. Floats, because it is physics.

The equations are iterated with the sun at the moment of the event. A local date has the events around the passage of
the sun that lies nearest to its noon: dusk may be after midnight.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from math import acos, asin, cos, degrees, radians, sin, tan

SOURCE = "Published solar equations (atmospheric research laboratory, solar calculation details)"
CAUTION = "Computed for an ideal horizon; hills and trees are not in it, and woods are dark earlier."
FAR = "Beyond 72° of latitude the published equations are good to ten minutes only."

RISE_AND_SET, CIVIL = 90.833, 96.0
ORDINARY, ALWAYS_ABOVE, ALWAYS_BELOW = "ordinary", "always above", "always below"
_J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
_ROUNDS = 5


class NotAPlace(ValueError):
    """No such latitude or longitude; the message is a sentence to show."""


@dataclass(frozen=True, slots=True)
class Span:
    """From when until when the sun is above a height.

    `state`: "ordinary", "always above" or "always below". Around the first and last days of a polar season one
    end may be missing (None) while the other is there.
    """

    start: datetime | None
    end: datetime | None
    state: str


@dataclass(frozen=True, slots=True)
class SunDay:
    """A local date: `light` from sunrise to sunset, `civil` from dawn to dusk, `noon` the sun's passage.

    All times are aware, in the zone that was given, with microseconds of no meaning.
    """

    on: date
    light: Span
    civil: Span
    noon: datetime
    sentence: str
    remarks: tuple[str, ...]
    source: str = SOURCE


def sun_on(on: date, latitude: float, longitude: float, zone: tzinfo) -> SunDay:
    """The sun over a place (degrees, north and east positive) on a local date. Raises NotAPlace."""
    if not -90 <= latitude <= 90:
        raise NotAPlace(f"A latitude lies between -90 and 90, not {latitude:g}.")
    if not -180 <= longitude <= 180:
        raise NotAPlace(f"A longitude lies between -180 and 180, not {longitude:g}.")
    # At a pole the sun neither rises nor sets within a day, and the tangent has no value there.
    latitude = max(-89.999, min(89.999, latitude))
    midday = datetime(on.year, on.month, on.day, 12, tzinfo=zone).astimezone(UTC)
    noon = _noon(midday, longitude)
    light = _span(noon, latitude, longitude, RISE_AND_SET, zone)
    civil = _span(noon, latitude, longitude, CIVIL, zone)
    remarks = (CAUTION, FAR) if abs(latitude) > 72 else (CAUTION,)
    return SunDay(on, light, civil, noon.astimezone(zone), _sentence(light, civil), remarks)


def _noon(midday: datetime, longitude: float) -> datetime:
    """The passage of the sun nearest to a moment."""
    moment = midday
    for _ in range(_ROUNDS):
        equation, _declination = _sun(moment)
        minutes = _minutes(moment) - (720 - 4 * longitude - equation)
        moment -= timedelta(minutes=(minutes + 720) % 1440 - 720)
    return moment


def _span(noon: datetime, latitude: float, longitude: float, zenith: float, zone: tzinfo) -> Span:
    start, start_state = _event(noon, latitude, longitude, zenith, -1)
    end, end_state = _event(noon, latitude, longitude, zenith, 1)
    state = ORDINARY if start or end else start_state if start_state == end_state else ORDINARY
    return Span(start and start.astimezone(zone), end and end.astimezone(zone), state)


def _event(
    noon: datetime, latitude: float, longitude: float, zenith: float, side: int
) -> tuple[datetime | None, str]:
    """The event before (side −1) or after (side 1) a noon, or none and where the sun stays instead."""
    moment, hour = noon, 0.0
    phi, at_noon = radians(latitude), _sun(noon)[0]
    for _ in range(_ROUNDS):
        equation, declination = _sun(moment)
        hour = cos(radians(zenith)) / (cos(phi) * cos(declination)) - tan(phi) * tan(declination)
        # Held within bounds while it settles: the sun of noon may have no event where that of midnight has one.
        angle = degrees(acos(max(-1.0, min(1.0, hour))))
        moment = noon + timedelta(minutes=side * 4 * angle - (equation - at_noon))
    if abs(hour) > 1:
        return None, ALWAYS_ABOVE if hour < -1 else ALWAYS_BELOW
    return moment, ORDINARY


def _minutes(moment: datetime) -> float:
    return moment.hour * 60 + moment.minute + (moment.second + moment.microsecond / 1e6) / 60


def _sun(moment: datetime) -> tuple[float, float]:
    """Equation of time in minutes and declination in radians at a moment (UTC)."""
    t = (moment - _J2000).total_seconds() / 86400 / 36525
    mean = radians((280.46646 + t * (36000.76983 + 0.0003032 * t)) % 360)
    anomaly = radians(357.52911 + t * (35999.05029 - 0.0001537 * t))
    eccentricity = 0.016708634 - t * (0.000042037 + 0.0000001267 * t)
    centre = (
        sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t))
        + sin(2 * anomaly) * (0.019993 - 0.000101 * t)
        + sin(3 * anomaly) * 0.000289
    )
    node = radians(125.04 - 1934.136 * t)
    apparent = mean + radians(centre - 0.00569 - 0.00478 * sin(node))
    seconds = 21.448 - t * (46.815 + t * (0.00059 - t * 0.001813))
    tilt = radians(23 + (26 + seconds / 60) / 60 + 0.00256 * cos(node))
    y = tan(tilt / 2) ** 2
    equation = (
        y * sin(2 * mean)
        - 2 * eccentricity * sin(anomaly)
        + 4 * eccentricity * y * sin(anomaly) * cos(2 * mean)
        - 0.5 * y * y * sin(4 * mean)
        - 1.25 * eccentricity * eccentricity * sin(2 * anomaly)
    )
    return 4 * degrees(equation), asin(sin(tilt) * sin(apparent))


def _sentence(light: Span, civil: Span) -> str:
    parts = {
        ALWAYS_ABOVE: "The sun does not set.",
        ALWAYS_BELOW: "The sun does not rise.",
        ORDINARY: f"Sunrise {_clock(light.start)}, sunset {_clock(light.end)}.",
    }
    if light.state == ALWAYS_ABOVE:
        return parts[light.state]
    twilight = {
        ALWAYS_ABOVE: "Civil twilight all night.",
        ALWAYS_BELOW: "No civil twilight.",
        ORDINARY: f"Civil twilight from {_clock(civil.start)} to {_clock(civil.end)}.",
    }
    return f"{parts[light.state]} {twilight[civil.state]}"


def to_the_minute(moment: datetime) -> datetime:
    """Rounded to the nearest minute, so that every page says the same one."""
    return (moment + timedelta(seconds=30)).replace(second=0, microsecond=0)


def _clock(moment: datetime | None) -> str:
    return "none" if moment is None else f"{to_the_minute(moment):%H:%M}"
