import datetime as dt
from decimal import Decimal
from io import BytesIO

import pytest
from openpyxl import Workbook

from build import ACTOR, NOW
from events.log.models import Act
from events.sheets.problems import Problem
from events.sheets.reading import read_table
from players.approved import Difference, ListRefused, difference, import_list, list_before, look_at
from players.approved_reading import EXPECTED, ListRead, read_list
from players.models import ApprovedList, ApprovedModel

AS_OF = dt.date(2026, 7, 9)
HEAD = "Manufacturer / Distributor,Disc Model,Max Weight (g),Diameter (cm),Certification Number,Approved Date"


def read(*rows: str, head: str = HEAD, bom: bool = False) -> ListRead:
    data = "\n".join([head, *rows]).encode("utf-8-sig" if bom else "utf-8")
    return read_list(read_table("list.csv", data, expected=EXPECTED), as_of=AS_OF)


def told(problem: Problem) -> tuple[object, ...]:
    return problem.row, problem.column, problem.value, problem.problem, problem.mend, problem.severity


def test_a_plain_row() -> None:
    found = read("Ostwall,Plinthor,176.0,21.2,22-151,2022-03-04")
    assert found.problems == ()
    (model,) = found.models
    assert (model.maker, model.name, model.max_mass_g, model.diameter_cm) == (
        "Ostwall",
        "Plinthor",
        Decimal("176.0"),
        Decimal("21.2"),
    )
    assert (model.certification, model.approved_on) == ("22-151", dt.date(2022, 3, 4))


def test_lost_zeros_commas_and_points_in_numbers_come_back() -> None:
    found = read(
        'Ostwall,Plinthor,176,"21,2",13.52,2013-03-04', "Ostwall,Gantrel,180.9,21.8,22.151,2022-01-02"
    )
    assert found.problems == ()
    assert [(str(m.max_mass_g), str(m.diameter_cm), m.certification) for m in found.models] == [
        ("176.0", "21.2", "13-52"),
        ("180.9", "21.8", "22-151"),
    ]


@pytest.mark.parametrize("written", ["7-Mar", "Mar-07", "3/7/2003", "03-07-2003 "])
def test_a_certification_number_that_became_a_date_is_left_out_and_said(written: str) -> None:
    found = read(f"Ostwall,Plinthor,176.0,21.2,{written},2003-07-01")
    (model,) = found.models
    assert model.certification == ""
    (problem,) = found.problems
    assert (problem.row, problem.column, problem.severity) == (2, "Certification Number", "warning")
    assert problem.mend == "left out; read the column as text when the list is saved"


def test_a_real_date_cell_is_no_certification_number() -> None:
    book = Workbook()
    book.active.append(HEAD.split(","))
    book.active.append(["Ostwall", "Plinthor", 176, 21.2, dt.date(2026, 3, 7), dt.date(2003, 3, 7)])
    stream = BytesIO()
    book.save(stream)
    found = read_list(read_table("list.xlsx", stream.getvalue(), expected=EXPECTED), as_of=AS_OF)
    assert [m.certification for m in found.models] == [""]
    assert [p.problem for p in found.problems] == ["is a date: a spreadsheet has changed it"]


@pytest.mark.parametrize(
    ("written", "day"),
    [
        ("1-Jan-64", dt.date(1964, 1, 1)),
        ("9-Jul-26", dt.date(2026, 7, 9)),
        ("30-Dec-99", dt.date(1999, 12, 30)),
    ],
)
def test_a_year_of_two_digits_never_becomes_one_to_come(written: str, day: dt.date) -> None:
    found = read(f"Ostwall,Plinthor,176.0,21.2,64-1,{written}")
    assert [(m.approved_on, found.problems) for m in found.models] == [(day, ())]


def test_an_approval_before_the_first_or_after_the_list_is_left_out() -> None:
    found = read("Ostwall,Plinthor,176.0,21.2,,2064-01-01", "Ostwall,Gantrel,176.0,21.2,,1931-01-01")
    assert [m.approved_on for m in found.models] == [None, None]
    assert [p.problem for p in found.problems] == [
        "'2064-01-01' is not between 1964 and the list’s 9 July 2026",
        "'1931-01-01' is not between 1964 and the list’s 9 July 2026",
    ]


def test_no_approval_lies_after_the_list() -> None:
    found = read("Ostwall,Plinthor,176.0,21.2,,9-Jul-26", "Ostwall,Gantrel,176.0,21.2,,10-Jul-26")
    assert [m.approved_on for m in found.models] == [AS_OF, None]
    assert [(p.row, p.severity) for p in found.problems] == [(3, "warning")]


