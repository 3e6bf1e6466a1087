"""Readings as they are typed: units, slips of the keys, and sentences that say how to write it."""

from decimal import Decimal

import pytest

from events.safety import units
from events.safety.units import NotAReading, figure, half_up

D = Decimal


@pytest.mark.parametrize(
    ("read", "typed", "value"),
    [
        (units.temperature_c, "32C", "32"),
        (units.temperature_c, " 32,5 °C ", "32.5"),
        (units.temperature_c, "−5 c", "-5"),
        (units.temperature_c, "-40 F", "-40"),
        (units.temperature_c, "50 °F", "10"),
        (units.wbgt_c, "86 F", "30"),
        (units.humidity_percent, "60", "60"),
        (units.humidity_percent, "60 %", "60"),
        (units.speed_ms, "5m/s", "5"),
        (units.speed_ms, "10 mph", "4.4704"),
        (units.distance_m, "15 miles", "24140.160"),
        (units.distance_m, "24.1 km", "24100.0"),
        (units.count_seconds, "25 s", "25"),
        (units.pm25_ug_m3, "35.4 ug/m3", "35.4"),
        (units.uv_index, "7", "7"),
    ],
)
def test_readings(read, typed, value):
    assert read(typed) == D(value)


def test_speeds_of_one_kind_are_exact_to_a_thousandth():
    assert round(units.speed_ms("18 km/h"), 6) == 5
    assert round(units.speed_ms("10 kn"), 4) == D("5.1444")


@pytest.mark.parametrize(
    ("read", "typed", "sentence"),
    [
        (units.temperature_c, "32", "temperature: 32 of what? Write the unit too: 32 C or 90 F."),
        (units.temperature_c, "32 K", "temperature: 'K' is not a unit for it. Write 32 C or 90 F."),
        (units.temperature_c, "90 C", "90 C: no air has that temperature."),
        (units.temperature_c, "warm", "temperature: 'warm' is not a number with a unit. Write 32 C or 90 F."),
        (units.temperature_c, "", "temperature: '' is not a number with a unit. Write 32 C or 90 F."),
        (units.humidity_percent, "140", "Humidity lies between 0 and 100 %, not 140 %."),
        (units.humidity_percent, "-1%", "Humidity lies between 0 and 100 %, not -1 %."),
        (units.speed_ms, "5", "wind: 5 of what? Write the unit too: 5 m/s, 18 km/h, 12 mph or 10 kn."),
        (units.speed_ms, "-5 m/s", "-5 m/s: no wind blows like that."),
        (units.distance_m, "12", "distance: 12 of what? Write the unit too: 12 mi or 19 km."),
        (units.distance_m, "12 s", "distance: 's' is not a unit for it. Write 12 mi or 19 km."),
        (units.count_seconds, "400", "400: thunder is counted from 0 to 300 seconds."),
        (units.pm25_ug_m3, "9 ppm", "PM2.5: 'ppm' is not a unit for it. Write 35 µg/m³."),
        (units.uv_index, "7 C", "UV index: 'C' is not a unit for it. Write 7."),
        (units.uv_index, "1e3", "UV index: 'e3' is not a unit for it. Write 7."),
    ],
)
def test_what_is_no_reading_gets_a_sentence(read, typed, sentence):
    with pytest.raises(NotAReading) as refused:
        read(typed)

    assert str(refused.value) == sentence


@pytest.mark.parametrize("typed", ["NaN C", "inf C", "١٢C" * 40, "9" * 60 + "C", "1\x002 C"])
def test_hostile_text_is_refused(typed):
    with pytest.raises(NotAReading):
        units.temperature_c(typed)


@pytest.mark.parametrize(
    ("value", "places", "words"), [(2.25, 1, "2.3"), (-3.31, 1, "−3.3"), (-0.04, 1, "0.0"), (105.5, 0, "106")]
)
def test_figures(value, places, words):
    assert figure(value, places) == words


def test_halves_go_up_also_below_zero():
    assert [half_up(v, D(1)) for v in (2.5, -19.5, -19.51)] == [3, -19, -20]
