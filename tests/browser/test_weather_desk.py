"""The weather desk by keys alone: a line and Enter, F4 for a strike, F2 for thunder; nothing sticks out on a phone."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from events.safety.models import Evidence, Reading
from events.setup.models import Role

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ADDRESS = "/desk/quiet-pines/notices/weather/"


def test_readings_strike_and_thunder_without_a_mouse(
    signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.MARSHAL)
    page.goto(base_url + ADDRESS)
    expect(page.locator("#text")).to_be_focused()
    page.keyboard.type("32 C, 60 %")
    page.keyboard.press("Shift+Enter")
    page.keyboard.type("wind 5 m/s")
    page.locator("input[name=source]").first.fill("hand meter")
    page.locator("#text").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_have_text(
        "Taken down: temperature 32 C, relative humidity 60 %, wind 5 m/s."
    )
    assert Reading.objects.count() == 3

    page.keyboard.press("F4")
    expect(page.locator("#strike")).to_be_focused()
    page.keyboard.type("9 mi")
    page.locator("form[aria-label=Strike] input[name=source]").fill("strike service")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text(
        "Written down: strike at 14.5 km. Trigger met: strike at 9.0 miles"
    )
    expect(page.locator("#means b")).to_have_text("Suspend play, three blasts.")

    page.keyboard.press("F2")
    expect(page.locator("#thunder")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("Written down: thunder, not counted.")
    assert sorted(Evidence.objects.values_list("kind", "seconds")) == [("strike", None), ("thunder", None)]


def test_an_open_page_brings_its_ages_up_to_date_by_itself(
    signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.MARSHAL)
    page.clock.install()
    page.goto(base_url + ADDRESS)
    expect(page.locator("#means")).to_contain_text("No reading to go by")
    page.evaluate("document.querySelector('#standing').dataset.was = 'here'")
    with page.expect_response(lambda answer: answer.url.endswith("/weather/standing/")) as answered:
        page.clock.fast_forward(61_000)
    assert answered.value.status == 200
    expect(page.locator("#standing[data-was]")).to_have_count(0)
    expect(page.locator("#means")).to_have_count(1)


def test_nothing_sticks_out_on_a_phone(signed_in_page: Callable[[Role], Page], base_url: str) -> None:
    page = signed_in_page(Role.MARSHAL)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(base_url + ADDRESS)
    page.locator("#text").fill("32 C, 60 %, wind 5 m/s gust 9 m/s, UV 7, PM2.5 35")
    page.locator("input[name=source]").first.fill("hand meter at tournament central")
    page.get_by_role("button", name="Take down").click()
    expect(page.locator("svg.stripchart")).to_have_count(1)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
