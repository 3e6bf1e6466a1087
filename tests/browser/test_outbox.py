"""What a phone keeps: two tabs of one page, a storage that is full or closed to scripts, what nobody can read."""

import io
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.urls import reverse
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

import build
from build import make_entry
from build_bags import make_bag, make_list
from events.bags.links import bag_path
from events.bags.models import BagAct
from events.bags.queries import bag_of
from events.entries.models import Entry
from events.log.services import Actor
from events.logistics.ready.links import walk_path
from events.logistics.ready.models import HolePhoto, WorkAct
from events.logistics.ready.services import withdraw_link
from events.setup.models import Event, Role

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# What these tests ask for: addresses out of reach, withdrawn, or sent what cannot be read.
ASKED_FOR = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "404 (Not Found)", "422 (Unprocessable")
SENT = "everything is sent"
KEEPS_NOTHING = "This phone keeps nothing for pages (its storage is full or forbidden)"
FULL = """Storage.prototype.setItem = () => { throw new DOMException("", "QuotaExceededError"); };"""
CLOSED = """for (const name of ["localStorage", "sessionStorage", "indexedDB"]) {
    Object.defineProperty(window, name, { get() { throw new DOMException("", "SecurityError"); } });
}"""
Open = Callable[[str], Page]


@pytest.fixture(scope="session")
def browser_context_args() -> dict[str, Any]:
    return {"viewport": {"width": 390, "height": 844}, "has_touch": True, "timezone_id": "UTC"}


@pytest.fixture
def open_page(context: BrowserContext, quiet: list[str], base_url: str) -> Iterator[Open]:
    def opened(path: str) -> Page:
        page = context.new_page()
        page.goto(f"{base_url}{path}")
        expect(page.locator("#sending")).to_have_text(SENT)
        return page

    yield opened
    quiet[:] = [line for line in quiet if not any(word in line for word in ASKED_FOR)]


@pytest.fixture
def entry(event: Event) -> Entry:
    """A player with a bag of pieces 1 to 3."""
    make_list()
    entry = make_entry(event)
    make_bag(entry, 3)
    return entry


def tap(page: Page, number: int) -> None:
    page.locator(f"li[data-number='{number}'] .piece").tap()


def carried(entry: Entry) -> list[int]:
    return [disc.number for disc in bag_of(entry, entry.event.rounds.get(number=1)).carried]


def work(page: Page, words: str) -> Any:
    return page.locator(".walk-hole[open]").get_by_role("button", name=words)


def said(entry: Entry) -> list[tuple[str, int]]:
    return list(
        BagAct.objects.filter(entry=entry, kind="take_out").order_by("pk").values_list("kind", "disc__number")
    )


def test_two_tabs_of_one_bag_keep_what_the_other_said_and_send_it_once_and_in_order(
    open_page: Open, context: BrowserContext, entry: Entry
) -> None:
    one, two = open_page(bag_path(entry)), open_page(bag_path(entry))
    context.set_offline(True)
    tap(one, 1)
    expect(two.locator("li[data-number='1']")).to_have_class("unsent")
    tap(two, 2)
    tap(one, 3)
    for page in (one, two):
        expect(page.locator("#sending")).to_contain_text("3 not sent yet: kept on this phone")
        expect(page.locator("#pieces > .unsent")).to_have_count(3)
    one.close()
    context.set_offline(False)
    expect(two.locator("#sending")).to_have_text(SENT)
    assert said(entry) == [("take_out", 1), ("take_out", 2), ("take_out", 3)]
    assert carried(entry) == []


def test_a_tab_that_sent_nothing_shows_what_the_other_was_answered(open_page: Open, entry: Entry) -> None:
    one, two = open_page(bag_path(entry)), open_page(bag_path(entry))
    two.route(
        "**/acts/?round=1",
        lambda route: route.abort() if "take_out" in route.request.post_data else route.continue_(),
    )
    tap(one, 1)
    for page in (one, two):
        expect(page.locator("#sending")).to_have_text(SENT)
        expect(page.locator("#pieces > .unsent")).to_have_count(0)
        expect(page.locator("li[data-number='1'] .how em")).to_have_text("box")
    assert said(entry) == [("take_out", 1)]


