"""The command that checks a bag without an event: answers, JSON, and what it refuses."""

import json
from decimal import Decimal
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from openpyxl import Workbook

LIST = """Maker,Disc Model,Max Weight (g),Diameter (cm)
Ostwall,Plinthor,176.0,21.2
Ostwall,Gantrel,175.1,21.1
Fjøsdal,Ørnbue,180.9,21.8
Fjøsdal,Blankel,,21.2
Fjøsdal,Slipvek,176.3,21.2
Morrowgate,Gantrel,174.3,21.0
"""
HEAD = "maker,model,stamped mass,reading,mark,condition"


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    path = tmp_path / "list.csv"
    path.write_text(LIST, encoding="utf-8")
    return path


def run(listed: Path, rows: list[str], *options: str, head: str = HEAD) -> tuple[int, list[str]]:
    """The exit code and the lines that were printed."""
    pieces = listed.with_name("bag.csv")
    pieces.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return run_on(pieces, listed, *options)


def run_on(pieces: Path, listed: Path, *options: str) -> tuple[int, list[str]]:
    out = StringIO()
    try:
        call_command("check_bag", str(pieces), "--list", str(listed), *options, stdout=out)
    except SystemExit as end:
        return int(end.code or 0), out.getvalue().splitlines()
    return 0, out.getvalue().splitlines()


def judged(listed: Path, row: str, *options: str) -> dict[str, Any]:
    _, lines = run(listed, [row], "--json", *options)
    (line,) = lines
    found: dict[str, Any] = json.loads(line)
    return found


def refusal(listed: Path, rows: list[str], *options: str, head: str = HEAD) -> tuple[int, list[str]]:
    with pytest.raises(CommandError) as error:
        run(listed, rows, *options, head=head)
    return error.value.returncode, str(error.value).splitlines()[1:]


def test_a_piece_as_one_json_object(listed: Path) -> None:
    found = judged(listed, "Ostwall,Plinthor,175,175.3,yes,ok")
    checks = found.pop("checks")
    assert found == {
        "row": 2,
        "model": "Ostwall Plinthor",
        "stamped_g": 175.0,
        "reading_g": 175.3,
        "limit_g": 176.0,
        "formula_limit_g": 176.0,
        "decision": "accept",
        "probability": 1.0,
        "guard_g": 0.2015,
        "result": "nothing found",
    }
    assert [(check["check"], check["status"]) for check in checks] == [
        (key, "pass")
        for key in (
            "list",
            "mass",
            "mark",
            "crack",
            "hole",
            "carving",
            "added material",
            "sanding",
            "shape",
            "lights or tape",
        )
    ]
    assert checks[0] == {
        "check": "list",
        "status": "pass",
        "reason": "On the list list.csv.",
        "remarks": [],
        "source": "Official Rules 2025, 813.01.A",
    }


@pytest.mark.parametrize(
    ("row", "options", "expected"),
    [
        ("Ostwall,Plinthor,,175.7,yes,ok", (), ("accept", 0.9928, "nothing found")),
        ("Ostwall,Plinthor,,175.8,yes,ok", (), ("not_proven", 0.9488, "not proven")),
        ("Ostwall,Plinthor,,176.2,yes,ok", (), ("not_proven", 0.0512, "not proven")),
        ("Ostwall,Plinthor,,176.3,yes,ok", (), ("reject", 0.0072, "do not throw")),
        ("Ostwall,Plinthor,,174,yes,ok", ("--scale", "1"), ("accept", 0.9977, "nothing found")),
        ("Ostwall,Plinthor,,177,yes,ok", ("--scale", "1"), ("not_proven", 0.0786, "not proven")),
        ("Ostwall,Plinthor,,178,yes,ok", ("--scale", "1"), ("reject", 0.0023, "do not throw")),
        ("Ostwall,Plinthor,175,,yes,ok", (), ("not_known", None, "not known yet")),
        ("Fjøsdal,Blankel,,170.0,yes,ok", (), ("not_known", None, "not known yet")),
        ("Ostwall,Plinthor,,170.0,?,ok", (), ("accept", 1.0, "not known yet")),
        ("Ostwall,Plinthor,,170.0,none,ok", (), ("accept", 1.0, "do not throw")),
        ("Ostwall,Plinthor,,170.0,yes,ok; tape", (), ("accept", 1.0, "do not throw")),
        ("Ostwall,Plinthor,,170.0,yes,ok; tape", ("--night-or-snow",), ("accept", 1.0, "nothing found")),
    ],
)
def test_decisions(
    listed: Path, row: str, options: tuple[str, ...], expected: tuple[str, float | None, str]
) -> None:
    found = judged(listed, row, *options)
    assert (found["decision"], found["probability"], found["result"]) == expected


def test_a_slip_of_the_list_is_judged_as_listed_and_pointed_out(listed: Path) -> None:
    found = judged(listed, "Fjøsdal,Slipvek,,176.0,yes,ok")
    assert (found["limit_g"], found["formula_limit_g"], found["decision"]) == (176.3, 176.0, "accept")
    assert found["checks"][1]["remarks"] == [
        "Listed 176.3 g, formula 176.0 g: they differ. Judged by the listed one; the director decides."
    ]


