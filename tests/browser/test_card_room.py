"""The card room with the keyboard alone, in a real browser."""

import re
from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

import build
from build_cards import line, make_field, publish, save
from events.entries.models import Entry
from events.log.services import Actor
from events.setup.models import Event, Role
from scoring.cards.links import group_path
from scoring.cards.live import Saying, enter_holes
from scoring.cards.models import Card, CardLine, CardVersion

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# In the order of play from hole 7. Layout order is hole 1 first, so the last 6 figures are the first 6 holes.
MORAVEC = "434223334334333333"
OYELARAN = "344334337334233434"


def in_layout_order(typed: str) -> list[int]:
    figures = [int(figure) for figure in typed]
    return figures[12:] + figures[:12]


@pytest.fixture
def field(event: Event) -> list[Entry]:
    """Two groups, one from hole 7, one from hole 4."""
    entries = make_field(event, 6)
    publish(event.rounds.get(number=1), [entries[:4], entries[4:]], starts=(7, 4))
    return entries


@pytest.fixture
def room(signed_in_page: Callable[[Role], Page], field: list[Entry], base_url: str) -> Page:
    page = signed_in_page(Role.CARD_ROOM)
    page.goto(f"{base_url}/desk/quiet-pines/cards/?round=1")
    return page


def current(entry: Entry) -> CardLine:
    return CardLine.objects.get(entry=entry, current=True)


def open_card(room: Page, text: str, group: int) -> None:
    """Find a card with the search, which has the focus; typing can start when the page is there."""
    room.keyboard.type(text)
    room.keyboard.press("Enter")
    expect(room.get_by_role("heading", level=1)).to_contain_text(f"Group {group} ·")
    expect(room.locator("[data-first]")).to_be_focused()
    room.wait_for_load_state()


def saved(page: Page, words: str) -> None:
    expect(page.locator("#said")).to_contain_text(words)


def test_a_card_of_four_is_typed_by_keyboard_alone(room: Page, field: list[Entry]) -> None:
    """From the search to the next card: no mouse, no Enter between holes, one question answered by Enter."""
    keys = room.keyboard
    open_card(room, "morav", 1)
    expect(room.get_by_role("heading", level=1)).to_have_text("Group 1 · start hole 7 · MA1")
    expect(room.get_by_label("Ludvik Moravec, hole 7")).to_be_focused()

    keys.type(MORAVEC)
    keys.type("56")  # the total agrees: the cursor is with the next player already
    expect(room.get_by_label("Hale Oyelaran, hole 7")).to_be_focused()
    keys.type(OYELARAN[:9])
    expect(room.locator("#ask")).to_contain_text("Hale Oyelaran, hole 15: a 7 on a par 3?")
    keys.type("p")  # one of the seven was a penalty throw
    keys.press("Enter")
    expect(room.locator("#ask")).to_be_empty()
    keys.type(OYELARAN[9:])
    keys.type("63")
    expect(room.get_by_label("Dov Pennock, hole 7")).to_be_focused()
    keys.type("3.1033 -a")  # hole 8: ten; hole 11 and 12 left blank; hole 13, a par 4: absent
    keys.press("Backspace")  # nothing there yet: back to hole 13 and it is empty again
    expect(room.get_by_label("Dov Pennock, hole 13")).to_be_focused()
    keys.type("a")
    expect(room.get_by_label("Dov Pennock, hole 13")).to_have_value("8")
    keys.press("ArrowDown")
    keys.press("Home")
    keys.type("3" * 18)
    keys.type("55")
    keys.press("Control+Enter")

    for question in (
        "Dov Pennock, hole 8: 10 throws?",
        "Dov Pennock, hole 13: an 8 on a par 4?",
        "Niko Eskola: the card says 55, it adds up to 54: 1 too many.",
        "Holes without a score: Dov Pennock 13. Save it as it stands?",
    ):
        expect(room.locator("#ask b")).to_have_text(question)
        keys.press("Enter")

    saved(room, "Group 1 is saved.")
    expect(room.get_by_role("heading", level=1)).to_have_text("Group 2 · start hole 4 · MA1")
    moravec, oyelaran, pennock, eskola = (current(entry) for entry in field[:4])
    assert (moravec.throws, moravec.written_total) == (in_layout_order(MORAVEC), 56)
    assert (oyelaran.throws, oyelaran.total) == (in_layout_order(OYELARAN), 63)
    assert oyelaran.penalties == [*[0] * 14, 1]
    assert pennock.throws == [*[None] * 6, 3, 10, 3, 3, None, None, 8, *[None] * 5]
    assert (eskola.total, eskola.written_total, eskola.complete) == (54, 55, True)


