"""A director brings in a list, with the mouse and with the keyboard, in a real browser."""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

import build
from events.entries.models import Entry
from events.log.models import Act
from events.setup.models import Role
from events.sheets.safe import write_xlsx

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

HEAD = ("Player", "Number", "Born", "Division", "Class", "Older", "Rating", "Entered at")
ROWS = (
    ("Ines Halvorsen", 70001, 1990, "MA1", "am", 880, 905, "03/04/2026"),
    ("Ravi Okonjo", 70002, 85, "MA1", "am", 870, 890, "2026-04-01"),
    ("Odd Rask", 70003, 1980, "MA1", "am", 860, 870, "2026-04-01"),
)
IMPORT = "/desk/quiet-pines/entries/import/"


@pytest.fixture
def workbook(tmp_path: Path) -> Path:
    path = tmp_path / "spring.xlsx"
    path.write_bytes(write_xlsx({"Entries": [list(HEAD), *map(list, ROWS)]}))
    return path


@pytest.fixture
def page(signed_in_page: Callable[[Role], Page], base_url: str, workbook: Path) -> Page:
    """The screen that shows how the list is read."""
    build.make_person("Rask", "Odd", member_number=None, birth_year=None)
    page = signed_in_page(Role.DIRECTOR)
    page.set_default_timeout(10_000)
    page.goto(f"{base_url}{IMPORT}")
    page.get_by_label("Choose the list").set_input_files(str(workbook))
    page.get_by_role("button", name="Read the list").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("spring.xlsx")
    return page


def count(page: Page, label: str) -> str:
    """A figure of the panel that says how things stand."""
    return page.locator("#import-state dl div").filter(has_text=label).locator("dd").inner_text()


def test_questions_are_answered_and_a_bad_row_left_out_before_all_is_saved_at_once(page: Page) -> None:
    expect(page.locator("#import-state")).to_contain_text("Nothing can be saved")
    assert (count(page, "questions to answer"), count(page, "problems to mend")) == ("2", "1")

    page.get_by_label("day first").check()
    page.get_by_label("no, somebody new").check()
    expect(page.get_by_role("region", name="Decided")).to_contain_text("somebody new")
    page.get_by_role("button", name="leave out row 3").click()
    expect(page.get_by_role("region", name="Decided")).to_contain_text("Ravi Okonjo")
    assert not Entry.objects.exists()

    page.get_by_label("yes", exact=True).check()
    page.get_by_role("button", name="Bring in 2 entries").click()
    expect(page.locator("#said")).to_contain_text("spring.xlsx: 2 new, 0 updated, 0 unchanged.")
    assert sorted(Entry.objects.values_list("person__family_name", "status")) == [
        ("Halvorsen", "confirmed"), ("Rask", "confirmed"),
    ]  # fmt: skip
    assert Act.objects.get(action="entries.imported").detail["left out"] == [3]


def test_a_column_is_chosen_by_keyboard_and_the_focus_stays_there(page: Page) -> None:
    older = page.get_by_label("Column F Older is read as")
    expect(page.get_by_label("Column G Rating is read as")).to_have_value("rating")
    older.focus()
    page.keyboard.type("Rating")
    page.keyboard.press("Tab")
    expect(page.get_by_label("Column G Rating is read as")).to_have_value("")
    expect(older).to_have_value("rating")
    expect(page.get_by_label("Column G Rating is read as")).to_be_focused()
    expect(page.get_by_role("region", name="Preview").first).to_contain_text("880")


def test_a_decision_is_taken_back(page: Page) -> None:
    page.get_by_role("button", name="leave out row 3").click()
    page.get_by_role("button", name="take back row 3").click()
    expect(page.get_by_role("region", name="Problems to mend").first).to_contain_text("'85' is not a year")


def test_a_refused_file_says_why_and_the_page_stays(
    signed_in_page: Callable[[Role], Page], base_url: str, tmp_path: Path, quiet: list[str]
) -> None:
    path = tmp_path / "spring.xlsx"
    path.write_bytes(b"%PDF-1.7 not a list")
    page = signed_in_page(Role.DIRECTOR)
    page.goto(f"{base_url}{IMPORT}")
    page.get_by_label("Choose the list").set_input_files(str(path))
    page.get_by_role("button", name="Read the list").click()
    expect(page.get_by_role("alert").filter(has_text="Refused.")).to_contain_text("PDF")
    expect(page.get_by_label("Choose the list")).to_be_visible()
    assert ["422" in line for line in quiet] == [True]  # the browser notes the refusal itself
    quiet.clear()
