from datetime import UTC, datetime, timedelta

from desk.timeline import Mark, Span, draw

NINE = datetime(2026, 6, 12, 9, tzinfo=UTC)


def test_an_empty_day_is_no_drawing():
    assert draw([], [], now=NINE) is None


def test_spans_lie_on_a_scale_of_full_hours():
    timeline = draw([Span("round 1", NINE, NINE + timedelta(hours=3))], [], now=NINE + timedelta(hours=1))
    assert timeline is not None
    assert [(hour.x, hour.label) for hour in timeline.hours] == [
        (0.0, "09"),
        (25.0, "10"),
        (50.0, "11"),
        (75.0, "12"),
    ]
    (span,) = timeline.spans
    assert (span.x, span.width, span.kind) == (0.0, 75.0, "")
    assert (timeline.now_x, timeline.now_label) == (25.0, "10:00")
    assert timeline.label == "round 1 09:00 to 12:00"


def test_overlapping_spans_stand_on_two_rows_and_past_ones_say_so():
    spans = [
        Span("a", NINE, NINE + timedelta(hours=2)),
        Span("b", NINE + timedelta(hours=1), NINE + timedelta(hours=3)),
    ]
    timeline = draw(spans, [], now=NINE + timedelta(hours=2, minutes=30))
    assert timeline is not None
    assert [(span.y, span.kind) for span in timeline.spans] == [(3, "past"), (5, "")]


def test_now_is_left_out_on_another_day():
    timeline = draw(
        [Span("a", NINE, NINE + timedelta(hours=2))], [Mark("due", NINE)], now=NINE + timedelta(days=1)
    )
    assert timeline is not None
    assert timeline.now_label == ""


def test_a_late_mark_carries_its_label_at_the_left():
    marks = [Mark("first", NINE), Mark("last", NINE + timedelta(hours=8), needs=True)]
    timeline = draw([], marks, now=NINE)
    assert timeline is not None
    assert [(mark.label, mark.end, mark.needs) for mark in timeline.marks] == [
        ("first", False, False),
        ("last", True, True),
    ]
