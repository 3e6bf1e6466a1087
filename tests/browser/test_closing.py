"""The end of the day in a real browser: last card, tie, playoff, prizes, one declined, the list, over, the workbook."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

import build_cards
import office
from build_report import verify
from events.entries.models import Entry
from events.setup.models import Event, Role
from scoring.cards.models import Card
from scoring.playoffs.models import Playoff
from scoring.prizes.models import HandOver

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CARDS = (3, 3, 4, 4)  # throws a hole in round 1 of the four players: two will be tied for first place


@pytest.fixture
def field(event: Event) -> list[Entry]:
    """Four players; everything is in but the card of the last round."""
    entries = build_cards.make_field(event, 4)
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [entries])
    lines = [build_cards.line(entry, throws) for entry, throws in zip(entries, CARDS, strict=True)]
    build_cards.save(event.rounds.get(number=1), 1, lines)
    verify(event)
    return entries


def to(page: Page, base_url: str, event: Event, part: str) -> None:
    page.goto(f"{base_url}/desk/{event.slug}/{part}")


def type_the_last_card(page: Page, base_url: str, event: Event) -> None:
    to(page, base_url, event, "cards/?round=2&group=1")
    expect(page.locator("[data-first]")).to_be_focused()
    page.wait_for_load_state()
    for throws in ("3", "3", "4", "3"):
        page.keyboard.type(throws * 18)
        page.keyboard.press("Enter")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#said")).to_contain_text("Group 1 is saved.")


def play_it_off(page: Page, base_url: str, event: Event) -> str:
    """Hole by hole until one is ahead; returns the winner's name."""
    to(page, base_url, event, "close/")
    page.get_by_role("link", name="are tied for first place").click()
    page.get_by_role("link", name="Play it off").click()
    page.get_by_label("Seed of the order on the first tee").fill("20260613")
    page.keyboard.press("Enter")
    expect(page.locator("tr.open input:focus")).to_have_count(1)
    page.keyboard.type("2")
    page.keyboard.press("Tab")
    page.keyboard.type("3")
    page.keyboard.press("Enter")
    said = page.locator(".decided")
    expect(said).to_contain_text("wins the playoff")
    first = Entry.objects.get(pk=Playoff.objects.get().players[0])
    expect(said).to_have_text(f"{first.person.name} wins the playoff.")
    return first.person.name


def plan_the_prizes(page: Page, base_url: str, event: Event) -> None:
    """The curve for the division that plays, and the payout hung up."""
    to(page, base_url, event, "prizes/")
    page.get_by_label("Pay all of them by").select_option("curve")
    page.get_by_role("button", name="Use it").click()
    page.get_by_role("button", name="Post the payout").click()
    expect(page.get_by_text("version 1").first).to_be_visible()


def hand_out(page: Page, base_url: str, event: Event, decliner: str) -> None:
    """One declines, the prize moves on, and everybody who is due something takes it."""
    to(page, base_url, event, "prizes/hand-out/")
    page.locator(".row", has_text=decliner).locator(".name").click()
    page.keyboard.press("F8")
    expect(page.locator(".row", has_text=decliner)).to_contain_text("declined")
    waiting = page.locator(".row:not(.done)")
    for left in range(waiting.count(), 0, -1):
        waiting.first.locator(".name").click()
        page.keyboard.press("Enter")
        expect(waiting).to_have_count(left - 1)


def test_the_closing_walk(
    event: Event,
    field: list[Entry],
    signed_in_page: Callable[[Role], Page],
    base_url: str,
    quiet: list[str],
    tmp_path: Path,
) -> None:
    page: Any = signed_in_page(Role.DIRECTOR)
    to(page, base_url, event, "close/")
    expect(page.get_by_role("link", name="Round 2, group 1: card not in")).to_be_visible()

    type_the_last_card(page, base_url, event)
    verify(event)
    winner = play_it_off(page, base_url, event)
    loser = next(entry.person.name for entry in field[:2] if entry.person.name != winner)

    plan_the_prizes(page, base_url, event)
    hand_out(page, base_url, event, decliner=loser)
    handed = list(HandOver.objects.order_by("pk").values_list("entry__person", "cents"))
    assert handed
    assert loser not in {row.entry.person.name for row in HandOver.objects.select_related("entry__person")}

    to(page, base_url, event, "close/")
    before = page.locator("section", has=page.get_by_role("heading", name="Before the event is over"))
    expect(before.locator("li.open")).to_have_count(0)
    page.get_by_role("button", name="Declare it over").click()
    expect(page.locator("#said")).to_contain_text("The event is over")
    event.refresh_from_db()
    assert event.over_at is not None

    with page.expect_download() as taken:
        page.get_by_role("button", name="Results workbook").click()
    content = Path(taken.value.path()).read_bytes()
    assert len(office.formulas(content)) > 20
    assert office.differences(content, tmp_path) == []
    printed = office.recalculated(content, tmp_path)
    places = {row[1]: row[0] for row in printed["MA1"].iter_rows(min_row=5, values_only=True) if row[1]}
    assert places[winner] == 1
    assert places[loser] == 2
    assert Card.objects.filter(round__event=event, verified_at=None).count() == 0
