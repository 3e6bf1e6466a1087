"""A whole stop in a real browser: readings, strike, suspended, reset, two minutes, play goes on."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.db.models import F
from django.utils import timezone
from playwright.sync_api import BrowserContext, Page, expect

import build_cards
from events.draw.models import Group, Sheet
from events.log.models import Act
from events.safety.models import Evidence, HornSound, Suspension
from events.setup.models import Event, Role, Round
from scoring.cards.links import group_path

pytestmark = pytest.mark.browser

WITHIN = 8_000  # one poll of the board, and a slow machine


def ago(minutes: float) -> datetime:
    return timezone.now() - timedelta(minutes=minutes)


def typed(moment: datetime) -> str:
    return f"{moment:%H:%M:%S}"


@pytest.fixture
def round_(event: Event) -> Round:
    """Group 1 has played four holes, group 2 starts in ten minutes."""
    round_ = event.rounds.get(number=1)
    field = build_cards.make_field(event, 6)
    sheet = build_cards.publish(round_, [field[:3], field[3:]])
    sheet.groups.filter(number=1).update(starts_at=ago(60))
    sheet.groups.filter(number=2).update(starts_at=ago(-10))
    build_cards.save(round_, 1, [build_cards.line(entry, [3, 3, 4, 3, *[None] * 14]) for entry in field[:3]])
    return round_


def write_down(page: Page, form: str, what: str, when: datetime) -> None:
    place = page.locator(f'form[aria-label="{form}"]')
    place.locator("[name=typed]").fill(what)
    place.locator("[name=time]").fill(typed(when))
    place.locator("[name=source]").fill("strike service")
    place.get_by_role("button").click()


def shown(moment: datetime) -> str:
    return f"{moment:%H:%M}"


def three_minutes_pass() -> None:
    """As if all that was written down lay three minutes further back."""
    gone = timedelta(minutes=3)
    Suspension.objects.update(signalled_at=F("signalled_at") - gone)
    Evidence.objects.update(seen_at=F("seen_at") - gone)


def test_a_stop_from_the_first_strike_to_the_restart(
    event: Event,
    round_: Round,
    signed_in_page: Callable[[Role], Page],
    context: BrowserContext,
    base_url: str,
) -> None:
    page = signed_in_page(Role.DIRECTOR)
    board, group = context.new_page(), context.new_page()
    board.set_viewport_size({"width": 1920, "height": 1080})
    board.goto(f"{base_url}/board/{event.slug}/")
    group.goto(f"{base_url}{group_path(round_, 2)}")
    expect(board.locator("table.standings")).to_be_visible()

    page.goto(f"{base_url}/desk/{event.slug}/notices/weather/")
    page.locator("#text").fill("28 C, 70 %, wind 6 m/s")
    page.locator("form[aria-label=Readings] [name=source]").fill("station at the desk")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("Taken down")
    write_down(page, "Strike", "12 mi", ago(29))
    expect(page.locator("#said")).to_contain_text("Trigger met")

    signal = ago(28.5)
    page.goto(f"{base_url}/desk/{event.slug}/notices/suspension/")
    page.get_by_text("Own words, where to go").click()
    page.locator("#time").fill(typed(signal))
    page.keyboard.press("Control+Enter")
    expect(page.locator("h1")).to_have_text("Play is suspended")
    expect(board.locator("#board-stop h1")).to_have_text("Play is suspended", timeout=WITHIN)
    expect(board.locator("#board-stop .big")).to_have_text(shown(signal + timedelta(minutes=30)))
    expect(board.locator("#board-stop .left")).to_have_text("in 2 minutes")
    expect(board.locator("table.standings")).to_be_hidden()
    expect(group.locator(".stop-banner h2")).to_have_text("Play is suspended", timeout=WITHIN)

    again = ago(27.2)
    write_down(page, "Strike", "9 mi", again)
    restart = shown(again + timedelta(minutes=30))
    expect(page.locator("#stop-state .count b")).to_have_text(restart)
    expect(board.locator("#board-stop .big")).to_have_text(restart, timeout=WITHIN)
    expect(group.locator(".stop-banner .until b")).to_have_text(restart, timeout=WITHIN)

    expect(page.locator(".next-signal b").first).to_have_text("Stop play, again: three blasts.")
    page.keyboard.press("F8")
    expect(page.locator("#said")).to_contain_text("Sounded: stop play, repeated")
    expect(page.locator(".next-signal b").first).to_have_text("Two minutes: two blasts.")
    page.keyboard.press("F8")
    expect(page.locator("#said")).to_contain_text("Sounded: two minutes")

    page.locator("#go-on").click()
    expect(page.locator("#said")).to_contain_text("The earliest restart is ")
    three_minutes_pass()
    page.locator("#go-on").click()
    expect(page.locator("#said")).to_contain_text("Play goes on. Published: round 1 version 2.")
    expect(board.locator("table.standings")).to_be_visible(timeout=WITHIN)
    expect(board.locator("#board-stop")).to_be_hidden()
    expect(group.locator(".stop-banner")).to_have_count(0, timeout=WITHIN)
    check_what_is_kept(event, round_)

    moved = Group.objects.get(sheet__state=Sheet.State.PUBLISHED, number=2)
    group.reload()
    expect(group.locator(".phone-head b")).to_have_text(shown(moved.starts_at))
    group.goto(f"{base_url}{group_path(round_, 1)}")
    expect(group.locator(".notice").filter(has_text="goes on from hole 5")).to_have_count(1)


def check_what_is_kept(event: Event, round_: Round) -> None:
    suspension = Suspension.objects.get()
    assert suspension.ended == "resumed"
    assert [horn.signal for horn in HornSound.objects.order_by("pk")] == [
        "stop",
        "stop_again",
        "two_minutes",
        "resume",
    ]
    versions = Sheet.objects.filter(round=round_).order_by("version").values_list("version", "state")
    assert list(versions) == [(1, "superseded"), (2, "published")]
    acts = list(Act.objects.filter(chain=event.slug).order_by("number").values_list("action", flat=True))
    assert acts[-12:] == [
        "reading.taken",
        "lightning.seen",
        "notice.posted",
        "play.suspended",
        "play.horn",
        "lightning.seen",
        "play.horn",
        "play.horn",
        "play.horn",
        "draw.published",
        "notice.posted",
        "play.resumed",
    ]


def test_the_horn_sounds_from_the_laptop_and_leaves_the_console_quiet(
    event: Event, round_: Round, signed_in_page: Callable[[Role], Page], base_url: str
) -> None:
    page = signed_in_page(Role.MARSHAL)
    page.goto(f"{base_url}/desk/{event.slug}/notices/suspension/")
    page.keyboard.press("Control+Enter")
    expect(page.locator(".horn")).to_have_class("horn due")
    page.keyboard.press("F9")
    page.keyboard.press("F9")
    page.keyboard.press("F8")
    expect(page.locator("#said")).to_contain_text("Sounded: stop play")