def test_a_spoilt_certification_number_in_every_row_of_a_long_list_stops_nothing() -> None:
    found = read(*(f"Ostwall,Model {n},176.0,21.2,7-Mar,2003-07-01" for n in range(2_400)))
    assert (len(found.models), len(found.problems), found.errors) == (2_400, 2_400, ())


def test_a_list_with_thousands_of_errors_is_not_read_to_its_end() -> None:
    found = read(*(f"Ostwall,Model {n},none,21.2,," for n in range(2_400)))
    assert (len(found.errors), found.errors[-1].row) == (2_001, 2_002)
    assert found.errors[-1].problem == "has too many problems before it"


def test_a_blank_maximum_is_not_known_and_said() -> None:
    found = read("Ostwall,Plinthor,,21.2,,")
    assert [m.max_mass_g for m in found.models] == [None]
    (problem,) = found.problems
    assert told(problem) == (
        2,
        "Max Weight (g)",
        "",
        "is blank",
        "taken as not known: no piece passes on it",
        "warning",
    )


@pytest.mark.parametrize(
    ("row", "column", "problem"),
    [
        ("Ostwall,Plinthor,0,21.2,,", "Max Weight (g)", "'0' is outside 80 to 400"),
        ("Ostwall,Plinthor,1760,21.2,,", "Max Weight (g)", "'1760' is outside 80 to 400"),
        ("Ostwall,Plinthor,heavy,21.2,,", "Max Weight (g)", "'heavy' is not a number"),
        ("Ostwall,Plinthor,176.0,212,,", "Diameter (cm)", "'212' is outside 15 to 45"),
        (
            "Ostwall,Plinthor,#REF!,21.2,,",
            "Max Weight (g)",
            "'#REF!' is an error: the formula points to a cell that was deleted",
        ),
        (",Plinthor,176.0,21.2,,", "Manufacturer / Distributor", "is blank"),
        ("Ostwall,,176.0,21.2,,", "Disc Model", "is blank"),
    ],
)
def test_what_a_piece_is_judged_by_must_be_readable(row: str, column: str, problem: str) -> None:
    found = read(row)
    assert [(p.row, p.column, p.problem) for p in found.errors] == [(2, column, problem)]


def test_a_row_twice_is_taken_once_if_the_figures_agree_and_refused_if_not() -> None:
    same = read("Ostwall,Plinthor,176.0,21.2,,", "OSTWALL, plinthor ,176,21.2,,")
    assert len(same.models) == 1
    assert [(p.row, p.severity) for p in same.problems] == [(3, "warning")]
    other = read("Ostwall,Plinthor,176.0,21.2,,", "Ostwall,Plinthor,177.0,21.2,,")
    (problem,) = other.errors
    assert (problem.row, problem.problem) == (3, "Ostwall Plinthor stands in row 2 too, with other figures")


def test_names_of_all_scripts_and_a_byte_order_mark() -> None:
    found = read('"Pellam, ""Voss"" & Co",Ørnbuë,176.0,21.2,,', "盤工房,月輪,176.0,21.2,,", bom=True)
    assert found.problems == ()
    assert [(m.maker, m.name) for m in found.models] == [
        ('Pellam, "Voss" & Co', "Ørnbuë"),
        ("盤工房", "月輪"),
    ]


def test_a_certification_number_used_twice_is_nothing_wrong() -> None:
    assert read("A,Bo,176.0,21.2,20-1,", "A,Co,176.0,21.2,20-1,").problems == ()


def test_a_list_without_a_needed_column_names_it() -> None:
    found = read("Ostwall,Plinthor,21.2", head="Manufacturer,Disc Model,Diameter (cm)")
    assert [(p.column, p.problem) for p in found.errors] == [
        ("max weight (g)", "no column is headed “max weight (g)”")
    ]


def planted(count: int) -> tuple[bytes, list[int]]:
    """A list of `count` rows with a fault in every thousandth; the rows of the faults."""
    rows, bad = [HEAD], []
    for index in range(count):
        mass = "176.0"
        if index % 1000 == 500:
            mass, _ = "17b.0", bad.append(index + 2)
        rows.append(f"Ostwall,Model {index},{mass},21.2,{index % 90:02}-{index % 300 + 1},2020-01-01")
    return "\n".join(rows).encode(), bad


