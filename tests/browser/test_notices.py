"""A notice from the desk to a group's phone: posted, copied for a messenger, withdrawn, and the phone says so."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import BrowserContext, expect

import build_cards
from events.safety.models import Notice
from events.setup.models import Event, Role
from scoring.cards.links import group_path

pytestmark = pytest.mark.browser


def test_a_notice_reaches_a_group_and_its_end_too(
    event: Event, signed_in_page, context: BrowserContext, base_url: str, quiet
):
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [build_cards.make_field(event, 2)])
    desk = signed_in_page(Role.DESK)
    page = context.new_page()
    page.goto(base_url + group_path(round_, 1))
    expect(page.locator(".notice")).to_have_count(0)

    desk.goto(f"{base_url}/desk/{event.slug}/notices/")
    desk.get_by_label("Kind").select_option("hazard")
    desk.get_by_label("Title").first.fill("Wasps at hole 7")
    desk.get_by_label("Text").first.fill("Play from the drop zone.")
    desk.get_by_label("Title").first.press("Enter")
    expect(desk.locator("#said")).to_contain_text("is on the board")
    expect(page.locator(".notice")).to_contain_text(
        "Hazard: Wasps at hole 7. Play from the drop zone.", timeout=9000
    )

    desk.get_by_role("link", name="Wasps at hole 7", exact=True).click()
    expect(desk.get_by_label("To paste into a messenger")).to_have_value(
        re.compile("Hazard: Wasps at hole 7")
    )
    desk.wait_for_load_state()  # the keys work once the scripts have run
    desk.keyboard.press("c")
    expect(desk.locator("[data-copied]")).to_have_text("Copied.")

    desk.goto(f"{base_url}/desk/{event.slug}/notices/")
    desk.get_by_role("button", name="Take down Wasps at hole 7").press("Enter")
    expect(page.locator(".notice")).to_contain_text("Withdrawn", timeout=9000)
    expect(page.locator(".notice s")).to_have_text("Wasps at hole 7")
    assert Notice.objects.get().withdrawn_at <= timezone.now()
