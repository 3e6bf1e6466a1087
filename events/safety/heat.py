"""Heat index (both adjustments and the simple branch) and WBGT (measured first, else the published approximation).

The physics is in floats, the coefficients come from the rulebook. Celsius goes in and comes out; the published heat
index is worked out in Fahrenheit, as it was made.
"""

from dataclasses import dataclass
from math import exp, sqrt

from events.rulebook.loader import Rulebook
from events.rulebook.values import Plain
from events.safety.computed import COMPUTED, Computed, not_defined
from events.safety.units import celsius, fahrenheit, figure

SHADE = "Made for shade and light wind: full sun adds up to 15 °F (8 °C)."
APPROXIMATE = (
    "An approximation: it takes moderately high sun and light wind for granted. Too high when it is cloudy, windy"
    " or dark; too low in strong sun without wind."
)
MEASURE = "WBGT is to be measured on the spot; a measured value always stands before this one."


@dataclass(frozen=True, slots=True)
class HeatRule:
    """The published coefficients, in °F and percent, and where the formula is defined."""

    simple: tuple[float, float, float, float, float]
    regression: tuple[float, ...]
    switch_f: float
    dry: tuple[float, float, float]
    humid: tuple[float, float, float]
    from_f: float
    to_f: float
    result_to_f: float
    source: str


@dataclass(frozen=True, slots=True)
class WbgtRule:
    """The approximation's coefficients, in °C and hPa."""

    per_celsius: float
    per_hpa: float
    plus: float
    hpa: float
    factor: float
    offset_c: float
    from_c: float
    to_c: float
    source: str


def heat_rule(book: Rulebook) -> HeatRule:
    at = "weather.heat_index"
    return HeatRule(
        simple=_five(_floats(book, f"{at}.simple", ("share", "plus", "base_f", "slope", "per_percent"))),
        regression=tuple(_float(each) for each in _listed(book.get(f"{at}.regression"))),
        switch_f=float(book.decimal(f"{at}.switch_f")),
        dry=_three(_floats(book, f"{at}.dry", ("below_percent", "from_f", "to_f"))),
        humid=_three(_floats(book, f"{at}.humid", ("above_percent", "from_f", "to_f"))),
        from_f=float(book.decimal(f"{at}.defined.from_f")),
        to_f=float(book.decimal(f"{at}.defined.to_f")),
        result_to_f=float(book.decimal(f"{at}.defined.result_to_f")),
        source=book.value(f"{at}.regression").citation,
    )


def wbgt_rule(book: Rulebook) -> WbgtRule:
    at = "weather.wbgt"
    per_celsius, per_hpa, plus = _floats(book, f"{at}.approximation", ("per_celsius", "per_hpa", "plus"))
    hpa, factor, offset_c = _floats(book, f"{at}.vapour", ("hpa", "factor", "offset_c"))
    from_c, to_c = _floats(book, f"{at}.defined", ("from_c", "to_c"))
    source = book.value(f"{at}.approximation.per_hpa").citation
    return WbgtRule(per_celsius, per_hpa, plus, hpa, factor, offset_c, from_c, to_c, source)


def heat_index_f(t: float, rh: float, rule: HeatRule) -> tuple[float, str]:
    """°F and percent → heat index in °F and the branch: `simple`, `full`, `full, dry` or `full, humid`.

    The page says that the simple value is averaged with the temperature; the share of one half already does that,
    and it is not done twice (both readings differ only between 78 and 80 °F).
    """
    share, plus, base, slope, per_percent = rule.simple
    simple = share * (t + plus + (t - base) * slope + rh * per_percent)
    if simple < rule.switch_f:
        return simple, "simple"
    c = rule.regression
    terms = (1, t, rh, t * rh, t * t, rh * rh, t * t * rh, t * rh * rh, t * t * rh * rh)
    full = sum(factor * term for factor, term in zip(c, terms, strict=True))
    below, dry_from, dry_to = rule.dry
    above, humid_from, humid_to = rule.humid
    if rh < below and dry_from <= t <= dry_to:
        return full - (below - rh) / 4 * sqrt((17 - abs(t - 95)) / 17), "full, dry"
    if rh > above and humid_from <= t <= humid_to:
        return full + (rh - above) / 10 * (humid_to - t) / 5, "full, humid"
    return full, "full"