@pytest.mark.django_db
def test_ten_thousand_rows_with_ten_faults_name_each_and_keep_nothing() -> None:
    content, bad = planted(10_000)
    with pytest.raises(ListRefused) as refused:
        import_list(content=content, file_name="list.csv", as_of=dt.date(2026, 6, 1), actor=ACTOR, now=NOW)
    assert [(p.row, p.column, p.value) for p in refused.value.problems] == [
        (row, "Max Weight (g)", "17b.0") for row in bad
    ]
    assert len(bad) == 10
    assert (ApprovedList.objects.count(), ApprovedModel.objects.count(), Act.objects.count()) == (0, 0, 0)


@pytest.mark.django_db
def test_ten_thousand_rows_are_one_snapshot() -> None:
    content = planted(10_000)[0].replace(b"17b.0", b"176.0")
    snapshot = import_list(
        content=content, file_name="list.csv", as_of=dt.date(2025, 1, 1), actor=ACTOR, now=NOW
    )
    assert (snapshot.rows, snapshot.models.count()) == (10_000, 10_000)


def _import(rows: list[str], as_of: dt.date) -> ApprovedList:
    return import_list(
        content="\n".join([HEAD, *rows]).encode(), file_name="list.csv", as_of=as_of, actor=ACTOR, now=NOW
    )


@pytest.mark.django_db
def test_the_same_file_again_is_the_snapshot_that_is_there() -> None:
    first = _import(["Ostwall,Plinthor,176.0,21.2,,"], dt.date(2025, 1, 1))
    assert _import(["Ostwall,Plinthor,176.0,21.2,,"], dt.date(2025, 1, 1)) == first
    assert [act.action for act in Act.objects.all()] == ["list.imported"]


@pytest.mark.django_db
def test_the_difference_to_the_list_before() -> None:
    older = _import(["Ostwall,Plinthor,175.1,21.1,,", "Ostwall,Gone,176.0,21.2,,"], dt.date(2024, 1, 1))
    newer = _import(["Ostwall,Plinthor,174.3,21.1,24-1,", "Ostwall,Come,176.0,21.2,,"], dt.date(2025, 1, 1))
    assert list_before(newer.as_of, invented=False, but=newer) == older
    assert list_before(older.as_of, invented=False, but=older) is None
    assert list_before(dt.date(2026, 1, 1), invented=False) == newer
    assert list_before(dt.date(2026, 1, 1), invented=True) is None
    found = difference(older.models.all(), newer.models.all())
    assert (found.added, found.removed) == (("Ostwall Come",), ("Ostwall Gone",))
    assert [(c.name, c.column, c.before, c.after) for c in found.changed] == [
        ("Plinthor", "max weight (g)", "175.1", "174.3"),
        ("Plinthor", "certification number", "–", "24-1"),
    ]


@pytest.mark.django_db
def test_a_list_just_read_is_compared_like_one_that_is_kept() -> None:
    held = _import(["Ostwall,Plinthor,175,21.1,24-1,", "Ostwall,Gone,,21.2,,"], dt.date(2024, 1, 1))
    same = read("Ostwall,Plinthor,175.0,21.1,24.1,", "Ostwall,Gone,,21.2,,").models
    assert difference(held.models.all(), same) == Difference((), (), ())


@pytest.mark.django_db
def test_two_lists_of_one_day_follow_each_other_as_they_came() -> None:
    first = _import(["Ostwall,Plinthor,175.1,21.1,,"], dt.date(2024, 1, 1))
    second = _import(["Ostwall,Plinthor,174.3,21.1,,"], dt.date(2024, 1, 1))
    assert list_before(first.as_of, invented=False, but=first) is None
    assert list_before(second.as_of, invented=False, but=second) == first


@pytest.mark.django_db
def test_an_invented_list_is_not_taken_for_a_published_one() -> None:
    content, day = f"{HEAD}\nOstwall,Plinthor,175.1,21.1,,".encode(), dt.date(2024, 1, 1)
    lists = [
        import_list(content=content, file_name="x.csv", as_of=day, invented=invented, actor=ACTOR, now=NOW)
        for invented in (True, False, True)
    ]
    assert [each.invented for each in lists] == [True, False, True]
    assert lists[0] == lists[2] != lists[1]


@pytest.mark.django_db
def test_a_list_of_a_day_to_come_is_refused() -> None:
    with pytest.raises(ListRefused) as refused:
        _import(["Ostwall,Plinthor,176.0,21.2,,"], dt.date(2099, 1, 1))
    assert [p.problem for p in refused.value.problems] == ["is a day to come"]


def test_looking_at_a_list_keeps_nothing_and_needs_no_database() -> None:
    assert len(look_at(content=planted(3)[0], file_name="x.csv", as_of=AS_OF).models) == 3