def test_a_clean_card_of_four_takes_81_keys_and_the_next_is_open(room: Page, field: list[Entry]) -> None:
    """72 holes, four totals of two figures, one key to save: under 40 seconds at just over two keys a second."""
    open_card(room, "morav", 1)
    pressed = 0
    for throws in (MORAVEC, OYELARAN, MORAVEC, OYELARAN):
        for key in throws + str(sum(int(figure) for figure in throws)):
            room.keyboard.press(key)
            pressed += 1
    room.keyboard.press("Control+Enter")
    pressed += 1
    for _ in range(2):  # both lines hold a 7 on a par 3, which is asked about once each
        room.keyboard.press("Enter")

    saved(room, "Group 1 is saved.")
    assert pressed == 81
    expect(room.get_by_role("heading", level=1)).to_have_text("Group 2 · start hole 4 · MA1")
    assert [current(entry).total for entry in field[:4]] == [56, 63, 56, 63]


def test_phones_that_differ_are_decided_and_the_card_is_verified_by_keyboard(
    room: Page, field: list[Entry]
) -> None:
    entry, now = field[0], timezone.now()
    for device, figure in ((UUID(int=1), 3), (UUID(int=2), 4)):
        enter_holes(
            round=field[0].event.rounds.get(number=1),
            group_number=1,
            device_key=device,
            device_name=f"phone {device.int}",
            sayings=[
                Saying(uuid4(), hole, each.pk, str(hole), figure if (each, hole) == (entry, 5) else 3)
                for each in field[:4]
                for hole in range(1, 19)
            ],
            actor=Actor(name="a phone"),
            now=now,
        )
    open_card(room, "morav", 1)
    expect(room.get_by_role("group", name="Ludvik Moravec, hole 5")).to_contain_text("phone 1")
    room.get_by_role("radio", name="4 phone 2").focus()
    room.keyboard.press("Space")
    room.keyboard.press("Enter")
    saved(room, "Group 1: decided.")

    room.keyboard.press("F10")

    saved(room, "Group 1 is verified: looked at in the card room.")
    expect(room.locator("#card")).to_contain_text("The card is locked")
    assert current(entry).throws[4] == 4


def test_a_wrong_figure_is_mended_where_it_stands(room: Page, field: list[Entry]) -> None:
    keys = room.keyboard
    open_card(room, "1", 1)
    keys.type("47")
    expect(room.locator("#ask b")).to_have_text("Ludvik Moravec, hole 8: a 7 on a par 3?")

    keys.press("F2")
    expect(room.get_by_label("Ludvik Moravec, hole 8")).to_be_focused()
    keys.type("4")

    expect(room.locator("#ask")).to_be_empty()
    expect(room.get_by_label("Ludvik Moravec, hole 9")).to_be_focused()
    expect(room.locator("tr[data-name='Ludvik Moravec'] [data-total]")).to_have_text("8")


def test_a_dead_laptop_loses_nothing_that_was_typed(room: Page, field: list[Entry], quiet: list[str]) -> None:
    """The answer does not come; the card stays as it was typed, and sending it again is one version."""
    keys = room.keyboard
    open_card(room, "hole 4", 2)
    for _ in field[4:]:
        keys.type("3" * 18)
        keys.type("54")
    room.route("**/save/", lambda route: route.abort())
    keys.press("Control+Enter")
    expect(room.locator("#no-answer")).to_contain_text("what you typed is still here")
    expect(room.get_by_label("Mira Tindall, hole 4")).to_have_value("3")

    room.unroute("**/save/")
    keys.press("Control+Enter")

    saved(room, "Group 2 is saved.")
    assert list(CardVersion.objects.values_list("number", "state")) == [(1, "current")]
    assert {said.split(",")[0] for said in quiet} == {
        "error: Failed to load resource: net::ERR_FAILED",
        "error: htmx:afterRequest",
        "error: htmx:sendError",
    }
    quiet.clear()


def test_signing_in_again_loses_nothing_that_was_typed(
    room: Page, event: Event, field: list[Entry], quiet: list[str], live_server: Any
) -> None:
    """The session ends while a card is typed: sign in elsewhere, save again."""
    open_card(room, "hole 4", 2)
    for _ in field[4:]:
        room.keyboard.type("3" * 18)
        room.keyboard.type("54")
    room.context.clear_cookies(name="sessionid")
    room.keyboard.press("Control+Enter")
    expect(room.locator("#no-answer")).to_contain_text("You are signed out.")
    expect(room.get_by_label("Mira Tindall, hole 4")).to_have_value("3")

    other = room.context.new_page()
    user = build.make_user(event, Role.CARD_ROOM, "second-sign-in")
    other.goto(f"{live_server.url}/sign-in/")
    other.get_by_label("User").fill(user.username)
    other.get_by_label("Password").fill("a long password")
    other.keyboard.press("Enter")
    other.wait_for_url(re.compile("/desk/"))
    other.close()
    room.bring_to_front()
    room.keyboard.press("Control+Enter")

    saved(room, "Group 2 is saved.")
    assert [said for said in quiet if "401" not in said and "htmx" not in said] == []
    quiet.clear()


