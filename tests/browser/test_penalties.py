"""The helper by keyboard alone: from a name to throws on a card, a warning that turns into throws, holes not played."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from build_cards import line, make_field, publish, save
from events.entries.models import Entry
from events.setup.models import Event, Role
from scoring.cards.models import Ruling, StandingLine
from scoring.penalties.models import Warning

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def field(event: Event) -> list[Entry]:
    entries = make_field(event, 4)
    round_ = event.rounds.get(number=1)
    publish(round_, [entries])
    save(round_, 1, [line(entry) for entry in entries])
    return entries


def find(page: Page, who: str, what: str) -> None:
    """Type who, Enter, what happened, Enter."""
    expect(page.get_by_label("Whose penalty: name, number, scan or group")).to_be_focused()
    page.keyboard.type(who)
    page.keyboard.press("Enter")
    expect(page.get_by_label("What happened, in a word or two")).to_be_focused()
    page.keyboard.type(what)
    page.keyboard.press("Enter")
    expect(page.locator("#find")).to_have_count(0)
    page.wait_for_load_state()


def answer(page: Page, question: str, key: str) -> None:
    """Press the digit once the question is there with its script."""
    expect(page.get_by_role("heading", name=question)).to_be_visible()
    page.wait_for_load_state()
    page.keyboard.press(key)


def test_from_a_name_to_throws_on_the_card_without_the_mouse(
    event: Event, field: list[Entry], signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.DIRECTOR)
    page.goto(f"{base_url}/desk/quiet-pines/penalties/")
    find(page, "oyela", "mando")
    answer(page, "When was it noticed?", "3")
    expect(page.locator(".figure")).to_have_text("+3 on the hole")
    page.wait_for_load_state()
    page.keyboard.press("Escape")
    answer(page, "When was it noticed?", "2")
    expect(page.locator(".figure")).to_have_text("+2 on the hole")
    expect(page.get_by_label("Hole")).to_be_focused()
    page.keyboard.type("7")
    page.keyboard.press("Tab")
    page.keyboard.type("Dov Pennock")
    page.keyboard.press("Tab")
    page.keyboard.type("Ludvik Moravec")
    page.keyboard.press("Control+Enter")
    expect(
        page.get_by_text("Written. Hale Oyelaran: +1 on hole 7; Hale Oyelaran: +1 on hole 7.")
    ).to_be_visible()
    rulings = Ruling.objects.order_by("pk")
    assert [(each.entry, each.hole_label, each.throws, each.confirmer) for each in rulings] == [
        (field[1], "7", 1, "Ludvik Moravec"),
        (field[1], "7", 1, "Ludvik Moravec"),
    ]
    assert StandingLine.objects.get(entry=field[1]).total == 56


def test_a_warning_turns_into_throws(
    event: Event, field: list[Entry], signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.MARSHAL)
    for figure, said in (
        ("a warning", "Dov Pennock: a warning"),
        ("+1 on the hole", "Dov Pennock: +1 on hole 7"),
    ):
        page.goto(f"{base_url}/desk/quiet-pines/penalties/")
        find(page, "pennock", "slow")
        expect(page.locator(".figure")).to_have_text(figure)
        page.get_by_label("Hole").press("7")
        page.keyboard.press("Tab")
        page.keyboard.type("marshal")
        page.keyboard.press("Enter")
        expect(page.get_by_text(f"Written. {said}.")).to_be_visible()
    expect(page.get_by_text("the next in this round: +1")).to_be_visible()
    assert (Warning.objects.count(), Ruling.objects.count()) == (1, 1)


def test_holes_not_played_by_keyboard(
    event: Event, field: list[Entry], signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.CARD_ROOM)
    page.goto(f"{base_url}/desk/quiet-pines/penalties/")
    find(page, "eskola", "toilet")
    answer(page, "On purpose?", "1")
    expect(page.get_by_role("link", name="Go there")).to_be_visible()
    page.wait_for_load_state()
    page.keyboard.press("Enter")
    expect(page.get_by_label("hole 1: 7 (par 3, written 3)")).to_be_focused()
    page.keyboard.press("Space")
    page.keyboard.press("Control+Enter")
    expect(page).to_have_url(re.compile(r"/cards/\?round=1&group=1$"))
    expect(page.get_by_text("Niko Eskola: the holes are scored.")).to_be_visible()
    assert StandingLine.objects.get(entry=field[3]).total == 58


def test_nothing_is_wider_than_a_phone(
    event: Event, field: list[Entry], signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.MARSHAL)
    page.set_viewport_size({"width": 390, "height": 844})
    base = f"{base_url}/desk/quiet-pines/penalties"
    for address in (
        "",
        "table/",
        *(f"new/?round=1&entry={field[0].pk}{way}" for way in ("", "&way=lie", "&way=stop")),
    ):
        page.goto(f"{base}/{address}")
        assert page.evaluate("document.documentElement.scrollWidth") == 390, address