@pytest.mark.parametrize("closed", [FULL, CLOSED], ids=["full", "closed"])
def test_a_bag_is_said_from_a_phone_that_keeps_nothing(
    open_page: Open, context: BrowserContext, entry: Entry, closed: str
) -> None:
    context.add_init_script(closed)
    page = open_page(bag_path(entry))
    context.set_offline(True)
    tap(page, 1)
    tap(page, 2)
    expect(page.locator("#sending")).to_contain_text(f"2 not sent yet: {KEEPS_NOTHING}: leave this page open")
    expect(page.locator("#pieces > .unsent")).to_have_count(2)
    context.set_offline(False)
    expect(page.locator("#sending")).to_have_text(SENT)
    assert said(entry) == [("take_out", 1), ("take_out", 2)]


def test_the_walk_goes_on_with_taps_and_photos_on_a_phone_that_keeps_nothing(
    open_page: Open, context: BrowserContext, event: Event
) -> None:
    context.add_init_script(CLOSED)
    page = open_page(walk_path(event))
    assert page.locator("time[data-clock]").text_content()
    context.set_offline(True)
    work(page, "Tee clear and marked").tap()
    hole = page.locator(".walk-hole[open]")
    jpeg = io.BytesIO()
    Image.new("RGB", (60, 40), "green").save(jpeg, "JPEG")
    picture: Any = {"name": "hole.jpg", "mimeType": "image/jpeg", "buffer": jpeg.getvalue()}
    hole.get_by_label("Photo of this hole").set_input_files(picture)
    hole.get_by_role("button", name="Send the photo").tap()
    expect(page.locator("#sending")).to_contain_text(f"1 tap and 1 photo not sent yet: {KEEPS_NOTHING}")
    context.set_offline(False)
    expect(page.locator("#sending")).to_have_text(SENT)
    expect(hole.locator(".photo .soft")).to_have_text("1 kept")
    assert (WorkAct.objects.count(), HolePhoto.objects.count()) == (1, 1)


def test_what_was_tapped_under_a_withdrawn_address_is_sent_from_the_new_one(
    open_page: Open, base_url: str, event: Event
) -> None:
    page = open_page(walk_path(event))
    withdraw_link(event=event, actor=Actor(name="Desk"), now=build.NOW)
    work(page, "Tee clear and marked").tap()
    expect(page.locator("#sending")).to_contain_text(
        "1 tap not sent yet. This address opens nothing any more"
    )
    assert not WorkAct.objects.exists()
    page.goto(f"{base_url}{walk_path(event)}")
    expect(page.locator("#sending")).to_have_text(SENT)
    assert WorkAct.objects.get().done


def test_one_act_that_nobody_can_read_takes_no_other_with_it(open_page: Open, entry: Entry) -> None:
    """Another program wrote between what the page keeps; the laptop cannot read a request that holds it."""
    page = open_page(bag_path(entry))
    page.route("**/acts/?round=1", lambda route: route.abort())
    for number in (1, 2, 3):
        tap(page, number)
    expect(page.locator("#sending")).to_contain_text("3 not sent yet")
    page.evaluate("""() => {
        for (const [name, act] of Object.entries(localStorage)) {
            if (act.includes('"seq":2,')) localStorage.setItem(name, act.replace(/"disc":"\\w/, '"disc":"!'));
        }
    }""")
    page.unroute("**/acts/?round=1")
    page.reload()
    expect(page.locator("#bag-refused")).to_contain_text("is no list of acts")
    expect(page.locator("#sending")).to_have_text(SENT)
    assert said(entry) == [("take_out", 1), ("take_out", 3)]


def test_a_desk_that_is_signed_out_says_so_and_sends_once_somebody_signed_in(
    signed_in_page: Callable[[Role], Page], context: BrowserContext, base_url: str, entry: Entry
) -> None:
    page = signed_in_page(Role.DESK)
    page.goto(f"{base_url}{reverse('bags:box', args=[entry.event.slug])}?round=1&entry={entry.pk}")
    expect(page.locator("#sending")).to_have_text(SENT)
    signed_in = [cookie for cookie in context.cookies() if cookie["name"] == settings.SESSION_COOKIE_NAME]
    context.clear_cookies(name=settings.SESSION_COOKIE_NAME)
    tap(page, 1)
    expect(page.locator("#sending")).to_contain_text("1 not sent yet. Nobody is signed in here any more")
    context.add_cookies(signed_in)  # type: ignore[arg-type]
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#sending")).to_have_text(SENT)
    assert said(entry) == [("take_out", 1)]
