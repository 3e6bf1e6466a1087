"""The equipment desk with the keyboard alone, in a real browser."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from playwright.sync_api import Page, expect

import build
import pdf_pages
from build_bags import make_bag, make_disc, make_list
from events.bags.models import Examination, Question, Scale, Weighing
from events.bags.scales import check_scale, register_scale
from events.entries.models import Entry
from events.setup.models import Event, Role

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
D = Decimal
# What the browser itself remarks on an answer that refuses.
REFUSED = "error: Failed to load resource: the server responded with a status of 422 (Unprocessable Entity)"


@pytest.fixture
def entry(event: Event) -> Entry:
    """A bag of four pieces, and another player."""
    make_list()
    build.make_entry(event, person=build.make_person("Abernethy", "Moritz"))
    entry = build.make_entry(event, person=build.make_person("Morávec", "Siobhán"))
    make_bag(entry, 4)
    return entry


@pytest.fixture
def scales(event: Event) -> list[Scale]:
    made = [
        register_scale(
            event=event, name=name, kind=kind, resolution_g=D(step), actor=build.ACTOR, now=build.NOW
        )
        for name, kind, step in (("coarse", "household", "1"), ("fine", "class_iii", "0.1"))
    ]
    for scale in made:
        check_scale(scale=scale, reference_g=D(200), reading_g=D(200), actor=build.ACTOR, now=build.NOW)
    return made


@pytest.fixture
def desk(signed_in_page: Callable[[Role], Page], entry: Entry, scales: list[Scale], base_url: str) -> Page:
    page = signed_in_page(Role.EQUIPMENT)
    page.goto(f"{base_url}/desk/quiet-pines/bags/desk/?round=1")
    expect(page.locator("#find")).to_be_focused()
    return page


def use_scale(desk: Page, words: str) -> None:
    desk.get_by_label("Scale", exact=True).select_option(label=words)
    desk.get_by_role("button", name="use").click()


def find(desk: Page, typed: str) -> None:
    desk.locator("#find").focus()
    desk.keyboard.type(typed)
    desk.keyboard.press("Enter")


def at_piece(desk: Page, number: int) -> None:
    expect(desk.get_by_label(f"Reading of piece {number}", exact=True)).to_be_focused()


def type_line(desk: Page, typed: str) -> None:
    desk.keyboard.type(typed)
    desk.keyboard.press("Enter")


def test_a_bag_is_weighed_whole_in_two_stages_and_the_slip_prints(
    desk: Page, entry: Entry, base_url: str, quiet: list[str]
) -> None:
    use_scale(desk, "coarse (1 g)")
    find(desk, "morav")
    at_piece(desk, 1)
    type_line(desk, "+ 170 g")  # as a scale sends it
    at_piece(desk, 2)
    expect(desk.locator("#last-reading .last-figure")).to_have_text("1 170 g accept")
    type_line(desk, "178 f")
    at_piece(desk, 3)
    expect(desk.locator("#last-reading .last-figure")).to_have_text("2 178 g reject")
    type_line(desk, "17")
    expect(desk.locator("#bag-desk .said.error")).to_contain_text("17 g is no disc")
    at_piece(desk, 3)
    assert quiet == [REFUSED]
    quiet.clear()
    type_line(desk, "#4")
    at_piece(desk, 4)
    type_line(desk, "170")
    at_piece(desk, 3)
    type_line(desk, "176")
    expect(desk.locator("#last-reading .last-figure")).to_have_text("3 176 g not proven")
    expect(desk.locator("#bag-desk > .sub")).to_contain_text("4 of 4 weighed")
    expect(desk.locator("#find")).to_be_focused()  # done on this scale: the next player

    use_scale(desk, "fine (0.1 g)")
    at_piece(desk, 3)  # what is not proven waits for the finer scale
    type_line(desk, "175.6")
    expect(desk.locator("#last-reading .last-figure")).to_have_text("3 175.6 g accept")
    expect(desk.locator("#find")).to_be_focused()
    assert list(Weighing.objects.values_list("disc__number", "reading_g", "zone", "scale__name")) == [
        (1, D("170.00"), "accept", "coarse"),
        (2, D("178.00"), "reject", "coarse"),
        (4, D("170.00"), "accept", "coarse"),
        (3, D("176.00"), "not_proven", "coarse"),
        (3, D("175.60"), "accept", "fine"),
    ]
    assert list(Examination.objects.values_list("disc__number", "cracked", "marked")) == [(2, False, None)]

    slip = desk.get_by_role("link", name="slip").get_attribute("href")
    (sheet,) = pdf_pages.read(desk.request.get(f"{base_url}{slip}").body())
    assert "Do not throw these 2 Ostwall Plinthor" in sheet.text
    assert "4 of 4 weighed" in sheet.text
    assert "Not proven" not in sheet.text

    find(desk, "abern")
    expect(desk.get_by_role("heading", level=2, name="Moritz Abernethy")).to_be_visible()


def test_taps_say_what_was_seen_a_piece_is_questioned_and_one_is_added(desk: Page, entry: Entry) -> None:
    use_scale(desk, "fine (0.1 g)")
    make_disc(entry, "Ostwall Gantrel", round=None)
    find(desk, "morav")
    at_piece(desk, 1)
    desk.keyboard.type("170,0")
    desk.get_by_role("group", name="What was seen of piece 1").get_by_role("button", name="crack").click()
    at_piece(desk, 2)
    expect(desk.locator("#row-1")).to_contain_text("do not throw")
    row = desk.locator("#row-2")
    row.get_by_text("all checks").click()
    row.get_by_label("Questioned by").fill("Dov Pennock")
    row.get_by_label("Why").fill("feels thick")
    row.get_by_role("button", name="question it").click()
    expect(desk.locator("#bag-desk .ask")).to_contain_text(
        "The director decides; until then it is not to be thrown."
    )
    desk.locator("#row-5").get_by_role("button", name="put it into the bag").click()
    at_piece(desk, 5)
    expect(desk.locator("#bag-desk > .sub")).to_contain_text("1 of 5 weighed")
    desk.get_by_text("Another piece is on the table").click()
    form = desk.locator(".add-piece form")
    form.get_by_label("Model").focus()
    expect(desk.locator("#models option")).to_have_count(5)
    form.get_by_label("Model").fill("Ostwall Plinthor")
    form.get_by_role("button", name="Add to the bag").click()
    at_piece(desk, 6)
    assert Question.objects.get().asked_by == "Dov Pennock"
    assert Examination.objects.get().cracked is True


def test_two_desks_at_one_bag_lose_nothing(desk: Page, entry: Entry, base_url: str) -> None:
    use_scale(desk, "fine (0.1 g)")
    find(desk, "morav")
    at_piece(desk, 1)
    other = desk.context.new_page()
    other.goto(desk.url)
    at_piece(other, 1)
    type_line(desk, "170.0")
    at_piece(desk, 2)
    type_line(other, "170.1")
    at_piece(other, 2)
    expect(other.locator("#bag-desk > .sub")).to_contain_text("1 of 4 weighed")
    type_line(other, "171.0")
    at_piece(other, 3)
    type_line(desk, "#4")
    expect(desk.locator("#row-2")).to_contain_text("171.0 g")
    assert list(Weighing.objects.values_list("disc__number", "reading_g")) == [
        (1, D("170.00")),
        (1, D("170.10")),
        (2, D("171.00")),
    ]


def test_far_down_the_bag_a_refusal_is_in_sight_and_a_long_name_moves_no_column(
    desk: Page, entry: Entry, quiet: list[str]
) -> None:
    for _ in range(16):
        make_disc(entry, model="W" * 100)
    use_scale(desk, "coarse (1 g)")
    find(desk, "morav")
    at_piece(desk, 1)
    type_line(desk, "#20")
    at_piece(desk, 20)
    type_line(desk, "zz")
    expect(desk.get_by_text("The letter z says nothing here.")).to_be_in_viewport()
    at_piece(desk, 20)
    table = desk.get_by_role("region", name="Pieces")
    assert table.evaluate("e => [e.scrollLeft, e.scrollWidth - e.clientWidth]") == [0, 0]
    assert quiet == [REFUSED]
    quiet.clear()
