"""The strip chart: where a point, a limit and a window stand, and the same in words."""

from datetime import UTC, datetime, timedelta

from events.safety.strip_chart import PLOT, Mark, Row, Window, draw

NINE = datetime(2026, 6, 12, 9, 0, tzinfo=UTC)


def at(minutes: int) -> datetime:
    return NINE + timedelta(minutes=minutes)


HEAT = Row(
    "Heat index",
    "°C",
    ((at(0), 25.0), (at(60), 33.0)),
    ((26.7, "caution"), (32.2, "extreme caution"), (40.6, "danger"), (54.4, "extreme danger")),
)


def test_nothing_read_is_no_chart() -> None:
    assert draw([], [Window("round 1", at(0), at(60))], [], now=at(0)) is None


def test_time_runs_from_full_hour_to_full_hour() -> None:
    chart = draw([HEAT], [Window("round 1", at(30), at(150))], [], now=at(75))
    assert chart is not None
    assert [(hour.x, hour.label) for hour in chart.hours] == [(0, "09"), (33.33, "10"), (66.67, "11")]
    assert [(window.x, window.width) for window in chart.windows] == [(16.67, 66.66)]
    assert (chart.now_x, chart.now_label) == (41.67, "10:15")
    assert [point.x for point in chart.rows[0].points] == [0, 33.33]


def test_only_the_limit_that_was_met_and_the_next_are_drawn() -> None:
    chart = draw([HEAT], [], [], now=at(60))
    assert chart is not None
    (row,) = chart.rows
    assert [(limit.label, limit.met, limit.upper) for limit in row.limits] == [
        ("extreme caution, 32.2 °C", True, False),
        ("danger, 40.6 °C", False, True),
    ]
    assert row.title == "Heat index 33 °C"
    assert all(row.base - PLOT <= point.y <= row.base for point in row.points)
    assert all(row.base - PLOT <= limit.y <= row.base for limit in row.limits)
    low, high = row.points
    assert low.y > high.y  # em run down the page


def test_cold_is_met_downwards() -> None:
    cold = Row("Wind chill", "°C", ((at(0), -12.0),), ((-10.0, "risk"), (-28.0, "frostbite")), downward=True)
    chart = draw([cold], [], [], now=at(0))
    assert chart is not None
    assert [(limit.label, limit.met) for limit in chart.rows[0].limits] == [
        ("risk, −10 °C", True),
        ("frostbite, −28 °C", False),
    ]


def test_one_reading_is_a_point_and_no_line() -> None:
    chart = draw([Row("UV index", "", ((at(0), 2.0),))], [], [], now=at(0))
    assert chart is not None
    (row,) = chart.rows
    assert (len(row.points), row.lines, row.title) == (1, (), "UV index 2")


def test_the_chart_is_said_in_words() -> None:
    bolt = Mark("S", at(50), "strike at 9.0 mi at 09:50")
    chart = draw([HEAT], [Window("round 1", at(30), at(150))], [bolt], now=at(60))
    assert chart is not None
    assert chart.label == (
        "round 1 09:30 to 11:30; Heat index 25 at 09:00 to 33 at 10:00 °C; strike at 9.0 mi at 09:50"
    )


def test_lightning_alone_is_a_chart() -> None:
    chart = draw([], [], [Mark("T", at(20), "thunder, not counted at 09:20")], now=at(30))
    assert chart is not None
    assert (chart.rows, [(mark.label, mark.x) for mark in chart.marks]) == ((), [("T", 33.33)])
