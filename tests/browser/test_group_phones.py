"""Phones of a group on the course: one of them without a connection for nine holes and closed in between."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.core.cache import cache
from django.db import OperationalError
from playwright.sync_api import Browser, BrowserContext, Page, expect

import build
from build_cards import make_field, publish, save
from events.entries.models import Entry
from events.setup.models import Event, Round
from scoring.cards import group_news
from scoring.cards.asking import answer_group
from scoring.cards.checking import LineIn
from scoring.cards.group_withdrawing import withdraw_link
from scoring.cards.links import group_path
from scoring.cards.models import Confirmation, GroupMessage, HoleEntry, StandingLine

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ASKED_FOR = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "410 (Gone)")
TOO_LOW = """all => all.filter(e => e.checkVisibility())
    .map(e => [e.textContent.trim(), e.getBoundingClientRect().height])
    .filter(([, height]) => height && height < 55.5)"""
TOO_WIDE = """all => all.filter(e => e.checkVisibility() && !e.closest('.scroll'))
    .filter(e => e.getBoundingClientRect().right > innerWidth + 1)
    .map(e => e.outerHTML.slice(0, 80))"""
AT_THE_DESK = "Everything is at the desk."
NewPhone = Callable[[], BrowserContext]


@pytest.fixture
def round_(event: Event) -> Round:
    cache.clear()
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    """Moravec, Oyelaran and Pennock, from hole 1."""
    entries = make_field(event, 3)
    publish(round_, [entries])
    return entries


@pytest.fixture
def new_phone(browser: Browser, live_server: Any, caplog: pytest.LogCaptureFixture) -> Iterator[NewPhone]:
    """Makes phones, each with a memory of its own; what they say on the console is a fault, except that an
    address was not reached or is withdrawn, which these tests ask for. The database of the tests lies in memory,
    with one connection for every thread of the server: two requests at once may be refused by it, as no file would,
    and then the phone sends again."""
    phones: list[BrowserContext] = []
    said: list[str] = []

    def listen(page: Page) -> None:
        page.on("console", lambda message: said.append(message.text) if message.type != "info" else None)
        page.on("pageerror", lambda error: said.append(str(error)))

    def make() -> BrowserContext:
        size: Any = {"width": 390, "height": 844}
        phone = browser.new_context(
            viewport=size, has_touch=True, timezone_id="UTC", base_url=live_server.url
        )
        phone.on("page", listen)
        phones.append(phone)
        return phone

    yield make
    for phone in phones:
        phone.close()
    refused = [row.exc_info[1] for row in caplog.get_records("call") if row.exc_info]
    assert [error for error in refused if not isinstance(error, OperationalError)] == []
    faults = [line for line in said if not any(word in line for word in ASKED_FOR)]
    assert [line for line in faults if not (refused and "500" in line)] == []


def open_as(phone: BrowserContext, round_: Round, whose: str, link: int = 0) -> Page:
    page = phone.new_page()
    page.goto(group_path(round_, 1, link))
    page.get_by_role("button", name=whose).tap()
    expect(page.locator("h1")).to_have_text("Hole 1")
    return page


def go_to(page: Page, hole: int) -> None:
    page.evaluate("hole => { location.hash = `#hole-${hole}`; }", hole)
    expect(page.locator("h1")).to_have_text(f"Hole {hole}")


def tap(page: Page, entry: Entry, throws: int) -> None:
    choice = page.locator(f"#throws-{entry.pk}-{throws}")
    choice.locator("xpath=..").tap()
    expect(choice).to_be_checked()


def play(page: Page, field: list[Entry], holes: range, figures: Callable[[int, int], int]) -> None:
    """Type every player's score of these holes and go on with the large button."""
    go_to(page, holes[0])
    for hole in holes:
        expect(page.locator("h1")).to_have_text(f"Hole {hole}")
        for place, entry in enumerate(field):
            tap(page, entry, figures(hole, place))
        page.locator(".phone-foot .primary").tap()


def all_sent(page: Page) -> None:
    expect(page.locator("#sending")).to_have_text(AT_THE_DESK, timeout=20_000)


