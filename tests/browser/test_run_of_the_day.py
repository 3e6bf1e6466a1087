"""The run of a day in a real browser: a delay by keyboard, what moves with it, its undo, and an item of one's own."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from events.setup.models import Event, Role

pytestmark = pytest.mark.browser


@pytest.fixture
def tomorrow(event: Event) -> str:
    """The event is tomorrow, so that its whole day is still to come."""
    day = (timezone.now() + timedelta(days=1)).date()
    Event.objects.filter(pk=event.pk).update(starts_on=day, ends_on=day, latitude="59.91", longitude="10.75")
    event.rounds.update(date=day)
    return f"/desk/{event.slug}/logistics/day/?day={day:%Y-%m-%d}"


def test_a_delay_moves_the_day_and_is_undone(
    event: Event, tomorrow: str, signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.DIRECTOR)
    page.goto(f"{base_url}{tomorrow}")
    expect(page.locator("svg.run")).to_contain_text("13:00–17:00 Round 2, shotgun")
    expect(page.locator("svg.run rect.was")).to_have_count(0)

    page.locator("#delay_since").fill("12:00")
    page.keyboard.press("Tab")
    page.keyboard.type("50")
    page.keyboard.press("Tab")
    page.keyboard.type("the road is blocked")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("From 12:00 the day is 50 minutes later.")
    expect(page.locator("svg.run")).to_contain_text("13:50–17:50 Round 2, shotgun, was 13:00")
    expect(page.locator("svg.run")).to_contain_text("09:00–13:50 Round 1, shotgun, was until 13:00")
    row = page.locator(".run-list tr", has_text="Round 2, shotgun")
    expect(row).to_contain_text("was 13:00–17:00")

    page.get_by_role("button", name="undo").click()
    expect(page.locator("#said")).to_contain_text("The delay is taken back.")
    expect(page.locator("svg.run")).to_contain_text("13:00–17:00 Round 2, shotgun")
    expect(page.locator(".run-list .was")).to_have_count(0)


def test_an_item_hangs_on_a_round_and_a_usual_one_is_taken_out(
    event: Event, tomorrow: str, signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.DESK)
    page.goto(f"{base_url}{tomorrow}")
    page.get_by_label("What happens").fill("Hot soup")
    page.get_by_label("Goes by").select_option(label="round 1: expected end")
    page.get_by_label("Minutes after it").fill("-10")
    page.get_by_role("button", name="Add").click()
    expect(page.locator(".run-list tr", has_text="Hot soup")).to_contain_text("12:50")
    page.get_by_role("button", name="take out Players’ meeting").click()
    expect(page.locator(".run-list tr", has_text="Players’ meeting")).to_have_count(0)
    page.get_by_role("button", name="put back Players’ meeting").click()
    expect(page.locator(".run-list tr", has_text="Players’ meeting")).to_have_count(1)


@pytest.mark.parametrize("width", [390, 768, 1366])
def test_the_page_is_never_wider_than_the_screen(
    event: Event, tomorrow: str, signed_in_page: Callable[[Role], Page], base_url: str, width: int
) -> None:
    page = signed_in_page(Role.DIRECTOR)
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(f"{base_url}{tomorrow}")
    expect(page.locator("svg.run")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_no_label_of_the_drawing_lies_over_another(
    event: Event, tomorrow: str, signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    """With the letters as the browser draws them, where the drawing is narrowest."""
    page = signed_in_page(Role.DIRECTOR)
    page.set_viewport_size({"width": 800, "height": 800})
    page.goto(f"{base_url}{tomorrow}")
    boxes = page.locator("svg.run .mark-label").evaluate_all(
        "labels => labels.map(label => { const b = label.getBoundingClientRect();"
        " return [b.left, b.right, b.top, b.bottom]; })"
    )
    assert len(boxes) > 8
    for index, (left, right, top, bottom) in enumerate(boxes):
        for other in boxes[:index]:
            assert right <= other[0] or other[1] <= left or bottom <= other[2] + 2 or other[3] <= top + 2
