"""A tie for first place is played off by keyboard, and the board says who won."""

import pytest
from playwright.sync_api import Page, expect

import build_cards
from events.setup.models import Event, Role
from scoring.playoffs.models import Playoff

pytestmark = pytest.mark.browser


def write(page: Page, *figures: int) -> None:
    """Type one row of figures: the cursor stands in the first, Tab leads to the next, Enter writes."""
    expect(page.locator("tr.open input:focus")).to_have_count(1)
    for index, figure in enumerate(figures):
        if index:
            page.keyboard.press("Tab")
        page.keyboard.type(str(figure))
    page.keyboard.press("Enter")


def test_a_tie_is_played_off_by_keyboard(event: Event, signed_in_page, base_url: str, quiet: list[str]):
    field = build_cards.make_field(event, 2)
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [field])
        build_cards.save(round_, 1, [build_cards.line(entry, 3) for entry in field])
    page = signed_in_page(Role.DIRECTOR)
    page.goto(f"{base_url}/desk/{event.slug}/playoffs/")
    expect(page.locator(".notice")).to_contain_text("Tied for first place: Ludvik Moravec and Hale Oyelaran.")
    page.get_by_role("link", name="Play it off").press("Enter")
    page.get_by_label("Seed of the order on the first tee").fill("20260613")
    page.keyboard.press("Enter")

    write(page, 3, 3)
    expect(page.locator("tbody tr").first).to_contain_text("level")
    write(page, 3, 2)
    playoff = Playoff.objects.get()
    winner = {entry.pk: entry.person.name for entry in field}[playoff.players[1]]
    expect(page.locator(".decided")).to_have_text(f"{winner} wins the playoff.")

    page.keyboard.press("Control+z")
    expect(page.locator("tr.open")).to_have_count(1)
    expect(page.locator(".decided")).to_have_count(0)
    write(page, 3, 2)
    expect(page.locator(".decided")).to_have_text(f"{winner} wins the playoff.")

    page.goto(f"{base_url}/desk/{event.slug}/standings/")
    row = page.locator("tbody tr").first
    expect(row).to_contain_text(winner)
    expect(row.locator("td").first).to_have_text("1")
    expect(row).to_contain_text("108")
