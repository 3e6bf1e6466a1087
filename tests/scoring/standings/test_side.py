"""The right column of the kiosk: what fits beside what."""

from scoring.standings.side import ACROSS, UPRIGHT, OtherWords, ShownNotice, ShownStart, sides

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
    assert len(side.starts) == 4


def test_long_notices_take_turns_in_their_order() -> None:
    first, second = sides("Next starts", [], [LONG, LONG, SHORT])
    assert (first.notices, second.notices) == ((LONG,), (LONG, SHORT))


def test_two_starts_keep_their_place_beside_notices_that_could_stand_together() -> None:
    parts = sides("Next starts", [START] * 6, [LONG, SHORT, SHORT])
    assert [part.notices for part in parts] == [(LONG,), (SHORT, SHORT)]
    assert [len(part.starts) for part in parts] == [1, 4]


def test_no_part_is_higher_than_the_column() -> None:
    for notices in ([LONG], [SHORT] * 9, [LONG, SHORT, LONG]):
        for side in sides("Next starts", [START] * 6, notices):
            starts = 2.9 + sum(start.height(ACROSS) for start in side.starts) if side.starts else 0
            told = sum(notice.height(ACROSS) + 1.6 for notice in side.notices)
            assert starts + told <= ACROSS.height + 1.6


def test_on_an_upright_screen_starts_and_notices_stand_side_by_side() -> None:
    (side,) = sides("Next starts", [START] * 6, [LONG], UPRIGHT)
    assert (len(side.starts), side.notices) == (3, (LONG,))
    assert [len(each.notices) for each in sides("Next starts", [], [LONG, LONG], UPRIGHT)] == [1, 1]


def test_a_second_language_and_the_kind_take_room_of_their_own() -> None:
    other = OtherWords("fr", "Trou 7", "Attendez le drapeau. " * 11)
    spoken = ShownNotice(LONG.title, LONG.text, LONG.caution, LONG.until, "Hazard, danger to life", (other,))
    assert spoken.height(ACROSS) - LONG.height(ACROSS) > 2.25 * 11