@pytest.mark.parametrize(
    "row", ["ostwall,PLINTHOR,,,,", ",Ostwall  Plinthor,,,,", ",plinthor,,,,", ",ørnbue,,,,"]
)
def test_a_model_is_found_however_it_is_written(listed: Path, row: str) -> None:
    assert judged(listed, row)["checks"][0]["status"] == "pass"


def test_a_model_of_another_maker_is_not_that_model(listed: Path) -> None:
    found = judged(listed, "Morrowgate,Plinthor,,176.3,yes,ok")
    assert (found["limit_g"], found["decision"], found["result"]) == (None, "not_known", "not known yet")
    assert found["checks"][0]["reason"] == "Not on the list list.csv. The director decides."


def test_lines_for_people_and_exit_codes(listed: Path) -> None:
    code, lines = run(
        listed, ["Ostwall,Plinthor,,175.3,yes,ok", ",Nothing Known,,,,", ",Plinthor,,176.3,no,ok"]
    )
    assert (code, lines) == (
        1,
        [
            "row 2, Ostwall Plinthor: nothing found; 175.3 g of 176.0 g, p within 1.0",
            "row 3, Nothing Known: not known yet",
            "row 4, Plinthor: do not throw; 176.3 g of 176.0 g, p within 0.0072",
            "  176.3 g for a limit of 176.0 g: over it beyond what the scale can be wrong by.",
            "  Bears no owner's mark: mark it before it is thrown.",
        ],
    )
    assert run(listed, ["Ostwall,Plinthor,,176.0,yes,ok"])[0] == 0


def test_a_workbook_does_as_well(listed: Path) -> None:
    """Numbers of a workbook are floats: 175.3 must stay 175.3."""
    book = Workbook()
    sheet = book.create_sheet(index=0)
    for row in (["model", "reading", "mark", "condition"], ["Plinthor", 175.3, "yes", "ok"]):
        sheet.append(row)
    held = BytesIO()
    book.save(held)
    pieces = listed.with_name("bag.xlsx")
    pieces.write_bytes(held.getvalue())
    code, (line,) = run_on(pieces, listed, "--json")
    assert (code, json.loads(line)["reading_g"], json.loads(line)["result"]) == (0, 175.3, "nothing found")


def test_every_bad_row_is_named_in_order_and_nothing_is_judged(listed: Path) -> None:
    rows = [",Plinthor,,175.35,,", ",Plinthor,heavy,,,", ",Gantrel,,,,", "Ostwall,Gantrel,,175.0,,"]
    assert refusal(listed, rows) == (
        2,
        [
            "  row 2, reading: '175.35' is no reading of a scale with steps of 0.1 g; write what the scale showed,"
            " and choose its steps with --scale",
            "  row 3, stamped mass: 'heavy' is no mass; write it in grams, as 175.4",
            "  row 4, maker: is a model of 2 makers; write which: Ostwall, Morrowgate",
        ],
    )


def test_a_table_without_a_model_column(listed: Path) -> None:
    assert refusal(listed, ["175"], head="stamped mass,mark") == (
        2,
        ["  row 1, model: no column is headed “model”; the headings read are: stamped mass, mark"],
    )


def test_a_spoilt_list_is_named_row_by_row(listed: Path) -> None:
    listed.write_text(LIST + "Ostwall,Vendrik,heavy,21.2\n", encoding="utf-8")
    assert refusal(listed, [",Plinthor,,,,"]) == (
        2,
        ["  row 8, Max Weight (g): 'heavy' is not a number; write it in digits, as 176.0"],
    )


@pytest.mark.parametrize("step", ["0.5", "sNaN", "", "-1", "1 g"])
def test_steps_that_no_scale_here_has(listed: Path, step: str) -> None:
    with pytest.raises(CommandError, match=r"steps of 0\.1 or 1 g") as error:
        run(listed, [",Plinthor,,,,"], "--scale", step)
    assert error.value.returncode == 2


@pytest.mark.parametrize("missing", ["bag.csv", "list.csv"])
def test_a_file_that_is_not_there(listed: Path, missing: str) -> None:
    pieces = listed.with_name("bag.csv")
    pieces.write_text(f"{HEAD}\n,Plinthor,,,,\n", encoding="utf-8")
    listed.with_name(missing).unlink()
    with pytest.raises(CommandError, match=rf"{missing}: No such file") as error:
        run_on(pieces, listed)
    assert error.value.returncode == 2


def test_a_table_without_a_piece_is_no_clean_bag(listed: Path) -> None:
    with pytest.raises(CommandError, match="holds no piece") as error:
        run(listed, [])
    assert error.value.returncode == 2


def test_figures_are_the_rulebooks_on_every_scale(listed: Path) -> None:
    """1 g household scale: w = 1.163 g; 0.1 g, class III in service: 0.2015 g (discs weighed at 176 g)."""
    row = "Ostwall,Plinthor,,176,yes,ok"
    guards = [Decimal(str(judged(listed, row, "--scale", step)["guard_g"])) for step in ("1", "0.1")]
    assert guards == [Decimal("1.1632"), Decimal("0.2015")]
