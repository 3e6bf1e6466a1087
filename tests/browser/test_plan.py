"""The plan page in a real browser: saving one part does not drop another unseen."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from events.setup.models import Division, Event, Role

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_part_that_is_not_saved_yet_is_named_before_it_is_dropped(
    signed_in_page: Callable[[Role], Page], event: Event, base_url: str
) -> None:
    page = signed_in_page(Role.DIRECTOR)
    page.goto(f"{base_url}/desk/quiet-pines/plan/")
    cap = page.locator("#divisions input[name$=cap]").first
    cap.fill("16")
    save_rounds = page.locator("#rounds button.primary, #rounds form > p button").first
    save_rounds.click()
    expect(page.locator("#unsaved")).to_have_text(
        "Not saved yet: divisions. Save that first, or press again to go on without it."
    )
    expect(cap).to_have_value("16")

    page.locator("#divisions button.primary, #divisions form > p button").first.click()
    page.wait_for_load_state()
    assert Division.objects.filter(event=event, cap=16).count() == 1
