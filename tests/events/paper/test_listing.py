import pdf_pages
from events.paper.listing import Block, Cell, Column, Listing, Row, listing_pages
from events.paper.page import EventHead, Part, document

HEAD = EventHead("Quarry Open", "Quarry Park", "12–13 June", "EUR")
COLUMNS = (Column("name", 60), Column("throws", 20, "right"))


def _row(text: str, *, joins_next: bool = False) -> Row:
    return Row((Cell(text), Cell("61")), joins_next=joins_next)


def _sheets(*blocks: Block, frames: int = 1) -> list[pdf_pages.Sheet]:
    listing = Listing("List", "under", COLUMNS, blocks, frames=frames)
    return pdf_pages.read(document(HEAD, [Part("list", listing_pages(HEAD, listing))]))


def _names(sheet: pdf_pages.Sheet) -> list[str]:
    return [word["text"] for word in sheet.words if word["text"].startswith("p")][:-1]  # without "page"


def test_rows_go_on_over_pages_with_heading_and_columns_repeated() -> None:
    sheets = _sheets(Block(tuple(_row(f"p{i}") for i in range(90)), "Pool A"))
    assert [name for sheet in sheets for name in _names(sheet)] == [f"p{i}" for i in range(90)]
    assert [sheet.text.count("(continued)") for sheet in sheets] == [0, 1, 1]
    assert [sheet.text.count("throws") for sheet in sheets] == [1, 1, 1]


def test_a_whole_block_moves_to_the_next_page_rather_than_break() -> None:
    long, short = (
        Block(tuple(_row(f"p{i}") for i in range(30))),
        Block(tuple(_row(f"pp{i}") for i in range(12)), whole=True),
    )
    first, second = _sheets(long, short)
    assert _names(first) == [f"p{i}" for i in range(30)]
    assert _names(second) == [f"pp{i}" for i in range(12)]


def test_joined_rows_are_not_parted() -> None:
    rows = tuple(_row(f"p{i}", joins_next=i % 4 != 3) for i in range(100))
    assert [len(_names(sheet)) % 4 for sheet in _sheets(Block(rows))] == [0, 0, 0]


def test_a_heading_never_stands_alone_at_the_foot() -> None:
    for count in range(28, 40):
        sheets = _sheets(Block(tuple(_row(f"p{i}") for i in range(count))), Block((_row("plast"),), "Lonely"))
        (page,) = [sheet for sheet in sheets if "Lonely" in sheet.text]
        assert "plast" in page.text


def test_two_columns_of_the_page_are_read_down_first() -> None:
    sheets = _sheets(Block(tuple(_row(f"p{i}") for i in range(60))), frames=2)
    (sheet,) = sheets
    middle = sheet.width / 2
    left = [
        word["text"]
        for word in sheet.words
        if word["x1"] < middle and word["text"][1:].isdigit() and word["text"][0] == "p"
    ]
    assert left == [f"p{i}" for i in range(len(left))]
    assert len(left) > 30


def test_cells_of_a_row_stand_on_one_baseline() -> None:
    columns = (Column("a", 1), Column("b", 1))
    listing = Listing("List", "", columns, (Block((Row((Cell("small", size=8), Cell("large", size=16))),)),))
    (sheet,) = pdf_pages.read(document(HEAD, [Part("list", listing_pages(HEAD, listing))]))
    baselines = {
        char["size"]: char["matrix"][5]
        for char in sheet.chars
        if char["size"] in (8, 16) and char["top"] < 200
    }
    assert baselines[8] == baselines[16]


def test_an_empty_list_says_so() -> None:
    (sheet,) = _sheets()
    assert sheet.text.count("Nothing to show yet.") == 1
