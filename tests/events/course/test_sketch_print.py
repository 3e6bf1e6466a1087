"""The sketch on paper: inside its frame, letters of 9 points and more, the same bytes each time."""

import io

import pdfplumber
import pytest

from events.course.sketch import Item
from events.course.sketch_print import draw_sketch, sketch_height
from events.paper.page import EventHead, Page, Part, document

HEAD = EventHead("Quiet Pines Open", "Nowhere", "12 June", "USD")
ITEMS = (
    Item("tee", ((0, 700),), "front"),
    Item("target", ((1000, 0),), "long position"),
    Item("out_of_bounds", ((0, 0), (999, 0), (1000, 700)), "a label of 24 letters xx"),
    Item("mandatory", ((500, 300), (450, 250)), "oak"),
    Item("hazard", ((600, 300), (700, 300), (650, 400))),
    Item("water", ((100, 100), (200, 100), (150, 200)), "pond"),
    Item("road", ((0, 350), (1000, 350))),
    Item("path", ((0, 360), (1000, 500))),
    Item("trees", ((300, 300), (320, 340))),
    Item("flight", ((0, 700), (1000, 0))),
    Item("drop_zone", ((980, 680),), "A"),
)


def printed(room: float) -> bytes:
    def draw(pen):
        assert draw_sketch(pen, ITEMS, 60, 90, room) == sketch_height(room)

    return document(HEAD, [Part("sketch", (Page(draw),))])


@pytest.mark.parametrize("room", [150, 480])
def test_words_stay_inside_the_frame_and_legible(room):
    with pdfplumber.open(io.BytesIO(printed(room))) as pdf:
        words = [word for word in pdf.pages[0].extract_words(extra_attrs=["size"]) if word["top"] < 700]
    assert {"OB", "DZ", "M", "pond", "hazard"} <= {word["text"] for word in words}
    for word in words:
        assert word["x0"] >= 60, word["text"]
        assert word["x1"] <= 60 + room, word["text"]
        assert word["top"] >= 90, word["text"]
        assert word["bottom"] <= 90 + sketch_height(room) + 1, word["text"]
        assert word["size"] >= 9


def test_the_same_sketch_gives_the_same_bytes():
    assert printed(300) == printed(300)


def test_an_empty_sketch_draws_nothing():
    heights = []
    document(HEAD, [Part("x", (Page(lambda pen: heights.append(draw_sketch(pen, (), 0, 0, 100))),))])
    assert heights == [0.0]
