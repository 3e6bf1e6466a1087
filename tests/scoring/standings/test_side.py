"""The right column of the kiosk: what fits beside what."""

from scoring.standings.side import HEIGHT, ShownNotice, ShownStart, sides

START = ShownStart("13:50", "", "Halvorsen, Okonjo, Brandsma")
SHORT = ShownNotice("Lunch", "Soup at the clubhouse.", "", "")
LONG = ShownNotice("Hole 7", "Wait for the flag. " * 11, "Local authorities come first.", "until 14:00")


def test_without_notices_six_starts_are_shown() -> None:
    (side,) = sides("Next starts", [START] * 8, [])
    assert (side.starts, side.notices) == ((START,) * 6, ())


def test_nothing_at_all_is_one_empty_part() -> None:
    (side,) = sides("Next starts", [], [])
    assert (side.starts, side.notices) == ((), ())


def test_short_notices_stand_together() -> None:
    (side,) = sides("Next starts", [START] * 6, [SHORT, SHORT])
    assert side.notices == (SHORT, SHORT)
    assert len(side.starts) == 5


def test_long_notices_take_turns_in_their_order() -> None:
    first, second = sides("Next starts", [], [LONG, LONG, SHORT])
    assert (first.notices, second.notices) == ((LONG,), (LONG, SHORT))


def test_two_starts_keep_their_place_beside_notices_that_could_stand_together() -> None:
    parts = sides("Next starts", [START] * 6, [LONG, SHORT, SHORT])
    assert [part.notices for part in parts] == [(LONG,), (SHORT, SHORT)]
    assert [len(part.starts) for part in parts] == [2, 5]


def test_no_part_is_higher_than_the_column() -> None:
    for notices in ([LONG], [SHORT] * 9, [LONG, SHORT, LONG]):
        for side in sides("Next starts", [START] * 6, notices):
            starts = 2.6 + sum(start.height for start in side.starts) if side.starts else 0
            assert starts + sum(notice.height + 1.6 for notice in side.notices) <= HEIGHT + 1.6
