"""The command that brings in a list: its answers, its refusals, and that a refusal leaves nothing."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from players.models import ApprovedList, ApprovedModel

pytestmark = pytest.mark.django_db
HEAD = "Manufacturer,Disc Model,Max Weight (g),Diameter (cm),Certification Number"
GOOD = f"{HEAD}\nOstwall,Plinthor,176.0,21.2,7-Mar\nOstwall,Gantrel,175.1,21.1,20-7\n"
BAD = f"{HEAD}\nOstwall,Plinthor,heavy,21.2,20-1\n"


def run(folder: Path, text: str, *options: str) -> str:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    out = StringIO()
    call_command("import_discs", str(path), "--as-of", "2026-01-02", *options, stdout=out)
    return out.getvalue()


def test_a_list_is_brought_in_and_its_remarks_are_said(tmp_path):
    said = run(tmp_path, GOOD).splitlines()
    assert said == [
        "2 models",
        "  warning: row 2, Certification Number: is a date: a spreadsheet has changed it; "
        "left out; read the column as text when the list is saved",
    ]
    assert [(str(each), each.rows, each.invented) for each in ApprovedList.objects.all()] == [
        ("list of 2 January 2026", 2, False)
    ]


def test_looking_keeps_nothing(tmp_path):
    assert json.loads(run(tmp_path, GOOD, "--check", "--json"))["models"] == 2
    assert not ApprovedList.objects.exists()


def test_an_invented_list_says_so(tmp_path):
    run(tmp_path, GOOD, "--invented")
    assert ApprovedList.objects.get().invented


@pytest.mark.parametrize("options", [(), ("--check",)])
def test_a_spoilt_list_is_refused_with_its_rows(tmp_path, options, capsys):
    path = tmp_path / "list.csv"
    path.write_text(BAD, encoding="utf-8")
    out = StringIO()
    with pytest.raises(CommandError):
        call_command("import_discs", str(path), "--as-of", "2026-01-02", "--json", *options, stdout=out)
    assert json.loads(out.getvalue())["problems"] == [
        {
            "severity": "error",
            "row": 2,
            "column": "Max Weight (g)",
            "value": "heavy",
            "problem": "'heavy' is not a number",
            "mend": "write it in digits, as 176.0",
        }
    ]
    assert not ApprovedModel.objects.exists()


def test_what_is_no_day_no_file_or_no_list_is_named(tmp_path):
    with pytest.raises(CommandError, match="write it as 2026-11-20"):
        call_command("import_discs", "x.csv", "--as-of", "yesterday")
    with pytest.raises(CommandError, match="No such file"):
        call_command("import_discs", str(tmp_path / "none.csv"), "--as-of", "2026-01-02")
    with pytest.raises(CommandError):
        run(tmp_path, "")