def throws(hole: int, place: int) -> int:
    """What was thrown: Moravec 3 everywhere, Oyelaran 4, Pennock 3 and on every third hole 4."""
    return (3, 4, 4 if hole % 3 == 0 else 3)[place]


def test_a_phone_that_was_offline_for_nine_holes_and_closed_is_compared_and_nothing_is_entered_twice(
    new_phone: NewPhone, round_: Round, field: list[Entry], event: Event
) -> None:
    moravec, _, pennock = field
    first, second = new_phone(), new_phone()
    one, two = open_as(first, round_, "Ludvik Moravec"), open_as(second, round_, "Hale Oyelaran")
    play(two, field, range(1, 4), throws)
    all_sent(two)

    second.set_offline(True)
    wrong = {(5, 0): 2, (8, 2): 5}  # the second phone has two figures that the first has otherwise
    play(two, field, range(4, 13), lambda hole, place: wrong.get((hole, place), throws(hole, place)))
    expect(two.locator("#sending")).to_contain_text("27 entries kept on this phone, not at the desk yet.")
    expect(two.locator("#sending")).to_contain_text("No answer from the laptop")
    two.close()

    play(one, field, range(4, 19), throws)  # holes 1 to 3 stand on it already, from the other phone
    all_sent(one)
    assert HoleEntry.objects.count() == 9 + 45

    second.set_offline(False)
    two = second.new_page()
    two.goto(group_path(round_, 1))
    all_sent(two)
    assert HoleEntry.objects.count() == 9 + 45 + 27
    # Until somebody is asked, a figure that differs is missing, and no phone's is taken for it.
    lines = {line.entry_id: line for line in StandingLine.objects.filter(round=round_)}
    assert (lines[moravec.pk].throws[4], lines[moravec.pk].differs) == (None, ["5"])
    assert (lines[pennock.pk].throws[7], lines[pennock.pk].complete) == (None, False)

    go_to(two, 5)
    asked = two.get_by_role("group", name="Hole 5, Moravec: who is right?")
    expect(asked).to_contain_text("Hole 5, Moravec: this phone 2, Moravec’s phone 3. Who is right?")
    # Found and measured in one step: what the laptop says next may draw them anew between two.
    boxes = asked.get_by_role("button").evaluate_all(
        "(all) => all.map((each) => each.getBoundingClientRect()).map((box) => [box.width, box.height])"
    )
    assert [width > 120 and height >= 56 for width, height in boxes] == [True, True]
    asked.get_by_role("button", name="Moravec’s phone").tap()
    expect(two.locator(f"#throws-{moravec.pk}-3")).to_be_checked()
    all_sent(two)
    one.reload()
    go_to(one, 8)
    one.get_by_role("group", name="Hole 8, Pennock: who is right?").get_by_role(
        "button", name="this phone"
    ).tap()
    all_sent(one)

    one.evaluate("location.hash = '#scores'")
    expect(one.get_by_role("group", name="who is right?")).to_have_count(0)
    for name, total in (("Moravec", 54), ("Oyelaran", 72), ("Pennock", 60)):
        one.get_by_role("button", name=f"{name}: my {total} is right").tap()
        expect(one.get_by_text(f"{name} said yes to {total}.")).to_be_visible()
    all_sent(one)
    assert sorted(Confirmation.objects.values_list("total", flat=True)) == [54, 60, 72]
    assert HoleEntry.objects.count() == 9 + 45 + 27 + 2
    assert HoleEntry.objects.values("key").distinct().count() == 83
    right = [[throws(hole, place) for hole in range(1, 19)] for place in range(3)]
    stands = StandingLine.objects.filter(round=round_).order_by("entry")
    assert [line.throws for line in stands] == right
    one.goto(f"/board/{event.slug}/")
    for name, to_par in (("Moravec", "−6"), ("Oyelaran", "+12"), ("Pennock", "E")):
        row = one.locator("table.standings tr", has_text=name)
        expect(row.locator(".to-par")).to_have_text(to_par)


