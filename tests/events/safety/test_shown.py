"""Figures in the units of the event."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from events.rulebook.loader import in_force
from events.safety.shown import big_words, distance_words, limit_value, value_words
from events.safety.standing import Latest, figures_of, weather_rules
from events.safety.triggers import limit_set

NOW = datetime(2026, 6, 12, 14, 5, tzinfo=UTC)
BOOK = in_force(NOW.date(), "north_america")


@pytest.mark.parametrize(
    ("kind", "value", "metres", "feet"),
    [
        ("heat", 40.24, "40.2 °C", "104 °F"),
        ("cold", -17.86, "−17.9 °C", "0 °F"),
        ("wind", 5.0, "5.0 m/s", "11 mph"),
        ("air", 124.0, "124", "124"),
        ("uv", 7.0, "7", "7"),
    ],
)
def test_metres_go_with_celsius_and_feet_with_fahrenheit(
    kind: str, value: float, metres: str, feet: str
) -> None:
    assert (value_words(kind, value, "m"), value_words(kind, value, "ft")) == (metres, feet)


def big(quantity: str, typed: str, value: str, units: str = "m") -> tuple[str, str]:
    rules = weather_rules(BOOK, {})
    (figure,) = figures_of([Latest(quantity, Decimal(value), typed, "x", NOW)], rules, NOW)
    return big_words(figure, units)


def test_the_large_figure_of_each_kind() -> None:
    assert big("wbgt", "28 C", "28") == ("28.0", "°C")
    assert big("wbgt", "28 C", "28", "ft") == ("82", "°F")
    assert big("gust", "12 m/s", "12") == ("6", "Beaufort, 12.0 m/s")
    assert big("pm25", "45", "45") == ("124", "")
    assert big("uv", "7.4", "7.4") == ("7", "")


def test_beyond_the_scale_is_said_as_that() -> None:
    """89 FR 16202: the index ends at 325.4 µg/m³."""
    assert big("pm25", "400", "400") == ("over 500", "")


def test_a_limit_is_taken_from_its_published_unit_to_the_slice() -> None:
    heat, wbgt = limit_set(BOOK, "heat", "chart"), limit_set(BOOK, "wbgt", "japan")
    assert round(limit_value(heat.steps[0], heat), 2) == 26.67
    assert limit_value(wbgt.steps[0], wbgt) == 25.0


def test_distances() -> None:
    assert (distance_words(14484.1, "m"), distance_words(14484.1, "ft")) == ("14.5 km", "9.0 mi")
