"""Wind chill, the published formula of 2001: Celsius and m/s in, Celsius out; physics in floats."""

from dataclasses import dataclass

from events.rulebook.loader import Rulebook
from events.safety.computed import COMPUTED, Computed, not_defined
from events.safety.units import fahrenheit, figure, in_unit

NO_SUN = "Wind at 10 m above ground; sun is not counted. The wind chill is what bare skin meets, not the air."


@dataclass(frozen=True, slots=True)
class ColdRule:
    """a + bT − cV^e + dTV^e, once for °F and mph and once for °C and km/h, and where it is defined."""

    fahrenheit: tuple[float, ...]
    celsius: tuple[float, ...]
    to_f: float
    above_mph: float
    source: str


def cold_rule(book: Rulebook) -> ColdRule:
    at = "weather.wind_chill"
    return ColdRule(
        fahrenheit=tuple(float(word) for word in book.words(f"{at}.fahrenheit")),
        celsius=tuple(float(word) for word in book.words(f"{at}.celsius")),
        to_f=float(book.decimal(f"{at}.defined.to_f")),
        above_mph=float(book.decimal(f"{at}.defined.above_mph")),
        source=book.value(f"{at}.celsius").citation,
    )


def formula(t: float, speed: float, coefficients: tuple[float, ...]) -> float:
    """The bare equation, in the units of its coefficients."""
    a, b, c, d, power = coefficients
    blown = float(speed**power)
    return a + b * t - c * blown + d * t * blown


def wind_chill(t_c: float, wind_ms: float, rule: ColdRule) -> Computed:
    """Wind chill in °C. Ours is the metric form; the other differs by about 0.05 °C at most."""
    value, reason = None, ""
    if round(fahrenheit(t_c), 9) > rule.to_f:
        reason = not_defined(f"above {figure((rule.to_f - 32) * 5 / 9, 0)} °C wind is no chill by it")
    elif round(in_unit(wind_ms, "mph"), 9) <= rule.above_mph:
        reason = not_defined(f"up to {rule.above_mph:.0f} mph (1.3 m/s) the air counts as calm")
    else:
        value = formula(t_c, in_unit(wind_ms, "km/h"), rule.celsius)
    return Computed(
        quantity="wind chill",
        value=value,
        unit="°C",
        formula="Wind chill 2001, metric form",
        inputs=(("air", f"{figure(t_c)} °C"), ("wind", f"{figure(wind_ms)} m/s")),
        source=rule.source,
        reason=reason,
        remarks=(COMPUTED, NO_SUN),
    )
