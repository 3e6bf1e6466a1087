"""How the pages of the kiosk are cut."""

from hypothesis import given
from hypothesis import strategies as st

from scoring.standings.board_turns import MOST_ROOM, ROOM, Length, find, foot, room_within, turns

FIELDS = st.lists(st.tuples(st.integers(1, 90), st.sampled_from(["R1", "R2"])), max_size=12).map(
    lambda found: [Length(f"D{at}", rows, columns) for at, (rows, columns) in enumerate(found)]
)


@given(FIELDS, st.integers(3, 40))
def test_every_row_stands_on_one_page_in_its_order_and_no_page_is_too_long(
    field: list[Length], room: int
) -> None:
    found = turns(field, room)
    rows = [
        (each.index, row) for turn in found for each in turn.slices for row in range(each.first, each.last)
    ]
    assert rows == [(at, row) for at, division in enumerate(field) for row in range(division.rows)]
    assert all(turn.lines <= room for turn in found)
    assert len({turn.key for turn in found}) == len(found)


@given(FIELDS, st.integers(3, 40))
def test_divisions_share_a_page_only_with_the_same_columns(field: list[Length], room: int) -> None:
    for turn in turns(field, room):
        assert len({field[each.index].columns for each in turn.slices}) == 1
        if len(turn.slices) > 1:
            assert [(each.first, each.last) for each in turn.slices] == [
                (0, field[each.index].rows) for each in turn.slices
            ]


def test_fifteen_are_parted_in_two_pages_of_like_size() -> None:
    assert [turn.lines for turn in turns([Length("MPO", 15, "")])] == [8, 7]


def test_a_page_is_found_by_its_key_or_by_its_division() -> None:
    field = [Length("MPO", 30, ""), Length("FPO", 4, ""), Length("MA1", 5, "")]
    found = turns(field)
    assert [turn.key for turn in found] == ["MPO-0", "MPO-1", "MPO-2", "FPO+MA1-0"]
    assert [find(found, key) for key in ("MPO-2", "FPO+MA1-0", "MA1-0", "MPO-7", "", "x", "-")] == [
        2,
        3,
        3,
        0,
        0,
        0,
        0,
    ]
    assert foot(found, 2) == "page 3 of 4 · FPO to MA1 next"
    assert foot(found, 3) == "page 4 of 4 · MPO next"


def test_a_screen_may_ask_for_any_room_within_reason() -> None:
    assert [room_within(asked) for asked in (None, 0, 7, 10**9)] == [ROOM, 3, 7, MOST_ROOM]
