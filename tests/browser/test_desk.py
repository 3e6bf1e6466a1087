"""The check-in table with the keyboard alone, and two tables at once, in a real browser."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

import build
from events.entries.models import Entry, Status
from events.entries.services import money_of
from events.setup.models import Event, Role

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
Open = Callable[[Role], Page]


def enter(event: Event, given: str, family: str, **facts: object) -> Entry:
    return build.make_entry(event, person=build.make_person(family, given), **facts)  # type: ignore[arg-type]


@pytest.fixture
def moravec(event: Event) -> Entry:
    """Owes the fee; the same first letters as two others."""
    return enter(
        event,
        "Siobhán",
        "Morávec",
        status=Status.APPLIED,
        paid_elsewhere_cents=0,
        pack="L",
        conduct_signed_at=build.NOW,
    )


@pytest.fixture
def table(signed_in_page: Open, moravec: Entry, event: Event, base_url: str) -> Page:
    enter(event, "Moritz", "Abernethy", conduct_signed_at=build.NOW)
    enter(event, "Odd", "Mordaunt", conduct_signed_at=build.NOW)
    page = signed_in_page(Role.DESK)
    page.goto(f"{base_url}/desk/quiet-pines/entries/")
    expect(page.locator("#find")).to_be_focused()
    return page


def happened(page: Page, words: str) -> None:
    expect(page.locator("#happened > span")).to_have_text(words)


def marked(page: Page) -> str:
    return page.locator('#found [aria-selected="true"] b').inner_text()


def test_check_in_by_keyboard_alone(table: Page, moravec: Entry) -> None:
    """Three letters, arrow, F2, Enter, F3, and everything back by Ctrl+Z; the field has the focus all the time."""
    keys = table.keyboard
    keys.type("mor", delay=200)
    expect(table.locator("#found [data-row]")).to_have_count(3)
    keys.press("ArrowDown")
    assert marked(table) == "Siobhán Morávec"
    keys.press("Enter")
    happened(table, "Siobhán Morávec cannot be checked in: the fee is not paid.")
    keys.press("F2")
    happened(table, "$45 taken from Siobhán Morávec, cash.")
    keys.press("Enter")
    happened(table, "Siobhán Morávec is checked in.")
    expect(table.locator("#standing .count b")).to_have_text("1")
    assert marked(table) == "Siobhán Morávec"
    keys.press("F3")
    happened(table, "Siobhán Morávec has the pack, L.")
    moravec.refresh_from_db()
    assert moravec.checked_in_at is not None
    assert moravec.pack_given_at is not None

    for words in ("pack given", "checked in"):
        keys.press("Control+z")
        happened(table, f"Undone: Siobhán Morávec, {words}.")
    keys.press("Control+z")
    happened(table, "Undone: $45 from Siobhán Morávec.")
    moravec.refresh_from_db()
    assert (moravec.status, moravec.checked_in_at, money_of(moravec).owed) == (Status.APPLIED, None, 4500)
    expect(table.locator("#find")).to_be_focused()
    keys.type("ode")  # replaces what was typed
    expect(table.locator("#find")).to_have_value("ode")


def test_a_scanner_is_faster_than_the_answer(table: Page, event: Event) -> None:
    """Code and Enter at once, one after the other: each acts on its own entry."""
    first, second = (enter(event, "Ivo", f"Quist{n}", conduct_signed_at=build.NOW) for n in (1, 2))
    for entry in (first, second):
        table.keyboard.insert_text(entry.code.lower())
        table.keyboard.press("Enter")
        happened(table, f"{entry.person.name} is checked in.")
    table.keyboard.insert_text(first.code)
    table.keyboard.press("Enter")
    expect(table.locator("#happened > span")).to_contain_text("Ivo Quist1 is in already, since")


def test_guardian_and_another_way_to_pay_are_typed_in_one_line(table: Page, event: Event) -> None:
    event.divisions.create(code="MJ12", order=9, fee_cents=2000)
    child = build.make_person("Tindall", "Mira", birth_year=2016)
    entry = build.make_entry(event, "MJ12", person=child, fee_cents=2000, paid_elsewhere_cents=0)
    keys = table.keyboard
    keys.type("tin")
    expect(table.locator("#found .needs")).to_have_text(
        ["$20 due", "guardian to name", "conduct note to sign"]
    )
    keys.press("F4")
    expect(table.locator("#answer")).to_be_focused()
    keys.type("Ada Morwen")
    keys.press("Enter")
    expect(table.locator("#found .needs")).to_have_text(["$20 due", "conduct note to sign"])
    expect(table.locator("#find")).to_be_focused()
    keys.press("F6")
    expect(table.locator("#found .needs")).to_have_text(["$20 due"])
    keys.press("F8")
    expect(table.locator("#answer")).to_be_focused()
    keys.type("15")
    keys.press("Tab")
    keys.type("bank")
    keys.press("Enter")
    happened(table, "$15 taken from Mira Tindall, bank transfer. Still open: $5 due.")
    keys.press("F8")
    expect(table.locator("#answer")).to_be_focused()
    keys.press("Escape")
    expect(table.locator("#ask")).to_be_empty()
    expect(table.locator("#find")).to_be_focused()
    entry.refresh_from_db()
    assert (entry.guardian, entry.payments.get().method) == ("Ada Morwen", "transfer")


def test_two_tables_see_each_other(table: Page, event: Event, base_url: str) -> None:
    """What one does is on the other without a key; the row in hand there stays in hand."""
    other = table.context.new_page()
    other.goto(f"{base_url}/desk/quiet-pines/entries/")
    other.keyboard.type("mor")
    expect(other.locator("#found [data-row]")).to_have_count(3)
    other.keyboard.press("ArrowDown")
    in_hand = marked(other)
    table.keyboard.type("abern")
    expect(table.locator("#found [data-row]")).to_have_count(1)
    table.keyboard.press("Enter")
    happened(table, "Moritz Abernethy is checked in.")
    expect(other.locator("#standing .count b")).to_have_text("1", timeout=8000)
    expect(other.locator("#found .row.done b")).to_have_text("Moritz Abernethy")
    assert marked(other) == in_hand
    expect(other.locator("#find")).to_have_value("mor")


def test_by_hand_in_one_form_to_the_table(table: Page, event: Event) -> None:
    known = build.make_person("Brekke", "Tam", member_number=4321)
    keys = table.keyboard
    keys.type("brekke")
    table.locator("#found").get_by_role("link", name="Enter by hand").click()
    expect(table.locator("#look")).to_contain_text("Tam Brekke, 4321")
    keys.press("F2")
    expect(table.get_by_label("Member number")).to_have_value("4321")
    table.get_by_label("Division").focus()
    keys.type("MA1")
    expect(table.locator("#look")).to_contain_text("MA1 · $45")
    keys.press("Tab")
    with table.expect_response("**/new/look/**"):
        keys.type("cash")
    keys.press("Control+Enter")
    expect(table.locator("#said")).to_contain_text("Tam Brekke is entered in MA1 and checked in.")
    expect(table.locator("#found .row.done b")).to_have_text("Tam Brekke")
    entry = Entry.objects.get(person=known)
    assert (entry.checked_in_at is not None, money_of(entry).owed) == (True, 0)


def test_without_scripts_the_table_works_by_its_forms(
    table: Page, moravec: Entry, base_url: str, browser: object
) -> None:
    context = browser.new_context(java_script_enabled=False)  # type: ignore[attr-defined]
    context.add_cookies(table.context.cookies())
    page = context.new_page()
    page.goto(f"{base_url}/desk/quiet-pines/entries/")
    page.locator("#find").fill("morav")
    page.locator("#find").press("Enter")
    page.get_by_role("button", name="take $45 in cash").click()
    expect(page.locator("#said")).to_contain_text("$45 taken from Siobhán Morávec, cash.")
    page.get_by_role("button", name="check in").click()
    expect(page.locator("#said")).to_contain_text("Siobhán Morávec is checked in.")
    moravec.refresh_from_db()
    assert moravec.checked_in_at is not None
    context.close()
