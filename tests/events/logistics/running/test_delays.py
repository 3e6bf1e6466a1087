"""What a delay moves, and what it never moves."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from events.logistics.play import Start
from events.logistics.running.anchors import (
    CLOCK,
    DAY_ENDS,
    FIRST_START,
    FIXED,
    ROUND_END,
    Played,
    anchors_of,
)
from events.logistics.running.delays import Delay, settled, shifted
from events.logistics.running.laying import DESK, Item, lay_out

MIDNIGHT = datetime(2026, 6, 13, tzinfo=UTC)
MINUTES = st.integers(min_value=0, max_value=24 * 60 - 1)


def at(minute: int) -> datetime:
    return datetime(2026, 6, 12, tzinfo=UTC) + timedelta(minutes=minute)


def hour(clock: str) -> datetime:
    hours, minutes = clock.split(":")
    return at(int(hours) * 60 + int(minutes))


def delay(since: str, minutes: int) -> Delay:
    return Delay(hour(since), timedelta(minutes=minutes), "rain", MIDNIGHT)


DELAYS = st.lists(
    st.builds(
        lambda since, by: Delay(at(since), timedelta(minutes=by), "rain", MIDNIGHT),
        MINUTES,
        st.integers(min_value=1, max_value=180),
    ),
    max_size=4,
)


@given(MINUTES, DELAYS)
def test_what_had_come_before_the_first_delay_stays_and_nothing_comes_earlier(
    minute: int, delays: list[Delay]
) -> None:
    moment = at(minute)
    after = shifted(moment, delays)
    assert after >= moment
    if not delays or moment <= min(each.since for each in delays):
        assert after == moment


@given(MINUTES, MINUTES, st.integers(min_value=1, max_value=180))
def test_all_that_was_to_come_moves_by_the_delay_and_lies_after_it(minute: int, since: int, by: int) -> None:
    one = Delay(at(since), timedelta(minutes=by), "rain", MIDNIGHT)
    after = shifted(at(minute), [one])
    if minute > since:
        assert after == at(minute + by)
        assert after > one.since + one.by
    else:
        assert after == at(minute)


@given(MINUTES, MINUTES, DELAYS)
def test_the_order_of_the_day_stays(one: int, other: int, delays: list[Delay]) -> None:
    first, last = sorted((at(one), at(other)))
    assert shifted(first, delays) <= shifted(last, delays)


@given(MINUTES, MINUTES, DELAYS)
def test_what_is_tied_to_a_round_never_comes_before_the_round_stands_nor_leaves_the_past(
    planned: int, later: int, delays: list[Delay]
) -> None:
    was, found = at(planned), at(planned + later)
    now = settled(was, found, delays)
    assert was <= now <= found
    if delays and was <= min(each.since for each in delays):
        assert now == was
    if delays and shifted(was, delays) > max(each.since for each in delays):
        assert now == found


def test_another_day_is_not_moved() -> None:
    assert shifted(MIDNIGHT + timedelta(hours=9), [delay("13:00", 50)]) == MIDNIGHT + timedelta(hours=9)


def test_two_delays_add_up_for_what_lies_behind_both() -> None:
    both = [delay("13:00", 20), delay("10:00", 30)]
    assert shifted(hour("09:00"), both) == hour("09:00")
    assert shifted(hour("11:00"), both) == hour("11:30")
    assert shifted(hour("12:45"), both) == hour(
        "13:35"
    )  # moved to 13:15 by the first, so the second finds it


def round_at(number: int, *starts: str) -> Played:
    return Played(number, tuple(Start(hour(start), timedelta(hours=4)) for start in starts))


def test_a_run_says_what_was_and_leaves_what_is_fixed_or_gone() -> None:
    planned = anchors_of([round_at(1, "09:00"), round_at(2, "14:00")], opens=None, closes=None)
    found = anchors_of([round_at(1, "09:00"), round_at(2, "14:50")], opens=None, closes=None)
    items = [
        Item("keys", "Keys", DESK, (FIRST_START, 1), -60),
        Item("food", "Food", DESK, (CLOCK, 0), at=hour("13:30"), lasts=30),
        Item("music", "Licence for music ends", DESK, (FIXED, 0), at=hour("20:00")),
        Item("briefing", "Briefing", DESK, (FIRST_START, 2), -30),
        Item("down", "Tear down", DESK, (DAY_ENDS, 0), 30, lasts=60),
        Item("gone", "Of a round that is not there", DESK, (ROUND_END, 3)),
    ]
    lines = {
        line.key: line for line in lay_out(items, planned=planned, found=found, delays=[delay("12:00", 50)])
    }
    assert {
        key: (f"{line.starts:%H:%M}", line.was and f"{line.was:%H:%M}") for key, line in lines.items()
    } == {
        "keys": ("08:00", None),
        "food": ("14:20", "13:30"),
        "briefing": ("14:20", "13:30"),
        "down": ("19:20", "18:30"),
        "music": ("20:00", None),
    }
    assert lines["down"].ends == hour("20:20")
    assert lines["down"].was_ends == hour("19:30")


def test_what_was_under_way_lasts_longer_by_the_delay() -> None:
    item = Item("food", "Food", DESK, (CLOCK, 0), at=hour("12:00"), lasts=90)
    (line,) = lay_out([item], planned={}, found={}, delays=[delay("13:00", 50)])
    assert (line.starts, line.was) == (hour("12:00"), None)
    assert (line.ends, line.was_ends) == (hour("14:20"), hour("13:30"))
