"""Pieces that flow: complete, in order, whole where they must be."""

from hypothesis import given
from hypothesis import strategies as st

from events.paper.flow import Piece, Sheet, beside, leaves, pair, prose, tall
from events.paper.fonts import Style


def nothing(pen, x, y):
    return None


def piece(height, *, joins=False, above=0.0):
    return Piece(height, nothing, above, joins)


@given(st.lists(st.tuples(st.integers(1, 60), st.booleans()), min_size=1, max_size=40))
def test_every_piece_is_there_once_in_its_order_and_no_page_is_too_full(rows):
    body = tuple(piece(height, joins=joins) for height, joins in rows)
    found = leaves(Sheet(body, foot=(piece(20),)), 130)
    assert [id(each) for leaf in found for each in leaf.pieces] == [id(each) for each in body]
    assert max(tall(leaf.pieces) for leaf in found) <= 100


def test_a_heading_goes_over_with_what_it_heads():
    body = (piece(60), piece(10, joins=True), piece(40))
    assert [len(leaf.pieces) for leaf in leaves(Sheet(body), 100)] == [1, 2]


def test_every_later_page_says_what_goes_on():
    again = (piece(15),)
    found = leaves(Sheet((piece(60), piece(60), piece(60)), again), 100)
    assert [leaf.pieces[0] in again for leaf in found] == [False, True, True]


def test_the_blank_above_falls_away_at_the_top():
    assert tall((piece(10, above=5), piece(10, above=5))) == 25


def test_an_empty_sheet_is_one_empty_page():
    assert [leaf.pieces for leaf in leaves(Sheet(()), 100)] == [()]


def test_texts_beside_each_other_break_line_by_line():
    long = "word " * 40
    lines = pair("Notes", long, 300, 10)
    assert len(lines) == len(prose(long, 300 * 0.78 - 8, size=10))
    assert [line.joins_next for line in lines] == [True, *[False] * (len(lines) - 1)]
    assert beside((("", Style.BODY, 50), ("", Style.BODY, 50)), 10) == ()
