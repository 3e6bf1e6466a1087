"""How the weather stands: which reading counts, how old it is, and what the limits that are met ask for."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from events.rulebook.loader import in_force
from events.safety.lightning import Strike, Thunder
from events.safety.standing import (
    Asked,
    Figure,
    Latest,
    figures_of,
    lightning_now,
    means_for_event,
    series_of,
    weather_rules,
)

NOW = datetime(2026, 6, 12, 14, 5, tzinfo=UTC)
BOOK = in_force(NOW.date(), "north_america")
RULES = weather_rules(BOOK, {})
MILE = 1609.344


def latest(quantity: str, typed: str, value: str, minutes: int = 0) -> Latest:
    return Latest(quantity, Decimal(value), typed, "hand meter", NOW - timedelta(minutes=minutes))


HOT = (latest("temperature", "32 C", "32", 12), latest("humidity", "60 %", "60", 20))


def kinds(figures: tuple[Figure, ...]) -> list[tuple[str, bool]]:
    return [(figure.kind, figure.computed.measured) for figure in figures]


def test_a_figure_is_as_old_as_its_oldest_reading() -> None:
    wbgt, heat = figures_of(HOT, RULES, NOW)
    assert (wbgt.kind, heat.kind) == ("wbgt", "heat")
    assert [(each.reading.typed, each.minutes, each.old) for each in heat.inputs] == [
        ("32 C", 12, False),
        ("60 %", 20, False),
    ]
    assert (heat.minutes, heat.old) == (20, False)


def test_one_hour_makes_a_reading_old_and_twelve_make_it_useless() -> None:
    """Common practice, no source: both figures stand in the rulebook as such."""
    for minutes, old in ((59, False), (60, True), (720, True)):
        (figure,) = figures_of([latest("uv", "7", "7", minutes)], RULES, NOW)
        assert (figure.minutes, figure.old) == (minutes, old)
    assert figures_of([latest("uv", "7", "7", 721)], RULES, NOW) == ()


def test_a_reading_of_the_future_is_not_used() -> None:
    assert figures_of([latest("uv", "7", "7", -1)], RULES, NOW) == ()


def test_a_measured_wbgt_stands_before_the_approximation() -> None:
    measured = latest("wbgt", "28 C", "28", 59)
    assert kinds(figures_of([*HOT, measured], RULES, NOW)) == [("wbgt", True), ("heat", False)]


def test_an_old_measured_wbgt_hides_nothing() -> None:
    measured = latest("wbgt", "28 C", "28", 60)
    found = figures_of([*HOT, measured], RULES, NOW)
    assert kinds(found) == [("wbgt", True), ("wbgt", False), ("heat", False)]
    assert [figure.old for figure in found] == [True, False, False]


def test_the_limits_of_the_wind_are_speeds_and_its_figure_is_beaufort() -> None:
    (wind,) = figures_of([latest("wind", "25 mph", "11.18")], RULES, NOW)
    assert (wind.computed.value, wind.computed.formula) == (6.0, "Beaufort scale, limits in mph")
    assert wind.trigger.step is not None
    assert wind.trigger.step.word == "Beaufort 6"


def test_the_event_goes_by_the_set_it_chose() -> None:
    """Heat-index categories, older chart 105 °F, later text 103 °F: 104 °F is danger by one of them only."""
    readings = [latest("temperature", "34 C", "34"), latest("humidity", "54 %", "54.9")]
    for key, word in (("chart", "extreme caution"), ("later", "danger")):
        found = figures_of(readings, weather_rules(BOOK, {"heat": key}), NOW)
        (heat,) = [figure for figure in found if figure.kind == "heat"]
        assert heat.trigger.step is not None
        assert heat.trigger.step.word == word


def test_what_is_not_defined_has_no_figure_and_no_class() -> None:
    wind, cold = latest("wind", "5 m/s", "5"), latest("temperature", "20 C", "20")
    found = {figure.kind: figure for figure in figures_of([wind, cold], RULES, NOW)}
    assert found["cold"].defined is False
    assert found["cold"].trigger.met is False
    assert found["cold"].computed.reason == "not defined here: above 10 °C wind is no chill by it"


def test_lightning_is_a_trigger_for_half_an_hour() -> None:
    strike = Strike(NOW - timedelta(minutes=29), 9 * MILE)
    found = lightning_now([strike], RULES, NOW)
    assert found.until == NOW + timedelta(minutes=1)
    assert found.sentence == (
        "Trigger met: strike at 9.0 miles, within 15 miles, 29 min ago (This sport, and any thunder heard):"
        " suspend play."
    )
    later = lightning_now([strike], RULES, NOW + timedelta(minutes=1))
    assert (later.active, later.until) == ((), None)
    assert later.sentence == (
        "No trigger met at 14:06: the last event that counts is 30 min old (This sport, and any thunder heard)."
    )


def test_several_events_are_counted_and_the_newest_is_named() -> None:
    found = lightning_now(
        [
            Strike(NOW - timedelta(minutes=9), 9 * MILE),
            Thunder(NOW - timedelta(minutes=4)),
            Strike(NOW, 40 * MILE),
        ],
        RULES,
        NOW,
    )
    assert len(found.active) == 2
    assert found.sentence.startswith("Trigger met: thunder heard, 4 min ago, and 1 more within 30 minutes (")
    assert found.until == NOW + timedelta(minutes=26)


def test_nothing_written_down_is_no_all_clear() -> None:
    assert lightning_now([], RULES, NOW).sentence == (
        "No trigger met at 14:05: nothing that counts is written down, which is no all-clear"
        " (This sport, and any thunder heard)."
    )


def test_what_stops_play_is_asked_for_first() -> None:
    air = latest("pm25", "130", "130")  # very unhealthy: suspend
    sun = latest("uv", "11", "11")
    figures = figures_of([sun, air], RULES, NOW)
    assert means_for_event(figures, lightning_now([], RULES, NOW), NOW) == Asked(
        "Suspend; another day or indoors.", "Shade at the waits, cover up, shorter waits in the sun."
    )


def test_lightning_goes_before_everything() -> None:
    bolt = lightning_now([Thunder(NOW)], RULES, NOW)
    figures = figures_of([latest("uv", "4", "4")], RULES, NOW)
    assert means_for_event(figures, bolt, NOW) == Asked(
        "Suspend play, three blasts.", "Hat, shirt, sunscreen."
    )


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([], "No reading to go by at 14:05."),
        (
            [latest("uv", "2", "2", 12)],
            "No trigger met at 14:05; the oldest reading in use is 12 min old.",
        ),
    ],
)
def test_without_a_trigger_the_time_and_the_age_are_said(readings: list[Latest], words: str) -> None:
    figures = figures_of(readings, RULES, NOW)
    assert means_for_event(figures, lightning_now([], RULES, NOW), NOW) == Asked(words)


def test_the_day_is_worked_out_at_each_reading_with_what_was_known_then() -> None:
    readings = [
        latest("temperature", "20 C", "20", 120),
        latest("humidity", "50 %", "50", 120),
        latest("wind", "5 m/s", "5", 90),
        latest("temperature", "30 C", "30", 60),
    ]
    series = series_of(readings, RULES)
    assert [at for at, _ in series["wbgt"]] == [NOW - timedelta(minutes=120), NOW - timedelta(minutes=60)]
    assert [round(value, 2) for _, value in series["wbgt"]] == [
        19.86,
        29.26,
    ]  # the table of the approximation
    assert series["wind"] == [(NOW - timedelta(minutes=90), 5.0)]
    assert "cold" not in series
