"""manage.py rate_round and rate_player."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

FIELD = [("Ines", 1000, 60), ("Dov", 970, 63), ("Mira", 940, 66), ("Tam", 900, 70), ("Oda", 850, 75)]


def run(command: str, path: Path, *options: str) -> str:
    out = io.StringIO()
    call_command(command, str(path), *options, stdout=out, stderr=io.StringIO())
    return out.getvalue()


def write(tmp_path: Path, *rows: str) -> Path:
    path = tmp_path / "list.csv"
    path.write_text("\n".join(rows))
    return path


@pytest.fixture
def field(tmp_path: Path) -> Path:
    return write(
        tmp_path, "player,rating,score", *(f"{name},{rating},{score}" for name, rating, score in FIELD)
    )


def test_the_answer_has_exactly_its_keys(field: Path) -> None:
    answer = json.loads(run("rate_round", field, "--method", "line", "--json"))
    assert list(answer) == [
        "method",
        "edition",
        "ssa",
        "ssa_se",
        "points_per_throw",
        "propagators",
        "excluded",
        "ratings",
        "label",
    ]
    assert answer["label"] == "estimated"
    assert (answer["method"], answer["edition"], answer["ssa"], answer["ssa_se"]) == (
        "line",
        "formula_2013",
        60.0,
        0.0,
    )
    assert answer["points_per_throw"] == pytest.approx(21.3858 - 0.225067 * 60)
    assert answer["propagators"] == [name for name, _, _ in FIELD]
    assert answer["ratings"][1] == {"player": "Dov", "score": 63, "rating": 976}


def test_a_small_field_is_rated_by_the_one_parameter_line_unless_told_otherwise(field: Path) -> None:
    answer = json.loads(run("rate_round", field, "--edition", "refit_2025", "--json"))
    assert (answer["method"], answer["edition"], answer["ssa_se"]) == ("proportional", "refit_2025", None)
    assert answer["ssa"] == round(334 * 480 / (5 * 1480 - 4660), 3)


def test_the_fixed_method_takes_its_average_and_another_number_of_holes(field: Path) -> None:
    answer = json.loads(
        run("rate_round", field, "--method", "fixed", "--ssa", "66", "--holes", "20", "--json")
    )
    assert (answer["method"], answer["ssa"]) == ("fixed", 66.0)
    assert answer["points_per_throw"] == pytest.approx((21.3858 - 0.225067 * 59.4) * 0.9)


def test_whoever_cannot_count_is_excluded_with_the_reason_and_rated_all_the_same(tmp_path: Path) -> None:
    rows = ["Low,650,80,20,2026-05-01", "Few,900,70,3,2026-05-01", "Old,900,70,20,2024-01-01", "New,,71,,"]
    path = write(
        tmp_path,
        "player,rating,score,rated_rounds,rating_date",
        *(f"{name},{rating},{score},20,2026-05-12" for name, rating, score in FIELD),
        *rows,
        "Gone,900,dnf,20,2026-05-12",
    )
    answer = json.loads(run("rate_round", path, "--date", "2026-06-12", "--json"))
    assert {each["player"]: each["reason"] for each in answer["excluded"]} == {
        "Low": "rating too low (650, needs more than 699)",
        "Few": "too few rated rounds (3, needs 8)",
        "Old": "rating too old (2024-01-01, needs 2025-06-12 or later)",
        "New": "no rating",
        "Gone": "round not finished",
    }
    assert {"Low", "Few", "Old", "New"} < {each["player"] for each in answer["ratings"]}
    assert "Gone" not in {each["player"] for each in answer["ratings"]}


def test_the_table_shows_working_and_says_estimated(field: Path) -> None:
    text = run("rate_round", field)
    assert "5 propagators." in text
    assert "Method proportional: A small field" in text
    assert text.splitlines()[-1] == "estimated, not official"


@pytest.mark.parametrize(
    ("rows", "options", "sentence"),
    [
        (["player,rating,score", "A,900,70"], [], "Too few propagators to rate this round: 1 of at least 2."),
        (["player,rating,score", "A,900,70"], ["--holes", "0"], "--holes: 0 is no number of holes"),
        (["player,rating,score", "A,900,70"], ["--method", "fixed"], "--method fixed needs the average"),
        (
            ["player,rating,score", "A,900,70"],
            ["--method", "fixed", "--ssa", "x"],
            "'x' is no number of throws",
        ),
        (
            ["player,rating,score", "A,900,70"],
            ["--method", "line", "--ssa", "5"],
            "--ssa is for --method fixed",
        ),
        (["player,rating,score", "A,900,70"], ["--date", "June"], "'June' is not a date"),
    ],
)
def test_what_cannot_be_rated_is_said_in_a_sentence(
    tmp_path: Path, rows: list[str], options: list[str], sentence: str
) -> None:
    with pytest.raises(CommandError, match=sentence) as refused:
        run("rate_round", write(tmp_path, *rows), *options)
    assert refused.value.returncode == 2


@pytest.mark.parametrize(
    ("rows", "line"),
    [
        (
            ["player,rating,score", "A,high,70"],
            "Row 2, column rating: 'high' is not a rating. Write a whole number, as 925, or clear the cell.",
        ),
        (
            ["player,rating,score", "A,900,many"],
            "Row 2, column score: 'many' is not a whole number. Write digits",
        ),
        (
            ["player,rating,score", ",900,70"],
            "Row 2, column player: '' is blank. Write the player's name, or take the row out.",
        ),
        (
            ["player,rating", "A,900"],
            "Row 1, column score: no column is headed “score”. Give one of the columns this heading",
        ),
        (
            ["player,rating,score", "A,900,70", "B,910,68", "a,900,71"],
            "Row 4, column player: a stands in row 2 too. Take one of the two rows out, or write beside the name",
        ),
    ],
)
def test_errors_name_row_column_and_mend(
    tmp_path: Path, rows: list[str], line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    out = io.StringIO()
    with pytest.raises(CommandError, match=r"Nothing was rated: 1 to mend\."):
        call_command("rate_round", str(write(tmp_path, *rows)), stdout=out)
    assert line in out.getvalue()
    with pytest.raises(CommandError):
        call_command("rate_round", str(tmp_path / "list.csv"), "--json", stdout=(out := io.StringIO()))
    assert [problem["severity"] for problem in json.loads(out.getvalue())["problems"]] == ["error"]


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        run("rate_round", tmp_path / "none.csv")


def history(tmp_path: Path, heading: str = "date,rating", prefix: str = "") -> Path:
    rows = [f"{prefix}2026-05-{day:02d},{900 + day}" for day in range(1, 10)]
    return write(tmp_path, heading, f"{prefix}2026-04-01,790", *rows)


def test_a_player_is_rated_from_a_history(tmp_path: Path) -> None:
    answer = json.loads(run("rate_player", history(tmp_path), "--json"))
    assert answer == {
        "player": "",
        "rating": 906,
        "exact": 905.75,
        "from": "2026-04-01",
        "until": "2026-05-09",
        "counted": 9,
        "doubled": 3,
        "dropped": [{"date": "2026-04-01", "rating": 790}],
        "label": "estimated",
    }


def test_a_history_in_words(tmp_path: Path) -> None:
    text = run("rate_player", history(tmp_path))
    assert text.splitlines()[0] == "906, estimated"
    assert "The newest 3 of 9 count double." in text


def test_several_players_are_told_apart_by_their_number(tmp_path: Path) -> None:
    rows = ["70001,Ines,2026-05-01,900", "70002,Dov,2026-05-01,850", "70001,Ines,2026-05-02,910"]
    path = write(tmp_path, "member number,player,date,rating", *rows)
    answer: dict[str, Any] = json.loads(run("rate_player", path, "--json"))
    assert [(each["player"], each["rating"]) for each in answer["players"]] == [
        ("Ines #70001", 905),
        ("Dov #70002", 850),
    ]
    assert "Ines #70001: 905, estimated" in run("rate_player", path)


def test_a_player_twice_is_rated_not_at_all_and_told_where(tmp_path: Path) -> None:
    rows = [*(f"{name},{rating},{score}" for name, rating, score in FIELD), "Dov,970,63", "Dov,970,64"]
    path, out = write(tmp_path, "player,rating,score", *rows), io.StringIO()
    with pytest.raises(CommandError, match=r"Nothing was rated: 2 to mend\."):
        call_command("rate_round", str(path), stdout=out)
    assert [line.split(".")[0] for line in out.getvalue().splitlines()] == [
        "Row 7, column player: Dov stands in row 3 too",
        "Row 8, column player: Dov stands in row 3 too",
    ]


def test_a_history_without_a_round_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"list\.csv has no round: write a row for each, with its date"):
        run("rate_player", write(tmp_path, "date,rating", ","))


@pytest.mark.parametrize(
    ("rows", "line"),
    [
        (
            ["member number,player,date,rating", "70001,Ines,2026-05-01,900", ",,2026-05-02,910"],
            "Row 3, column player: does not say whose round it is, as other rows do."
            " Write the member number or the name.",
        ),
        (
            ["member number,player,date,rating", "70001,Ines,2026-05-01,900", ",ines,2026-05-02,910"],
            "Row 3, column member number: ines has no member number here, and number 70001 in row 2."
            " Write the member number in each row.",
        ),
        (
            ["member number,player,date,rating", "70001,Ines,2026-05-01,900", "70001,Dov,2026-05-02,910"],
            "Row 3, column player: number 70001 is Dov here, and Ines in row 2."
            " Correct the number or the name in one of the rows.",
        ),
        (
            ["date,rating", "2026-05-01,900", "2026-05-02,900", "2026-05-01,900"],
            "Row 4: the same round stands in row 2 too. Take one of the two rows out;"
            " if they are two rounds, write their numbers in a column round.",
        ),
        (
            ["date,rating,round", "2026-05-01,900,1", "2026-05-01,905,1"],
            "Row 3: the same round stands in row 2 too. Take one of the two rows out;"
            " if they are two rounds, write their numbers in a column round.",
        ),
    ],
)
def test_a_history_that_would_count_a_round_twice_or_for_nobody_is_told(
    tmp_path: Path, rows: list[str], line: str
) -> None:
    out = io.StringIO()
    with pytest.raises(CommandError, match=r"Nothing was rated: 1 to mend\."):
        call_command("rate_player", str(write(tmp_path, *rows)), stdout=out)
    assert out.getvalue() == f"{line}\n"


def test_two_rounds_of_a_day_with_their_numbers_are_two_rounds(tmp_path: Path) -> None:
    path = write(tmp_path, "date,rating,round", "2026-05-01,900,1", "2026-05-01,900,2")
    assert json.loads(run("rate_player", path, "--json"))["counted"] == 2
