"""A table of pieces, read cell by cell: what is said, what is not, and what is named as a problem."""

from dataclasses import replace
from decimal import Decimal

import pytest

from events.bags.checking import Condition
from events.bags.pieces_csv import EXPECTED, PieceRow, off_step, read_pieces
from events.sheets.problems import Problem
from events.sheets.reading import read_table

D = Decimal
HEAD = "maker,model,stamped mass,reading,mark,condition"
SEEN = ("cracked", "holed", "carved", "added_material", "over_sanded", "out_of_shape", "lights_or_tape")


def read(*rows: str, head: str = HEAD) -> tuple[list[PieceRow], list[Problem]]:
    text = "\n".join([head, *rows]) + "\n"
    return read_pieces(read_table("bag.csv", text.encode(), expected=EXPECTED))


def one(row: str) -> PieceRow:
    (pieces, problems) = read(row)
    assert problems == []
    (piece,) = pieces
    return piece


def refused(row: str) -> tuple[int | None, str, str, str, str]:
    (pieces, problems) = read(row)
    assert pieces == []
    (problem,) = problems
    return problem.row, problem.column, problem.value, problem.problem, problem.mend


def test_a_whole_row() -> None:
    assert one('Ostwall,Plinthor,175,"174,5 g",BK 7,ok') == PieceRow(
        2, "Ostwall", "Plinthor", D(175), D("174.5"), Condition(True, *[False] * 7)
    )


def test_blank_cells_are_not_known_and_blank_rows_are_none() -> None:
    pieces, problems = read("", ",Plinthor,,,,", ",,,,,")
    assert (pieces, problems) == ([PieceRow(pieces[0].row, "", "Plinthor", None, None, Condition())], [])


@pytest.mark.parametrize("head", ["disc,weighed,marked,faults", "Mould,Reading g,Owner's mark,State"])
def test_columns_have_other_names_too(head: str) -> None:
    assert read("Plinthor,175.1,no,sound", head=head) == (
        [PieceRow(2, "", "Plinthor", None, D("175.1"), Condition(False, *[False] * 7))],
        [],
    )


@pytest.mark.parametrize(
    ("cell", "marked"),
    [
        ("yes", True),
        ("BK 7", True),
        ("no", False),
        ("none", False),
        ("Unmarked", False),
        ("no mark", False),
        ("", None),
        ("?", None),
        ("unknown", None),
        ("n/a", None),
    ],
)
def test_what_the_mark_says(cell: str, marked: bool | None) -> None:
    assert one(f",Plinthor,,,{cell},").condition.marked is marked


@pytest.mark.parametrize(
    ("cell", "true", "looked_at_all"),
    [
        ("", (), False),
        ("ok", (), True),
        ("cracked", ("cracked",), False),
        ("Crack; hole", ("cracked", "holed"), False),
        ("cracked; ok", ("cracked",), True),
        ("ok; cracked", ("cracked",), True),
        ("engraved", ("carved",), False),
        ("paint", ("added_material",), False),
        ("over-sanded", ("over_sanded",), False),
        ("warped", ("out_of_shape",), False),
        ("tape", ("lights_or_tape",), False),
        ("worn; dyed", (), False),
    ],
)
def test_what_the_condition_says(cell: str, true: tuple[str, ...], looked_at_all: bool) -> None:
    condition = one(f",Plinthor,,,,{cell}").condition
    rest = False if looked_at_all else None
    assert {name: getattr(condition, name) for name in SEEN} == {
        name: True if name in true else rest for name in SEEN
    }
    assert condition.signed is False


def test_signed_is_kept_apart_from_faults() -> None:
    assert one(",Plinthor,,,yes,signed; ok").condition == replace(Condition(True, *[False] * 7), signed=True)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (
            ",,175,,,",
            (2, "model", "", "'' is blank", "write the model, or take the row out"),
        ),
        (
            ",Plinthor,heavy,,,",
            (2, "stamped mass", "heavy", "'heavy' is no mass", "write it in grams, as 175.4"),
        ),
        (
            ",Plinthor,,0,,",
            (2, "reading", "0", "'0' is outside 20 to 400 g", "write it in grams, as 175.4"),
        ),
        (
            ",Plinthor,,nan,,",
            (2, "reading", "nan", "'nan' is outside 20 to 400 g", "write it in grams, as 175.4"),
        ),
        (
            ",Plinthor,,6.17 oz,,",
            (2, "reading", "6.17 oz", "'6.17 oz' is no mass", "write it in grams, as 175.4"),
        ),
        (
            f",{'x' * 101},,,,",
            (
                2,
                "model",
                f"{'x' * 59}…",
                f"'{'x' * 59}…' is 101 characters long",
                "shorten it to at most 100",
            ),
        ),
    ],
)
def test_a_bad_cell_is_named_with_its_row_its_column_and_the_mend(
    row: str, told: tuple[int, str, str, str, str]
) -> None:
    assert refused(row) == told


@pytest.mark.parametrize("grams", ["20", "400"])
def test_the_lightest_and_the_heaviest_that_are_believed(grams: str) -> None:
    assert one(f",Plinthor,{grams},,,").stamped_g == D(grams)


def test_an_unknown_condition_is_named_with_the_known_ones() -> None:
    row, column, value, problem, mend = refused(",Plinthor,,,,sticky")
    assert (row, column, value, problem) == (
        2,
        "condition",
        "sticky",
        "'sticky' names a condition “sticky” that is not known",
    )
    assert mend.startswith("write one of: added material, beat in, carved, ")


def test_good_rows_beside_bad_ones_are_read_and_every_bad_one_is_named() -> None:
    pieces, problems = read(",Plinthor,,,,", ",Gantrel,x,,,", ",Blankel,,,,sticky", ",Slipvek,,,,")
    assert [piece.model for piece in pieces] == ["Plinthor", "Slipvek"]
    assert [problem.row for problem in problems] == [3, 4]


def test_a_table_without_a_model_column_says_what_it_holds() -> None:
    assert read("175,yes", head="stamped mass,mark") == (
        [],
        [Problem(1, "model", "", "no column is headed “model”", "the headings read are: stamped mass, mark")],
    )


@pytest.mark.parametrize(
    ("reading", "step", "off"),
    [("175.3", "0.1", []), ("175", "1", []), ("175.0", "1", []), ("175.3", "1", [2]), ("175.35", "0.1", [2])],
)
def test_a_reading_between_the_steps_of_the_scale_is_named(reading: str, step: str, off: list[int]) -> None:
    assert [problem.row for problem in off_step([one(f",Plinthor,,{reading},,")], D(step))] == off


def test_a_piece_that_was_not_weighed_is_on_every_step() -> None:
    assert off_step([one(",Plinthor,175.3,,,")], D(1)) == []
