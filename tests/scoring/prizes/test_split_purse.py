"""`manage.py split_purse`: the working in lines or as JSON, and every refusal with its mend."""

import json
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
TABLE = str(FIXTURES / "place_table_sevenths.csv")


def answer(capsys, *options: str) -> dict:
    call_command("split_purse", *options, "--json")
    return json.loads(capsys.readouterr().out)


def test_ties_by_a_table(capsys):
    found = answer(capsys, "--purse", "765", "--table", TABLE, "--places", "1,2,3,3,3,6,7,8")

    assert found["prizes"] == [22_950, 16_065, 12_240, 9_180, 6_885, 4_590, 3_060, 1_530]
    assert [each["cents"] for each in found["paid"]] == [
        22_950,
        16_065,
        9_435,
        9_435,
        9_435,
        4_590,
        3_060,
        1_530,
    ]
    assert (found["left"], found["carried"], found["kept"]) == (0, 0, 0)


def test_one_more_place_is_paid_for_one_that_declines(capsys):
    found = answer(
        capsys, "--purse", "765", "--curve", "25%", "45", "--places", "1,2,3,4,5,6,7,8,9", "--declined", "3"
    )

    paid = {each["finisher"]: each["cents"] for each in found["paid"]}
    assert (paid[3], paid[4], paid[9], sum(paid.values())) == (0, 9_498, 6_417, 76_500)


def test_places_paid_and_units(capsys):
    found = answer(
        capsys,
        "--purse",
        "765",
        "--table",
        TABLE,
        "--places",
        "1,2,3,4,5,6,7,8,8,8,8",
        "--paid",
        "8",
        "--unit",
        "5",
    )

    assert found["unit"] == 500
    assert sum(each["cents"] for each in found["paid"]) == 76_500


def test_the_lines_say_who_gets_what_and_why(capsys):
    call_command(
        "split_purse",
        "--purse",
        "10.01",
        "--table",
        TABLE,
        "--places",
        "1,1,3",
        "--declined",
        "3",
        "--paid",
        "3",
    )

    assert capsys.readouterr().out.splitlines() == [
        "purse 10.01: place_table_sevenths, row for 3 places",
        "finisher 1, place 1: 4.50  2 tied, prizes 1+2",
        "finisher 2, place 1: 4.50  2 tied, prizes 1+2",
        "finisher 3, place 3: declined, prize 3 moves up",
        "carried over: 0.01",
        "passed everybody: 1.00",
    ]


@pytest.mark.parametrize(
    ("options", "code", "words"),
    [
        (["--purse", "x", "--table", TABLE, "--places", "1"], 2, "--purse: 'x' is no amount. Write it as 45"),
        (
            ["--purse", "5", "--table", TABLE, "--places", "1,x"],
            2,
            "no list of whole numbers from 1. Write it as 1,2,2,4",
        ),
        (
            ["--purse", "5", "--table", TABLE, "--places", ","],
            2,
            "nobody has a place. Write one for each finisher",
        ),
        (["--purse", "5", "--table", TABLE, "--places", "1,2,2,3"], 2, "3 does not follow as number 4"),
        (
            ["--purse", "5", "--table", TABLE, "--places", "1,2", "--declined", "5"],
            2,
            "no finisher 5 among 2. Count them from 1",
        ),
        (
            ["--purse", "5", "--table", TABLE, "--places", "1", "--paid", "-1"],
            2,
            "-1 is no number of places. Write how many",
        ),
        (
            ["--purse", "5", "--table", TABLE, "--places", "1", "--unit", "0"],
            2,
            "at least 0.01. Write 0.01, 1 or 5",
        ),
        (
            ["--purse", "5", "--table", "nowhere.csv", "--places", "1"],
            2,
            "cannot be read: No such file.*Check the name",
        ),
        (["--purse", "5", "--curve", "0%", "1", "--places", "1,2"], 2, "as 25% or as an amount"),
        (["--purse", "5", "--curve", "x%", "1", "--places", "1,2"], 2, "as 25% or as an amount"),
        (["--purse", "5", "--curve", "5%", "1", "--places", "1,2"], 1, "is not above the last"),
        (["--purse", "5", "--table", TABLE, "--places", "1", "--paid", "10"], 1, "up to 9 places"),
    ],
)
def test_refusals_say_the_mend(options, code, words):
    with pytest.raises(CommandError, match=words) as refused:
        call_command("split_purse", *options)
    assert refused.value.returncode == code


def test_a_table_with_problems_is_not_taken(tmp_path):
    file = tmp_path / "own.csv"
    file.write_text("1,100\n2,60,30\n")

    with pytest.raises(CommandError, match="Row 2, column sum: The percentages do not sum to 100"):
        call_command("split_purse", "--purse", "5", "--table", str(file), "--places", "1,2")


def test_a_file_that_is_no_table_is_refused(tmp_path):
    file = tmp_path / "own.csv"
    file.write_bytes(b"\x00\x01\x02\x03" * 50)

    with pytest.raises(CommandError, match="binary"):
        call_command("split_purse", "--purse", "5", "--table", str(file), "--places", "1")
