"""A line of weather as people type it: all of it with its units, or a question and nothing."""

from decimal import Decimal

import pytest

from events.safety.pasted import readings_in
from events.safety.units import NotAReading


def pairs(text: str) -> list[tuple[str, Decimal, str]]:
    return [(each.quantity, each.value, each.typed) for each in readings_in(text)]


def test_a_pasted_line_is_read_whole() -> None:
    assert pairs("32 C, 60 %, wind 5 m/s gust 9 m/s") == [
        ("temperature", Decimal(32), "32 C"),
        ("humidity", Decimal(60), "60 %"),
        ("wind", Decimal(5), "5 m/s"),
        ("gust", Decimal(9), "9 m/s"),
    ]


def test_a_label_is_stronger_than_a_unit() -> None:
    assert pairs("WBGT: 28,5 °C; PM2.5 35 µg/m³; UV 7; T=20C") == [
        ("wbgt", Decimal("28.5"), "28,5 °C"),
        ("pm25", Decimal(35), "35 µg/m³"),
        ("uv", Decimal(7), "7"),
        ("temperature", Decimal(20), "20 C"),
    ]


def test_a_label_may_follow_its_figure() -> None:
    assert pairs("20.5C,60% RH 5 m/s wind from SW") == [
        ("temperature", Decimal("20.5"), "20.5 C"),
        ("humidity", Decimal(60), "60 %"),
        ("wind", Decimal(5), "5 m/s"),
    ]


@pytest.mark.parametrize("typed", ["-5C", "−5C"])
def test_below_zero_with_either_minus(typed: str) -> None:
    assert [(each.quantity, each.value) for each in readings_in(typed)] == [("temperature", Decimal(-5))]


def test_each_line_has_its_own_time() -> None:
    found = readings_in("14:05 31 C 40 %\n32 C at 14:30\n60 %")
    assert [(each.typed, each.clock) for each in found] == [
        ("31 C", "14:05"),
        ("40 %", "14:05"),
        ("32 C", "14:30"),
        ("60 %", ""),
    ]


def test_several_times_on_one_line_each_govern_what_follows() -> None:
    found = readings_in("14:05 31 C 14:30 32 C")
    assert [(each.typed, each.clock) for each in found] == [("31 C", "14:05"), ("32 C", "14:30")]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "There is no reading in it. Write for instance 32 C, 60 %, wind 5 m/s."),
        ("32", "32 of what? Write the unit too: 32 C, 60 %, wind 5 m/s, or UV 7."),
        ("wind 5", "wind: 5 of what? Write the unit too: 5 m/s, 18 km/h, 12 mph or 10 kn."),
        ("temp 32", "temperature: 32 of what? Write the unit too: 32 C or 90 F."),
        ("humidity 140", "Humidity lies between 0 and 100 %, not 140 %."),
        ("140 %", "Humidity lies between 0 and 100 %, not 140 %."),
        ("32 C 33 C", "Temperature comes twice: which one is it?"),
        ("32 C, wind", "Wind: the figure is missing."),
        ("32 bananas", "32 bananas: this unit is not known. Nothing was taken."),
        ("32 C dewpoint", "“dewpoint” is not understood. Nothing was taken."),
        ("uv 7 %", "UV index: '%' is not a unit for it. Write 7."),
        ("wind -3 m/s", "-3 m/s: no wind blows like that."),
        ("95 C", "95 C: no air has that temperature."),
        ("thunder 25 s", "Lightning and thunder have their own line below. Nothing was taken."),
        ("x" * 2001, "This is longer than 2000 characters: paste a few lines of readings only."),
    ],
)
def test_what_is_not_clear_is_asked_in_a_sentence(text: str, sentence: str) -> None:
    with pytest.raises(NotAReading) as asked:
        readings_in(text)
    assert str(asked.value) == sentence
