"""The event's money from the float to the statement, in a real browser."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

import build
from build_money import addon, buys, game
from events.entries.models import Entry
from events.setup.models import Event, Role
from scoring.money.models import BoxCount
from scoring.money.queries import statement

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def entry(event: Event) -> Entry:
    """A player who owes the fee and a place in the ace pot: $50."""
    found = build.make_entry(event, person=build.make_person("Quist", "Ivo"), paid_elsewhere_cents=0)
    sold = addon(event)
    buys(found, sold)
    game(event, addon=sold)
    return found


def count(page: Page, form: str, pieces: dict[str, str]) -> None:
    for face, number in pieces.items():
        page.locator(f"form[action*='{form}']").get_by_label(face, exact=True).fill(number)


def test_float_payment_expense_count_difference_statement(
    event: Event, entry: Entry, signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.DIRECTOR)
    desk = f"{base_url}/desk/{event.slug}"

    page.goto(f"{desk}/money/box/")
    count(page, "opening", {"$20": "2", "$5": "4"})
    expect(page.locator("form[action*='opening'] [data-sum]")).to_contain_text("60.00 USD")
    page.get_by_role("button", name="Keep the float").click()
    expect(page.locator("#said")).to_contain_text("The float is kept.")

    page.goto(f"{desk}/entries/{entry.pk}/")
    page.get_by_role("button", name="Take the money").click()
    expect(page.get_by_role("button", name="undo $50, cash")).to_be_visible()

    page.goto(f"{desk}/money/lines/")
    page.get_by_label("What").select_option("printing and signs")
    page.get_by_label("Amount").fill("12.50")
    page.get_by_label("From whom, or to whom").fill("Fern Print")
    page.get_by_role("button", name="Write it").click()
    expect(page.get_by_role("row", name="printing and signs")).to_contain_text("\N{MINUS SIGN}$12.50")

    page.goto(f"{desk}/money/box/")
    count(page, "closing", {"$50": "1", "$20": "2", "$5": "1", "$1": "2"})
    page.get_by_role("button", name="Keep the count").click()
    expect(page.get_by_role("row", name="cash")).to_contain_text("missing $0.50")
    page.get_by_label("Why does it differ?").fill("change given twice")
    page.get_by_role("button", name="keep the reason").click()
    expect(page.get_by_label("It differs because")).to_have_value("change given twice")

    page.get_by_role("link", name="Statement").click()
    expect(page.get_by_role("row", name="difference found, cash")).to_contain_text("\N{MINUS SIGN}$0.50")
    expect(page.get_by_role("row", name="Ace pot: pot")).to_contain_text("$5.00")
    assert BoxCount.objects.get(kind="closing").differences == {"cash": -50}
    assert statement(event).held == 5_000 - 1_250 - 50