def test_a_total_that_differs_is_asked_about_on_the_next_line(room: Page, field: list[Entry]) -> None:
    """Digits after a whole total belong to the next player, whether the total agrees or not."""
    open_card(room, "1", 1)
    room.keyboard.type("3" * 18)
    room.keyboard.type("56")
    expect(room.get_by_label("Hale Oyelaran, hole 7")).to_be_focused()
    expect(room.locator("#ask b")).to_have_text(
        "Ludvik Moravec: the card says 56, it adds up to 54: 2 too many."
    )
    room.keyboard.type("434")
    expect(room.get_by_label("Hale Oyelaran, hole 9")).to_have_value("4")
    expect(room.get_by_label("Ludvik Moravec, written total")).to_have_value("56")


def test_two_people_with_one_card_are_told_and_both_are_kept(
    room: Page, event: Event, field: list[Entry]
) -> None:
    round_ = event.rounds.get(number=1)
    Card.objects.create(round=round_, group_number=2, opened_by="Ada", opened_at=None)
    keys = room.keyboard
    open_card(room, "2", 2)
    for _ in field[4:]:
        keys.type("3" * 18)
        keys.type("54")
    save(round_, 2, [line(field[4], 3), line(field[5], 4)], actor=Actor("Ada"), now=build.NOW)

    keys.press("Control+Enter")

    saved(room, "Both are kept: who is right?")
    expect(room.get_by_role("group", name="Sefa Varga, hole")).to_have_count(18)
    room.get_by_role("button", name="version 2").click()
    saved(room, "version 2 is the current one now")
    assert (current(field[5]).total, CardVersion.objects.get(number=1).state) == (54, "superseded")


def test_group_finished_and_card_in_by_key(room: Page, field: list[Entry]) -> None:
    """The line with the clock is exchanged alone: what is typed into the grid stays."""
    keys = room.keyboard
    open_card(room, "1", 1)
    keys.type("434")
    keys.press("F8")
    expect(room.locator("#clock")).to_contain_text("card due")
    keys.press("F9")
    expect(room.locator("#clock")).to_contain_text("card in")

    expect(room.get_by_label("Ludvik Moravec, hole 8")).to_have_value("3")
    keys.type("2")
    expect(room.get_by_label("Ludvik Moravec, hole 10")).to_have_value("2")


def test_a_viewer_reads_a_card_and_types_nothing(
    event: Event, signed_in_page: Callable[[Role], Page], field: list[Entry], base_url: str
) -> None:
    save(event.rounds.get(number=1), 1, [line(field[0], 3)])
    page = signed_in_page(Role.VIEWER)
    page.goto(f"{base_url}/desk/quiet-pines/cards/?round=1&group=1")
    page.wait_for_load_state()

    page.keyboard.type("999")
    page.keyboard.press("Control+Enter")

    expect(page.locator("[data-first]")).to_have_value("")
    expect(page.locator("[data-total]").first).to_have_text("54")
    assert page.get_by_role("button", name="Save").count() == 0


def test_a_card_scanned_into_the_grid_opens_and_leaves_the_grid_alone(
    room: Page, event: Event, field: list[Entry], base_url: str
) -> None:
    open_card(room, "1", 1)

    room.keyboard.type(base_url + group_path(event.rounds.get(number=1), 2))
    expect(room.locator("[data-first]")).to_have_value("")
    room.keyboard.press("Enter")

    expect(room.get_by_role("heading", level=1)).to_contain_text("Group 2 ·")


def test_a_slash_leads_to_the_search_from_wherever_figures_are_typed_and_stays_in_words(
    room: Page, field: list[Entry]
) -> None:
    open_card(room, "1", 1)
    find, radio = room.locator("#find"), room.get_by_label("Radio call")
    time = room.get_by_label("Time the card came in")
    for figures, typed in ((room.locator("[data-first]"), ""), (radio, "7 9 -3 E"), (time, "9:40")):
        figures.focus()
        room.keyboard.type(f"{typed}/")
        expect(find).to_be_focused()
        expect(find).to_have_value("")
        expect(figures).to_have_value(typed)

    room.get_by_text("Penalty throws and additional penalties").click()
    what_for = room.get_by_label("Ludvik Moravec, what the additional penalty throws are for")
    what_for.focus()
    room.keyboard.press("/")
    expect(find).to_be_focused()
    what_for.fill("one and a half")
    room.keyboard.type("/2")
    expect(what_for).to_have_value("one and a half/2")