def test_two_tabs_of_one_phone_are_one_phone(new_phone: NewPhone, round_: Round, field: list[Entry]) -> None:
    phone = new_phone()
    one = open_as(phone, round_, "Ludvik Moravec")
    two = phone.new_page()
    two.goto(group_path(round_, 1) + "#hole-1")
    phone.set_offline(True)
    tap(one, field[0], 3)
    expect(two.locator(f"#throws-{field[0].pk}-3")).to_be_checked()
    tap(two, field[0], 4)
    tap(one, field[1], 5)
    expect(one.locator(f"#throws-{field[0].pk}-4")).to_be_checked()
    phone.set_offline(False)
    all_sent(one)
    all_sent(two)
    said = HoleEntry.objects.order_by("seq").values_list("entry", "throws", "device__name")
    assert list(said) == [
        (field[0].pk, 3, "Moravec’s phone"),
        (field[0].pk, 4, "Moravec’s phone"),
        (field[1].pk, 5, "Moravec’s phone"),
    ]
    assert StandingLine.objects.get(entry=field[0]).throws[0] == 4


def test_what_comes_by_itself_waits_until_the_finger_is_lifted(
    new_phone: NewPhone, round_: Round, field: list[Entry]
) -> None:
    phone = new_phone()
    page, other = open_as(phone, round_, "Ludvik Moravec"), phone.new_page()
    other.goto(group_path(round_, 1) + "#hole-1")
    page.evaluate("""() => {
        window.below = document.querySelector("fieldset");
        window.below.dispatchEvent(new PointerEvent("pointerdown", { bubbles: true }));
    }""")
    tap(other, field[0], 3)
    all_sent(page)
    assert page.evaluate("window.below.isConnected")
    page.evaluate("window.below.dispatchEvent(new PointerEvent('pointerup', { bubbles: true }))")
    expect(page.locator(f"#throws-{field[0].pk}-3")).to_be_checked()


def test_a_phone_that_keeps_nothing_says_so_and_sends_all_the_same(
    new_phone: NewPhone, round_: Round, field: list[Entry]
) -> None:
    phone = new_phone()
    phone.add_init_script("""Storage.prototype.setItem = (name) => {
        if (name.startsWith("starthorn-")) throw new DOMException("", "QuotaExceededError");
    }""")
    page = open_as(phone, round_, "Ludvik Moravec")
    phone.set_offline(True)
    tap(page, field[0], 3)
    expect(page.locator("#sending")).to_contain_text("leave this page open until everything is sent")
    phone.set_offline(False)
    expect(page.locator("#sending")).to_contain_text(AT_THE_DESK, timeout=20_000)
    assert HoleEntry.objects.get().throws == 3


def test_what_was_kept_under_a_withdrawn_address_is_sent_from_the_new_one(
    new_phone: NewPhone, round_: Round, field: list[Entry]
) -> None:
    phone = new_phone()
    page = open_as(phone, round_, "Ludvik Moravec")
    withdraw_link(
        round=round_, group_number=1, number=0, reason="Code copied.", actor=build.ACTOR, now=build.NOW
    )
    tap(page, field[0], 3)
    expect(page.get_by_role("alert")).to_contain_text("This address was withdrawn at the desk.")
    expect(page.locator("#sending")).to_contain_text("1 kept on this phone, not sent.")
    assert not HoleEntry.objects.exists()
    page.goto(group_path(round_, 1, 1))
    all_sent(page)
    assert HoleEntry.objects.get().throws == 3


def test_a_ruling_is_asked_for_and_answered(new_phone: NewPhone, round_: Round, field: list[Entry]) -> None:
    page = open_as(new_phone(), round_, "Ludvik Moravec")
    page.get_by_role("link", name="Ask for a ruling").tap()
    page.get_by_label("About whom").select_option("Hale Oyelaran")
    expect(page.get_by_role("combobox", name="Hole", exact=True)).to_have_value("1")
    page.get_by_label("What happened, in a few words").fill("Was the disc out of bounds?")
    page.get_by_role("button", name="Ask the desk").tap()
    expect(page.locator(".messages")).to_contain_text("At the desk, not answered yet.")
    message = GroupMessage.objects.get()
    assert (message.kind, message.hole, message.entry, message.text) == (
        "ruling",
        "1",
        field[1],
        "Was the disc out of bounds?",
    )
    answer_group(message=message, answer="In bounds: the line is out.", actor=build.ACTOR, now=build.NOW)
    page.reload()
    expect(page.locator(".messages .answer")).to_contain_text("In bounds: the line is out.")


