"""The order of a folded booklet, and that its halves keep apart."""

from itertools import chain

import pytest
from hypothesis import given
from hypothesis import strategies as st

import pdf_pages
from events.paper.booklet import booklet_pages, half_room, imposed
from events.paper.flow import Sheet, leaves, prose
from events.paper.page import EventHead, Part, document

A4 = EventHead("Quarry Open", "Quarry Park", "12 June", "EUR")
LETTER = EventHead("Quarry Open", "Quarry Park", "12 June", "USD", "ft", "Letter")


@pytest.mark.parametrize(
    ("pages", "sides"),
    [
        (0, ()),
        (1, ((None, 1), (None, None))),
        (4, ((4, 1), (2, 3))),
        (6, ((None, 1), (2, None), (6, 3), (4, 5))),
        (8, ((8, 1), (2, 7), (6, 3), (4, 5))),
    ],
)
def test_pages_lie_where_the_folded_sheets_need_them(pages, sides):
    assert imposed(pages) == sides


def folded(sides):
    """The pages in the order in which a reader of the folded stack turns them."""
    fronts, backs = sides[::2], sides[1::2]
    first = list(chain.from_iterable((front[1], back[0]) for front, back in zip(fronts, backs, strict=True)))
    second = list(
        chain.from_iterable((back[1], front[0]) for front, back in zip(fronts, backs, strict=True))
    )[::]
    halves = [second[i : i + 2] for i in range(0, len(second), 2)]
    return first + list(chain.from_iterable(reversed(halves)))


@given(st.integers(1, 120))
def test_a_folded_booklet_reads_from_1_to_the_end(pages):
    read = folded(imposed(pages))
    assert [number for number in read if number is not None] == list(range(1, pages + 1))
    assert read[:pages] == list(range(1, pages + 1))
    assert len(read) - pages < 4


@pytest.mark.parametrize(("head", "size"), [(A4, (842, 595)), (LETTER, (792, 612))], ids=["A4", "Letter"])
def test_each_half_keeps_to_its_side(head, size):
    room, height = half_room(head)
    text = "Wilhelmina-Margarethe von Hohenbergstein walks along the creek. " * 60
    found = leaves(Sheet(prose(text, room, size=9), foot=prose("foot", room, size=9)), height)
    assert len(found) == 2
    sheets = pdf_pages.read(document(head, [Part("notes", booklet_pages(head, found))]))
    assert [(round(sheet.width), round(sheet.height)) for sheet in sheets] == [size, size]
    for sheet in sheets:
        assert pdf_pages.collisions(sheet) == []
        assert pdf_pages.strays(sheet) == []
        middle = sheet.width / 2
        assert [
            word["text"] for word in sheet.words if word["x0"] < middle + 18 and word["x1"] > middle - 18
        ] == []
    assert [word["text"] for word in sheets[0].words if word["x1"] < middle] == []  # the fourth page is blank
