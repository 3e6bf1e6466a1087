import pytest

import pdf_pages
from events.paper.page import EventHead, Page, Part, Pen, document
from events.paper.qr import dark_spans

HEAD = EventHead("Quarry Open", "Quarry Park", "12–13 June", "EUR")


def _word(text: str) -> Page:
    return Page(lambda pen: pen.text(100, 100, text))


def test_each_part_counts_its_own_pages() -> None:
    parts = [Part("cards", (_word("a"), _word("b"))), Part("sheet", (_word("c"),))]
    sheets = pdf_pages.read(document(HEAD, parts, printed="printed 07:10", version="version 2"))
    assert [sheet.text for sheet in sheets] == [
        "a cards · version 2 · Quarry Open printed 07:10 · page 1 of 2",
        "b cards · version 2 · Quarry Open printed 07:10 · page 2 of 2",
        "c sheet · version 2 · Quarry Open printed 07:10 · page 1 of 1",
    ]


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_paper_sizes(paper: str, size: tuple[int, int]) -> None:
    head = EventHead("Quarry Open", "", "", "EUR", "m", paper)  # type: ignore[arg-type]
    pages = (_word("upright"), Page(_word("wide").draw, landscape=True))
    sheets = pdf_pages.read(document(head, [Part("p", pages)]))
    assert [(round(sheet.width), round(sheet.height)) for sheet in sheets] == [size, size[::-1]]


def test_a_very_long_event_name_does_not_run_into_the_page_number() -> None:
    head = EventHead("The Very Long Invented Name of an Event " * 5, "", "", "EUR")
    (sheet,) = pdf_pages.read(document(head, [Part("cards", (_word("x"),))], printed="printed 07:10"))
    assert pdf_pages.collisions(sheet) == []
    assert pdf_pages.strays(sheet) == []


def test_text_is_anchored_left_right_and_centred() -> None:
    def draw(pen: Pen) -> None:
        pen.text(200, 100, "left")
        pen.text(200, 130, "right", align="right")
        pen.text(200, 160, "centre", align="centre")

    (sheet,) = pdf_pages.read(document(HEAD, [Part("p", (Page(draw),))]))
    left, right, centre = sheet.words[:3]
    assert round(left["x0"]) == 200
    assert round(right["x1"]) == 200
    assert round((centre["x0"] + centre["x1"]) / 2) == 200


def test_no_rule_is_thinner_than_a_copier_keeps() -> None:
    def draw(pen: Pen) -> None:
        pen.rule(10, 10, 50, 10, 0.1)
        pen.box(10, 20, 30, 30, 0.1)

    (sheet,) = pdf_pages.read(document(HEAD, [Part("p", (Page(draw),))]))
    assert sheet.strokes == [0.9, 0.9]


def test_qr_spans_hold_exactly_the_dark_modules() -> None:
    import segno

    modules, spans = dark_spans("http://192.168.1.20:8000/g/QH7/")
    matrix = segno.make("http://192.168.1.20:8000/g/QH7/", error="m", micro=False, boost_error=False).matrix
    drawn = {(row, column + step) for row, column, length in spans for step in range(length)}
    assert modules == len(matrix)
    assert drawn == {(r, c) for r, line in enumerate(matrix) for c, dark in enumerate(line) if dark}
