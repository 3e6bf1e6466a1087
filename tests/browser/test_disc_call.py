"""A call for an illegal throw, on a marshal's phone: two throws on the card and on the board."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from playwright.sync_api import Page, expect

import build
from build_bags import make_disc
from build_cards import line, make_field, publish, save
from desk.above_the_bags import ABOVE_BAGS
from events.bags.calls import CallIn, record_call
from events.entries.models import Entry
from events.setup.models import Event, Role
from scoring.cards.links import group_path
from scoring.cards.models import StandingLine

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 390, "height": 844}


@pytest.fixture
def field(event: Event) -> list[Entry]:
    """A group of four whose card is in, 54 throws each, 6 under par."""
    entries = make_field(event, 4)
    round_ = event.rounds.get(number=1)
    publish(round_, [entries])
    save(round_, 1, [line(entry) for entry in entries])
    make_disc(entries[0], "Ostwall Plinthor", colour="red")
    return entries


def total(entry: Entry) -> int | None:
    return StandingLine.objects.get(entry=entry).total


def to_par(page: Page, base_url: str) -> list[str]:
    page.goto(f"{base_url}/board/quiet-pines/phone/")
    return page.locator(".places .to-par").all_inner_texts()


def test_an_illegal_throw_adds_two_to_card_and_board(
    signed_in_page: Callable[[Role], Page], field: list[Entry], base_url: str, event: Event
) -> None:
    page = signed_in_page(Role.DIRECTOR)
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    page.goto(f"{base_url}/desk/quiet-pines/bags/calls/?round=1")
    page.keyboard.type("morav")
    page.keyboard.press("Enter")

    expect(page.get_by_role("heading", level=2).first).to_contain_text("Ludvik Moravec")
    page.get_by_label("illegal disc thrown").check()
    page.get_by_label("Hole required").select_option("7")
    page.get_by_label("Disc", exact=True).select_option(label="1 Ostwall Plinthor red")
    page.get_by_label("Called by required").fill("Hale Oyelaran")
    page.get_by_label("Confirmed by").fill("Dov Pennock")
    page.get_by_role("button", name="See what it comes to").click()

    expect(page.locator(".proposal")).to_contain_text("2 penalty throws")
    expect(page.locator(".proposal")).to_contain_text("813.01.G")
    assert total(field[0]) == 54
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide == PHONE["width"]
    page.get_by_role("button", name="Write the call: 2 penalty throws").click()

    expect(page.locator("#said")).to_contain_text("Ludvik Moravec, hole 7: 2 penalty throws.")
    expect(page.locator(".calls .comes-to")).to_have_text(["2 penalty throws"])
    assert [total(entry) for entry in field] == [56, 54, 54, 54]
    assert to_par(page, base_url) == ["−6", "−6", "−6", "−4"]
    page.goto(base_url + group_path(event.rounds.get(number=1), 1) + "#scores")
    expect(page.locator(".own").first).to_contain_text("Ludvik Moravec56 · −4")
    expect(page.locator(".own").first).to_contain_text("Rulings: hole 7: +2 illegal disc thrown.")


def test_the_card_room_answers_by_key_and_loses_nothing_typed(
    signed_in_page: Callable[[Role], Page], field: list[Entry], base_url: str, call_on: Callable[[Entry], Any]
) -> None:
    call_on(field[0])
    assert total(field[0]) == 56
    page = signed_in_page(Role.CARD_ROOM)
    page.goto(f"{base_url}/desk/quiet-pines/cards/?round=1&group=1")
    typed = page.get_by_label("Niko Eskola, hole 18", exact=True)
    typed.fill("5")
    expect(page.locator("#rulings")).to_contain_text("54 written, 56 counts")

    page.keyboard.press("F6")

    expect(page.locator("#rulings")).to_contain_text("in the written score already")
    expect(typed).to_have_value("5")
    assert total(field[0]) == 54
    page.get_by_role("button", name="ask again").click()
    expect(page.locator("#rulings")).to_contain_text("In the written score already?")
    page.keyboard.press("F7")
    expect(page.locator("#rulings")).to_contain_text("on top of the written score")
    assert total(field[0]) == 56


@pytest.fixture
def call_on(event: Event) -> Callable[[Entry], Any]:
    """Writes a call for an illegal disc on hole 7."""

    def write(entry: Entry) -> Any:
        return record_call(
            entry=entry,
            round=event.rounds.get(number=1),
            disc=None,
            told=CallIn(("illegal",), "7", None, "", "Hale Oyelaran", "Dov Pennock"),
            submission=uuid4(),
            book=ABOVE_BAGS.book,
            actor=build.ACTOR,
            now=build.NOW,
        )

    return write
