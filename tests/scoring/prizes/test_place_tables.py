"""A director's own table: taken whole, or every problem named by row and column."""

from fractions import Fraction

import pytest

from events.sheets.refusal import Refused
from scoring.prizes.examples import EXAMPLES
from scoring.prizes.place_tables import PlaceTable, read_table, restored, stored

SOUND = b"places,place 1,place 2,place 3\n1,100\n2,62.5,37.5\n3,50,30,20\n"


def problems(text: str) -> list[tuple[int | None, str, str]]:
    return [(each.row, each.column, each.problem) for each in read_table(text.encode()).problems]


def test_a_sound_table():
    found = read_table(SOUND)

    assert found.problems == ()
    assert dict(found.rows) == {
        1: (Fraction(100),),
        2: (Fraction(125, 2), Fraction(75, 2)),
        3: (Fraction(50), Fraction(30), Fraction(20)),
    }


@pytest.mark.parametrize(
    "text",
    [
        "1;100\n2;62,5;37,5\n3;50;30;20\n",
        "\ufeffplaces\tfirst\tsecond\tthird\r\n3\t50 %\t30 %\t20 %\r\n1\t100%\r\n2\t62.5%\t37.5%\r\n",
    ],
)
def test_other_separators_decimals_orders_and_signs(text):
    assert read_table(text.encode()).rows == read_table(SOUND).rows
    assert read_table(text.encode()).problems == ()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1,100\n2,60,30\n", [(2, "sum", "The percentages do not sum to 100.")]),
        ("1,100\n2,40,60\n", [(2, "place 2", "This place gets more than the place before it.")]),
        ("1,100\n2,sixty,40\n", [(2, "place 1", "This is no percentage.")]),
        ("1,100\n2,100,0\n", [(2, "place 2", "This is no percentage.")]),
        ("1,100\n2,50,30,20\n", [(2, "places", "The row is for 2 places and has 3 percentages.")]),
        ("1,100\n1,100\n", [(2, "places", "This number of places stands in row 1 already.")]),
        ("1,100\nx,60,40\n", [(2, "places", "This is no number of places.")]),
        ("1,100\n500,60,40\n", [(2, "places", "This is no number of places.")]),
        ("1,100\n3,50,30,20\n", [(None, "places", "No row is for 2 places.")]),
        ("places,place 1\n", [(None, "", "The file has no rows.")]),
        (
            "1,90\n2,a,b\n",
            [
                (1, "sum", "The percentages do not sum to 100."),
                (2, "place 1", "This is no percentage."),
                (2, "place 2", "This is no percentage."),
            ],
        ),
    ],
)
def test_each_problem_is_named(text, expected):
    assert problems(text) == expected


def test_each_problem_says_the_mend():
    found = read_table(b"x,1\n1,90\n3,1,2\n4,abc\n")

    assert found.problems
    assert all(each.mend.endswith(".") for each in found.problems)


def test_bytes_that_are_no_table_are_refused():
    with pytest.raises(Refused, match="binary"):
        read_table(b"\x00\x01\x02\x03" * 50)


def test_what_is_stored_comes_back():
    rows = read_table(SOUND).rows

    assert restored(stored(rows)) == rows
    assert stored(rows)["2"] == ["62.5", "37.5"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_examples_say_that_they_are_none_of_the_sport(name):
    found = EXAMPLES[name]

    assert "No table of the sport" in found.source
    table = PlaceTable(found.name, found.source, read_table(found.data()).rows)
    assert list(table.rows) == list(range(1, table.longest + 1))
