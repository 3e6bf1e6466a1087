"""manage.py import_entries: the same services as the page, a table or JSON, and a refusal that is an error."""

import io
import json

import pytest
from django.core.management import CommandError, call_command

from events.entries.models import Entry, ImportFile
from events.log.models import Act

pytestmark = pytest.mark.django_db

HEAD = "Name;Number;Born;Division;Class;Paid;Entered at"
INES = "Ines Halvorsen;70001;1990;MA1;am;45;2026-05-01"
BAD = "Ravi Okonjo;70002;85;MA1;am;45;2026-05-01"


@pytest.fixture
def run(event, tmp_path):
    """run(*rows, *options, head=…) → what the command writes."""

    def call(*rows_and_options: str, head: str = HEAD, slug: str = "quiet-pines") -> str:
        rows = [each for each in rows_and_options if ";" in each]
        options = [each for each in rows_and_options if ";" not in each]
        path = tmp_path / "list.csv"
        path.write_text("\n".join((head, *rows)))
        out = io.StringIO()
        call.out = out
        call_command("import_entries", str(path), "--event", slug, *options, stdout=out)
        return out.getvalue()

    return call


def test_a_sound_list_is_saved(run):
    assert run(INES) == "1 new, 0 updated, 0 unchanged.\n"
    assert Entry.objects.count() == 1
    assert Act.objects.get(action="entries.imported").actor == "command line"
    assert run(INES) == "Nothing changed: everybody in the list is here as it says.\n"


def test_check_says_the_same_and_saves_nothing(run):
    assert run(INES, "--check") == "1 new, 0 updated, 0 unchanged. Nothing was saved.\n"
    assert (Entry.objects.count(), ImportFile.objects.count(), Act.objects.count()) == (0, 0, 0)


def test_a_list_with_a_fault_is_refused_with_its_row(run):
    with pytest.raises(CommandError, match=r"Nothing was saved: 1 to mend or to leave out\."):
        run(INES, BAD)
    said = " ".join(run.out.getvalue().split())
    assert said == "error row 3 Born [85] '85' is not a year: write four digits, as 1984"
    assert not Entry.objects.exists()


def test_the_same_refusal_as_json(run):
    with pytest.raises(CommandError):
        run(INES, BAD, "--json")
    assert json.loads(run.out.getvalue()) == {
        "saved": False,
        "problems": [
            {
                "row": 3, "column": "Born", "value": "85", "problem": "'85' is not a year",
                "mend": "write four digits, as 1984", "severity": "error", "kind": "",
            }
        ],
    }  # fmt: skip


@pytest.mark.parametrize("options", [("--leave-out-bad",), ("--leave-out=3",)])
def test_bad_rows_are_left_out_when_told_to(run, options):
    assert run(INES, BAD, *options) == "1 new, 0 updated, 0 unchanged. Left out: row 3.\n"
    assert Act.objects.get(action="entries.imported").detail["left out"] == [3]


def test_json_of_a_list_that_was_saved(run):
    assert json.loads(run(INES, BAD, "--leave-out-bad", "--json")) == {
        "saved": True, "new": 1, "updated": 0, "unchanged": 0, "left_out": [3], "problems": [],
    }  # fmt: skip


@pytest.mark.parametrize(("option", "status"), [("--all-paid", "confirmed"), ("--none-paid", "applied")])
def test_money_of_a_list_without_amounts(run, option, status):
    run("Ines Halvorsen;MA1;am;2026-05-01", option, head="Name;Division;Class;Entered at")
    assert Entry.objects.get().status == status


def test_the_order_of_dates_is_an_option(run):
    unclear = INES.replace("2026-05-01", "03/04/2026")
    with pytest.raises(CommandError):
        run(unclear)
    run(unclear, "--date-order=mdy")
    assert f"{Entry.objects.get().received_at:%d %b}" == "04 Mar"


def test_an_event_and_a_file_that_are_not_there(run, tmp_path):
    with pytest.raises(CommandError, match="There is no event elsewhere"):
        run(INES, slug="elsewhere")
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        call_command("import_entries", str(tmp_path / "none.csv"), "--event", "quiet-pines")


def test_a_file_that_is_no_list_is_refused_with_its_reason(event, tmp_path):
    path = tmp_path / "list.xlsx"
    path.write_bytes(b"PK\x03\x04 broken")
    with pytest.raises(CommandError, match=r"Nothing was saved\. The workbook is damaged"):
        call_command("import_entries", str(path), "--event", "quiet-pines")
    with pytest.raises(CommandError, match=r"Nothing was saved\. The workbook is damaged"):
        call_command("import_entries", str(path), "--event", "quiet-pines", "--leave-out-bad")
