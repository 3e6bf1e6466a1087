"""A spot check in a real browser: the pool is frozen, dice are typed, and anybody sees who is drawn and how."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from build_spots import make_players
from events.bags.models import SpotCheck
from events.setup.models import Event, Role

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_from_the_pool_to_the_public_page(
    event: Event, signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    make_players(event, 12)
    page = signed_in_page(Role.EQUIPMENT)
    page.goto(f"{base_url}/desk/quiet-pines/bags/spot-checks/")
    page.get_by_label("Players to draw").fill("2")
    page.get_by_label("Where the numbers will come from").fill("dice thrown at the meeting, 08:40")
    page.get_by_role("button", name="Freeze and publish the pool of 12").click()
    expect(page.get_by_role("heading", name="Spot check 1, round 1")).to_be_visible()
    expect(page.get_by_label("The numbers, in the order")).to_be_focused()
    page.keyboard.type("3 5 1 6 6 2")
    page.get_by_role("button", name="Read the numbers").click()
    expect(page.get_by_text("6 numbers read: 3./5./1./6./6./2./")).to_be_visible()
    page.keyboard.press("Enter")  # in the field it begins another line: nobody draws by mistake
    assert SpotCheck.objects.get().result is None
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("The draw is made; everything about it is published.")).to_be_visible()
    check = SpotCheck.objects.get()
    assert (check.numbers, len(check.result)) == ([[3], [5], [1], [6], [6], [2]], 4)

    page.set_viewport_size({"width": 390, "height": 844})
    page.get_by_role("link", name="public page").click()
    expect(page).to_have_url(re.compile(r"/spot-check/quiet-pines/1/1/$"))
    expect(page.locator(".drawn-list .called")).to_have_count(2)
    page.get_by_text("what it gives").last.click()
    expect(page.get_by_label("Result 4")).to_contain_text(check.result[0])
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide == 390
