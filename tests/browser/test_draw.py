"""Drawing, changing by key and by mouse, and publishing in a real browser."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

import build
from events.draw.models import Sheet
from events.draw.queries import view_of
from events.draw.services import make_draw
from events.setup.models import Event, Role

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def page(event: Event, signed_in_page: Callable[[Role], Page]) -> Page:
    for code, count in (("MA1", 12), ("FA1", 4)):
        for n in range(count):
            person = build.make_person(f"{code} {n:02}", "Ren", rating=950 - n)
            build.make_entry(event, code, person=person)
    return signed_in_page(Role.DIRECTOR)


@pytest.fixture
def address(live_server: Any) -> Callable[[Event], str]:
    return lambda event: f"{live_server.url}/desk/{event.slug}/draw/?round=1"


def seating() -> dict[int, list[str]]:
    return {g.number: [m.listed[:6] for m in g.members] for g in view_of(Sheet.objects.last()).groups}


def by_rating(event: Event, page: Page, address: Callable[[Event], str]) -> None:
    """Groups 1 to 3: MA1 0-3-6-9, 1-4-7-10, 2-5-8-11; group 4: FA1 0 to 3."""
    make_draw(
        round=event.rounds.get(number=1),
        method=Sheet.Method.RATING,
        seed="1",
        actor=build.ACTOR,
        now=build.NOW,
    )
    page.goto(address(event))


def said(page: Page, words: str) -> None:
    """At the top of a page that was opened, beside the form after a change."""
    expect(page.locator("#said, #answer").filter(has_text=words)).to_have_count(1)


def test_a_round_is_drawn_changed_by_key_undone_and_published(event, page, address):
    page.goto(address(event))
    page.get_by_label("by rating, dealt across").check()
    page.get_by_label("Seed").fill("dice 3 5 1")
    page.get_by_role("button", name="Draw round 1").click()
    said(page, "16 players in 4 groups")
    player = page.locator("[data-item]", has_text="Ren MA1 03")
    expect(page.locator('[data-item][tabindex="0"]')).to_have_count(1)  # the script has the board
    player.focus()
    page.keyboard.press("4")
    expect(page.locator("#to")).to_have_value("4")
    page.keyboard.press("Enter")
    said(page, "Ren MA1 03: group 1 → group 4")
    expect(page.locator("#group-4")).to_contain_text("MA1 03")
    expect(page.locator("#group-4")).to_contain_text("Group 4 has several divisions: MA1, FA1.")
    expect(player).to_be_focused()
    page.keyboard.press("Control+z")
    said(page, "Taken back: Ren MA1 03")
    expect(page.locator("#group-1")).to_contain_text("MA1 03")
    page.get_by_role("link", name="Publish …").click()
    page.get_by_role("button", name="Publish version 1").click()
    said(page, "version 1 of the tee sheet is published")
    assert Sheet.objects.get().state == "published"
    assert Sheet.objects.get().seed == "dice 3 5 1"
    expect(page.locator("#hand")).to_have_count(0)
    expect(page.get_by_role("link", name="Print the whole round").first).to_have_attribute(
        "href", f"/desk/{event.slug}/draw/1/paper/round/"
    )


def test_arrows_choose_and_s_swaps_two_players(event, page, address):
    by_rating(event, page, address)
    page.locator('[data-item="g1"]').focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    expect(page.locator("#who option:checked")).to_have_text("Ren MA1 03, 1.2")
    page.keyboard.press("s")
    expect(page.locator("#hint")).to_contain_text("Swap")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    said(page, "Ren MA1 03 and Ren MA1 07 exchange their places")
    assert seating()[1] == ["MA1 00", "MA1 07", "MA1 06", "MA1 09"]
    assert seating()[2] == ["MA1 01", "MA1 04", "MA1 03", "MA1 10"]


def test_m_moves_a_group_to_a_hole_and_minus_changes_the_throwing_order(event, page, address):
    by_rating(event, page, address)
    page.locator('[data-item="g1"]').focus()
    page.keyboard.press("m")
    page.keyboard.type("18")
    page.keyboard.press("Enter")
    said(page, "Group 1 starts on hole 18")
    expect(page.locator("#group-1 h3")).to_contain_text("Hole 18")
    page.locator("[data-item]", has_text="Ren MA1 03").focus()
    page.keyboard.press("-")
    said(page, "Ren MA1 03 throws first in group 1")
    page.keyboard.press("s")
    page.keyboard.press("Escape")
    expect(page.locator("#hint")).to_contain_text("Arrows choose")


def test_by_mouse_a_click_chooses_and_a_drag_moves(event, page, address):
    by_rating(event, page, address)
    page.locator("[data-item]", has_text="Ren MA1 09").click()
    page.get_by_role("button", name=re.compile("move")).click()
    page.locator('[data-item="g2"]').click()
    said(page, "Ren MA1 09: group 1 → group 2")
    page.locator("[data-item]", has_text="Ren MA1 09").drag_to(page.locator("#group-1 header"))
    said(page, "Ren MA1 09: group 2 → group 1")
    page.locator("[data-item]", has_text="Ren MA1 09").drag_to(
        page.locator("[data-item]", has_text="Ren MA1 11")
    )
    said(page, "Ren MA1 09 and Ren MA1 11 exchange their places")
    page.locator("#group-1 header").drag_to(page.locator("#group-2 header"))
    said(page, "Groups 1 and 2 exchange their starts")
    page.locator("[data-item]", has_text="Ren MA1 00").click()
    page.get_by_role("button", name="free hole 18").click()
    said(page, "Ren MA1 00: new group 5 on hole 18")


def test_a_breach_is_kept_with_a_reason_and_a_stale_page_is_told(event, page, address):
    by_rating(event, page, address)
    other = page.context.new_page()
    other.goto(address(event))
    for name in ("FA1 00", "FA1 01"):
        page.locator("[data-item]", has_text=f"Ren {name}").focus()
        page.keyboard.press("Delete")
        said(page, f"Ren {name}: out of group 4")
    page.locator("#group-4").get_by_label(re.compile("Reason to keep")).fill("an official walks along")
    page.locator("#group-4").get_by_role("button", name="keep").click()
    said(page, "Kept: Group 4 has 2")
    expect(page.locator("#group-4")).to_contain_text("Reason: an official walks along")
    before = seating()
    other.locator("[data-item]", has_text="Ren MA1 00").focus()
    other.keyboard.press("Delete")
    said(other, "Somebody else changed the draft meanwhile")
    expect(other.locator("#group-4")).to_contain_text("an official walks along")
    assert seating() == before