def test_a_figure_beyond_the_six_is_typed_and_taken_away_again(
    new_phone: NewPhone, round_: Round, field: list[Entry]
) -> None:
    page = open_as(new_phone(), round_, "Ludvik Moravec")
    other = page.locator(f"#other-{field[0].pk}")
    other.tap()
    page.get_by_label("Throws of Moravec with penalty throws, 1 to 30").fill("11")
    page.get_by_role("button", name="Write it").tap()
    expect(other).to_have_text("11")
    all_sent(page)
    assert StandingLine.objects.get(entry=field[0]).throws[0] == 11
    other.tap()
    page.get_by_role("button", name="No figure").tap()
    expect(other).to_have_text("7…")
    all_sent(page)
    assert StandingLine.objects.get(entry=field[0]).throws[0] is None


def test_a_phone_is_told_the_scores_that_are_new_and_lays_them_over_its_card(
    new_phone: NewPhone, round_: Round, field: list[Entry], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(group_news, "FACTS_HOLD_SECONDS", 10**9)  # no span of the clock ends meanwhile
    page, other = (open_as(new_phone(), round_, whose) for whose in ("Ludvik Moravec", "Hale Oyelaran"))
    tap(page, field[0], 3)
    all_sent(page)
    tap(other, field[1], 4)
    all_sent(other)
    with page.expect_response("**/acts/") as answer:
        tap(page, field[2], 5)
    said = answer.value.json()
    # The other phone's score came with this answer, unless the page had asked just before.
    assert [cell["entry"] for cell in said["news"]["cells"]][-1] == field[2].pk
    assert "told" not in said
    for entry, throws in zip(field, (3, 4, 5), strict=True):
        expect(page.locator(f"#throws-{entry.pk}-{throws}")).to_be_checked()
    all_sent(page)
    page.reload()
    expect(page.locator(f"#throws-{field[1].pk}-4")).to_be_checked()


def test_what_the_desk_typed_stands_and_the_phone_says_where_it_had_another_figure(
    new_phone: NewPhone, round_: Round, field: list[Entry]
) -> None:
    page = open_as(new_phone(), round_, "Ludvik Moravec")
    tap(page, field[0], 3)
    all_sent(page)
    save(round_, 1, [LineIn(entry.pk, [4] * 18) for entry in field])
    page.reload()
    expect(page.locator(f"#throws-{field[0].pk}-4")).to_be_checked()
    expect(page.locator(f"#pick-{field[0].pk}")).to_contain_text(
        "The desk has 4 from the paper card, this phone 3."
    )
    expect(page.locator(f"#throws-{field[1].pk}-3")).to_be_disabled()


@pytest.mark.parametrize("letters", ["100%", "200%"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_targets_are_large_and_nothing_leaves_the_screen(
    new_phone: NewPhone, round_: Round, field: list[Entry], letters: str, scheme: Any
) -> None:
    page = open_as(new_phone(), round_, "Ludvik Moravec")
    page.emulate_media(color_scheme=scheme)
    page.evaluate("size => { document.documentElement.style.fontSize = size; }", letters)
    for screen in ("#hole-4", "#card", "#scores", "#ruling", "#danger", "#phone"):
        page.evaluate("hash => { location.hash = hash; }", screen)
        expect(page.locator(f"#group[data-screen='{screen}']")).to_be_attached()
        targets = page.locator(
            "#group :is(button:not(.link), .button, .pick label, summary, select), .phone-foot a"
        )
        assert targets.evaluate_all(TOO_LOW) == []
        assert page.locator("body *").evaluate_all(TOO_WIDE) == []
