"""A player's phone: a box of 25 is built and declared, three pieces swapped, and a lost connection loses nothing."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from build import make_entry
from build_bags import make_bag, make_list
from events.bags.links import bag_path
from events.bags.models import Bag, BagAct, InBag
from events.bags.queries import bag_of
from events.entries.models import Entry
from events.setup.models import Event
from players.models import Disc

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TOO_WIDE = """all => all.filter(e => e.checkVisibility() && e.getBoundingClientRect().right > innerWidth)
    .map(e => e.outerHTML.slice(0, 80))"""
TOO_LOW = """all => all.map(e => [e.textContent.trim(), e.getBoundingClientRect().height])
    .filter(([, height]) => height && height < 43.5)"""
NO_NET = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")


@pytest.fixture(scope="session")
def browser_context_args() -> dict[str, Any]:
    return {"viewport": {"width": 390, "height": 844}, "has_touch": True, "timezone_id": "UTC"}


@pytest.fixture
def entry(event: Event) -> Entry:
    make_list()
    return make_entry(event)


@pytest.fixture
def phone(context: BrowserContext, quiet: list[str]) -> Iterator[Page]:
    yield context.new_page()
    # That an address was not reached is what these tests ask for; everything else on the console is a fault.
    quiet[:] = [line for line in quiet if not any(word in line for word in NO_NET)]


def open_bag(page: Page, base_url: str, entry: Entry, round: int = 1) -> None:
    page.goto(f"{base_url}{bag_path(entry)}?round={round}")
    expect(page.locator("#sending")).to_have_text("everything is sent")


def add(page: Page, model: str, grams: str = "") -> None:
    form = page.locator("#add-piece")
    form.get_by_label("Model").fill(model)
    if grams:
        form.get_by_label("Mass as stamped, g").fill(grams)
    form.get_by_role("button", name="Add and put in the bag").click()


def carried(entry: Entry, round: int) -> list[int]:
    return [disc.number for disc in bag_of(entry, entry.event.rounds.get(number=round)).carried]


def tap(page: Page, number: int) -> None:
    page.locator(f"li[data-number='{number}'] .piece").tap()


def test_a_box_of_25_is_declared_and_three_are_swapped_for_round_two(
    phone: Page, base_url: str, entry: Entry
) -> None:
    open_bag(phone, base_url, entry)
    for number in range(25):
        add(phone, f"Ostwall Plinthor {number + 1}", "174,5" if number == 0 else "")
    expect(phone.locator("#sending")).to_have_text("everything is sent")
    expect(phone.locator("#pieces > .in-bag")).to_have_count(25)
    phone.get_by_role("button", name="Declare this bag for round 1").tap()
    expect(phone.locator("[data-declared]")).to_contain_text("declared")
    expect(phone.locator("#sending")).to_have_text("everything is sent")
    assert carried(entry, 1) == list(range(1, 26))
    assert Bag.objects.get(round__number=1).declared_at is not None
    # The mass stayed in the form for the pieces after the first: nobody types it 25 times.
    assert {str(disc.stamped_mass_g) for disc in Disc.objects.all()} == {"174.5"}

    phone.get_by_role("link", name="Round 2").tap()
    expect(phone.locator(".bag-sum")).to_contain_text("as in the round before")
    for number in (3, 4, 5):
        tap(phone, number)
        expect(phone.locator("#sending")).to_have_text("everything is sent")
    add(phone, "Ostwall Gantrel", "171")
    expect(phone.locator(".bag-sum")).to_contain_text("1 in, 3 out since last round")
    expect(phone.locator("li[data-number='4'] .how")).to_have_text("outbox")
    expect(phone.locator("li[data-number='26'] .how")).to_have_text("inin bag")
    assert carried(entry, 2) == [1, 2, *range(6, 27)]
    assert carried(entry, 1) == list(range(1, 26))


def test_a_lost_connection_and_a_closed_page_lose_nothing(
    phone: Page, context: BrowserContext, base_url: str, entry: Entry
) -> None:
    make_bag(entry, 2)
    open_bag(phone, base_url, entry)
    add(phone, "Ostwall Plinthor")
    expect(phone.locator("#pieces > .in-bag")).to_have_count(3)
    expect(phone.locator("#sending")).to_have_text("everything is sent")

    context.set_offline(True)
    add(phone, "Ostwall Gantrel", "171")
    add(phone, "Fjøsdal Ørnbue", "175")
    tap(phone, 1)
    phone.get_by_role("button", name="Declare this bag for round 1").tap()
    expect(phone.locator("#sending")).to_contain_text("4 not sent yet: kept on this phone")
    expect(phone.locator("#sending")).to_contain_text("no answer from the laptop")
    expect(phone.locator("#pieces > .unsent")).to_have_count(3)
    expect(phone.locator("[data-count]")).to_have_text("4")
    assert carried(entry, 1) == [1, 2, 3]

    phone.close()  # the phone is put away, and taken out again where there is a network
    context.set_offline(False)
    again = context.new_page()
    open_bag(again, base_url, entry)
    expect(again.locator("[data-declared]")).to_contain_text("declared")
    expect(again.locator("#pieces > .unsent")).to_have_count(0)
    again.reload()
    expect(again.locator("#sending")).to_have_text("everything is sent")
    assert carried(entry, 1) == [2, 3, 4, 5]
    assert [disc.model for disc in Disc.objects.order_by("number")][3:] == ["Gantrel", "Ørnbue"]
    assert list(BagAct.objects.values_list("kind", "refused"))[2:] == [
        ("add", ""), ("add", ""), ("add", ""), ("take_out", ""), ("declare", ""),
    ]  # fmt: skip


def test_an_answer_that_got_lost_is_not_done_twice(phone: Page, base_url: str, entry: Entry) -> None:
    """The laptop did the act, the phone never heard of it, and says it again with the same key."""
    open_bag(phone, base_url, entry)
    answers: list[int] = []

    def lose_the_first(route: Any) -> None:
        answers.append(route.fetch().status)
        route.abort() if len(answers) == 1 else route.continue_()

    phone.route("**/acts/?round=1", lose_the_first)
    add(phone, "Ostwall Plinthor")
    expect(phone.locator("li[data-number='1']")).to_have_class("in-bag")
    expect(phone.locator("#sending")).to_have_text("everything is sent")
    assert answers == [200, 200]
    assert (Disc.objects.count(), InBag.objects.count(), BagAct.objects.count()) == (1, 1, 1)


def test_a_piece_is_changed_doubled_put_away_and_brought_back(
    phone: Page, base_url: str, entry: Entry
) -> None:
    make_bag(entry, 1)
    open_bag(phone, base_url, entry)
    piece = phone.locator("li[data-number='1']")
    piece.locator("summary").tap()
    piece.get_by_label("Colour").fill("teal")
    piece.get_by_role("button", name="Keep").tap()
    expect(piece.locator("small").first).to_have_text("teal, 170.0 g")
    piece.locator("summary").tap()
    piece.get_by_role("button", name="One more like it").tap()
    expect(phone.locator("li[data-number='2'] small").first).to_have_text("teal, 170.0 g")
    piece.locator("summary").tap()
    piece.get_by_role("button", name="No longer in the box").tap()
    expect(phone.locator("#pieces > li")).to_have_count(1)
    phone.get_by_text("no longer in the box: 1").tap()
    phone.get_by_role("button", name="Bring back 1").tap()
    expect(piece).to_have_count(1)
    expect(phone.locator("#sending")).to_have_text("everything is sent")
    assert carried(entry, 1) == [2]


def test_what_cannot_be_is_said_with_the_piece_and_the_rest_is_done(
    phone: Page, context: BrowserContext, base_url: str, entry: Entry
) -> None:
    make_bag(entry, 2)
    open_bag(phone, base_url, entry)
    context.set_offline(True)
    tap(phone, 1)
    tap(phone, 2)
    Disc.objects.filter(number=1).update(put_away_at="2026-06-12T08:00Z")
    Disc.objects.filter(number=1).get().in_bags.all().delete()
    tap(phone, 1)  # back in: but the desk has put it away meanwhile
    context.set_offline(False)
    expect(phone.locator("#bag-refused")).to_have_text(
        "Ostwall Plinthor: Piece 1 is put away: bring it back into the box first."
    )
    expect(phone.locator("#sending")).to_have_text("everything is sent")
    assert carried(entry, 1) == []


def test_words_half_typed_stay_while_the_list_comes_anew(phone: Page, base_url: str, entry: Entry) -> None:
    make_bag(entry, 2)
    open_bag(phone, base_url, entry)
    piece = phone.locator("li[data-number='1']")
    piece.locator("summary").tap()
    piece.get_by_label("Colour").fill("teal")
    tap(phone, 2)
    expect(phone.locator("#sending")).to_have_text("everything is sent")
    expect(piece.get_by_label("Colour")).to_have_value("teal")
    piece.get_by_role("button", name="Keep").tap()
    expect(piece.locator("small").first).to_contain_text("teal, 170.0 g")
    expect(phone.locator("#pieces > .unsent")).to_have_count(0)
    assert carried(entry, 1) == [1]


def test_forms_work_without_script(browser: Any, base_url: str, entry: Entry) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(f"{base_url}{bag_path(entry)}")
    add(page, "Ostwall Plinthor", "175")
    expect(page.locator("li[data-number='1'] .how")).to_have_text("in bag")
    page.locator("li[data-number='1'] .piece").click()
    expect(page.locator("li[data-number='1'] .how")).to_have_text("box")
    page.get_by_role("button", name="Declare this bag for round 1").click()
    expect(page.locator("[data-declared]")).to_contain_text("declared")
    context.close()


@pytest.mark.parametrize(("width", "size"), [(390, 100), (390, 200), (320, 100)])
def test_nothing_runs_off_the_phone_and_each_tap_is_large(
    phone: Page, base_url: str, entry: Entry, width: int, size: int
) -> None:
    make_bag(entry, 3)
    phone.set_viewport_size({"width": width, "height": 844})
    open_bag(phone, base_url, entry)
    phone.locator("li[data-number='1'] summary").tap()
    phone.evaluate("size => { document.documentElement.style.fontSize = `${size}%`; }", size)
    assert phone.evaluate("document.documentElement.scrollWidth") == width
    assert phone.locator("body *").evaluate_all(TOO_WIDE) == []
    targets = "main button, main summary, main select, main .check label, main .button, footer button, nav a"
    assert phone.locator(targets).evaluate_all(TOO_LOW) == []