def heat_index(t_c: float, rh: float, rule: HeatRule) -> Computed:
    """Heat index in °C from the air in °C and its humidity in percent (0 to 100)."""
    t = fahrenheit(t_c)
    value, branch, reason, at_least = None, "", "", None
    if not 0 <= rh <= 100:
        reason = not_defined("humidity lies between 0 and 100 %")
    elif t < rule.from_f:
        reason = not_defined(f"below {figure(celsius(rule.from_f), 0)} °C the air is too cool for it")
    elif t > rule.to_f:
        reason = not_defined(f"above {figure(celsius(rule.to_f))} °C it was never fitted; measure the WBGT")
    else:
        found, branch = heat_index_f(t, rh, rule)
        if found > rule.result_to_f:
            at_least = celsius(rule.result_to_f)
            reason = not_defined(f"above {figure(at_least)} °C the published chart ends")
        else:
            value = celsius(found)
    return Computed(
        quantity="heat index",
        value=value,
        unit="°C",
        formula=f"Heat index, {branch} form" if branch else "Heat index",
        inputs=(("air", f"{figure(t_c)} °C"), ("humidity", f"{figure(rh, 0)} %")),
        source=rule.source,
        reason=reason,
        remarks=(COMPUTED, SHADE),
        at_least=at_least,
    )


def vapour_pressure_hpa(t_c: float, rh: float, rule: WbgtRule) -> float:
    """Water vapour in hPa, never kPa: one public document is wrong by ten here."""
    return rh / 100 * rule.hpa * exp(rule.factor * t_c / (rule.offset_c + t_c))


def wbgt(t_c: float | None, rh: float | None, rule: WbgtRule, measured_c: float | None = None) -> Computed:
    """WBGT in °C: the measured value where there is one, else the approximation from air and humidity."""
    if measured_c is not None:
        read = (("WBGT", f"{figure(measured_c)} °C"),)
        return Computed("WBGT", measured_c, "°C", "WBGT, measured", read, "your own reading", measured=True)
    inputs = (
        ("air", "not read" if t_c is None else f"{figure(t_c)} °C"),
        ("humidity", "not read" if rh is None else f"{figure(rh, 0)} %"),
    )
    value, reason = None, ""
    if t_c is None or rh is None:
        reason = not_defined("air and humidity are both needed, or a measured WBGT")
    elif not 0 <= rh <= 100:
        reason = not_defined("humidity lies between 0 and 100 %")
    elif not rule.from_c <= t_c <= rule.to_c:
        reason = not_defined(f"between {rule.from_c:.0f} and {rule.to_c:.0f} °C only")
    else:
        value = rule.per_celsius * t_c + rule.per_hpa * vapour_pressure_hpa(t_c, rh, rule) + rule.plus
    return Computed(
        quantity="WBGT",
        value=value,
        unit="°C",
        formula="WBGT, approximation from air and humidity",
        inputs=inputs,
        source=rule.source,
        reason=reason,
        remarks=(COMPUTED, APPROXIMATE, MEASURE),
    )


def _floats(book: Rulebook, key: str, names: tuple[str, ...]) -> tuple[float, ...]:
    table = book.table(key)
    return tuple(_float(table[name]) for name in names)


def _float(value: Plain) -> float:
    return float(str(value))


def _listed(value: Plain) -> tuple[Plain, ...]:
    assert isinstance(value, tuple)
    return value


def _three(values: tuple[float, ...]) -> tuple[float, float, float]:
    one, two, three = values
    return one, two, three


def _five(values: tuple[float, ...]) -> tuple[float, float, float, float, float]:
    one, two, three, four, five = values
    return one, two, three, four, five
