"""The drawing of a day: everything inside it, no label over another, night where the sun is down."""

from datetime import UTC, datetime, timedelta
from itertools import combinations
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from events.logistics.running.drawing import LETTER, Drawing, Light, Mark, draw, words_of
from events.logistics.running.laying import DESK, PEOPLE, PLAY, SUN, Line

BEGIN = datetime(2026, 6, 12, 5, tzinfo=UTC)
LINES = st.lists(
    st.builds(
        lambda start, lasts, was, lane, label: Line(
            "x",
            label,
            lane,
            BEGIN + timedelta(minutes=start),
            BEGIN + timedelta(minutes=start + lasts) if lasts else None,
            was=BEGIN + timedelta(minutes=start - was) if was else None,
        ),
        st.integers(min_value=60, max_value=900),
        st.integers(min_value=0, max_value=300),
        st.sampled_from([0, 0, 50]),
        st.sampled_from([PLAY, DESK, PEOPLE]),
        st.text("abc ", min_size=3, max_size=24),
    ),
    min_size=1,
    max_size=14,
)


def same(moment: datetime) -> datetime:
    return moment


def drawn(lines: list[Line], light: Light | None = None, now: datetime = BEGIN) -> Drawing:
    found = draw(lines, light=light or Light(), now=now, local=same)
    assert found is not None
    return found


def taken(mark: Mark) -> tuple[float, float]:
    """From where to where a label reaches."""
    long = len(mark.label) * LETTER
    return (mark.label_x - long, mark.label_x) if mark.end else (mark.label_x, mark.label_x + long)


@given(LINES)
def test_no_label_lies_over_another_and_all_is_inside(lines: list[Line]) -> None:
    drawing = drawn(lines)
    assert sum(len(lane.marks) for lane in drawing.lanes) == len(lines)
    for lane in drawing.lanes:
        for mark in lane.marks:
            assert lane.y < mark.y < drawing.height
            assert 0 <= mark.x <= mark.x + mark.width <= 100.01
            left, right = taken(mark)
            assert left >= -0.01
            assert right <= 100.01
        for one, other in combinations(lane.marks, 2):
            if one.y == other.y:
                first, last = sorted((one, other), key=lambda mark: mark.x)
                assert taken(first)[1] <= taken(last)[0]
                assert first.x + first.width <= last.x


def test_a_moved_line_shows_where_it_was() -> None:
    line = Line(
        "round-2",
        "Round 2",
        PLAY,
        BEGIN + timedelta(hours=4),
        BEGIN + timedelta(hours=8),
        was=BEGIN + timedelta(hours=3),
        was_ends=BEGIN + timedelta(hours=7),
    )
    drawing = drawn([line])
    ((mark,),) = [lane.marks for lane in drawing.lanes]
    assert mark.label == "09:00–13:00 Round 2, was 08:00"
    assert (mark.was_x, mark.was_width, mark.x, mark.width) == (0.0, 16.67, 16.67, 66.66)
    assert drawing.label == "1 things from 09:00 to 13:00, 1 of them moved; the list below says each"


def test_an_end_that_alone_moved_is_said() -> None:
    line = Line("x", "Round 1", PLAY, BEGIN, BEGIN + timedelta(hours=5), was_ends=BEGIN + timedelta(hours=4))
    assert words_of(line, same) == "05:00–10:00 Round 1, was until 09:00"
    ((mark,),) = [lane.marks for lane in drawn([line]).lanes]
    assert (mark.was_x, mark.was_width) == (66.67, 0.0)


def test_night_and_twilight_are_behind_the_hours_without_sun() -> None:
    lines = [Line("x", "Keys", DESK, BEGIN, BEGIN + timedelta(hours=10))]
    light = Light(
        dawn=BEGIN + timedelta(hours=1),
        rise=BEGIN + timedelta(hours=2),
        sets=BEGIN + timedelta(hours=9),
        dusk=BEGIN + timedelta(hours=10),
    )
    bands = [(band.kind, band.x, band.width) for band in drawn(lines, light).bands]
    assert bands == [
        ("night", 0.0, 9.09),
        ("twilight", 9.09, 9.09),
        ("twilight", 81.82, 9.09),
        ("night", 90.91, 9.09),
    ]
    assert [band.kind for band in drawn(lines, Light(dark=True)).bands] == ["night"]
    assert drawn(lines).bands == ()


def test_the_sun_alone_is_no_day() -> None:
    assert draw([Line("sunrise", "Sunrise", SUN, BEGIN, None)], light=Light(), now=BEGIN, local=same) is None


def test_the_hours_are_those_of_the_venue_also_where_clocks_stand_at_half_past() -> None:
    zone = ZoneInfo("Asia/Kolkata")
    line = Line("x", "Keys", DESK, BEGIN, BEGIN + timedelta(hours=2))
    found = draw([line], light=Light(), now=BEGIN, local=lambda moment: moment.astimezone(zone))
    assert found is not None
    assert [hour.label for hour in found.hours] == ["10", "11", "12"]  # 13 would stand beyond the edge
    assert (found.now_x, found.now_label) == (16.67, "10:30")
