from decimal import Decimal

import pytest

import pdf_pages
from events.bags.prints import (
    DeclarationSheet,
    DeskLine,
    KeepsakeGroup,
    PieceLine,
    WeighingLine,
    declarations,
    desk_list,
    keepsakes,
    weighing_record,
)
from events.paper.page import EventHead

HEAD = EventHead("Quarry Open", "Quarry Park", "12–13 June", "EUR")
LETTER = EventHead("Quarry Open", "Quarry Park", "12–13 June", "USD", "ft", "Letter")
LONG = "Wilhelmina-Margarethe von Hohenbergstein"
HEADS = pytest.mark.parametrize("head", [HEAD, LETTER], ids=["A4", "Letter"])


def _piece(number: int, **facts: object) -> PieceLine:
    return PieceLine(number, f"Ostwall Plinth {number}", "gum, orange", "throwing putter", **facts)  # type: ignore[arg-type]


def _clean(pdf: bytes) -> list[pdf_pages.Sheet]:
    sheets = pdf_pages.read(pdf)
    assert [pdf_pages.collisions(sheet) for sheet in sheets] == [[]] * len(sheets)
    assert [pdf_pages.strays(sheet) for sheet in sheets] == [[]] * len(sheets)
    return sheets


def test_a_declaration_says_what_changed_and_shows_no_missing_mass_as_zero() -> None:
    sheet = DeclarationSheet(
        "Dov Abasolo",
        "MA1",
        "round 2",
        "declared Sat 08:12",
        (_piece(1, stamped_g=Decimal(175), mark="DA"), _piece(4, change="late 10:42")),
        out=("2 Ostwall Plinth",),
        qr="http://192.168.1.2:8400/bag/x~y/",
    )
    (page,) = _clean(declarations(HEAD, [sheet], printed="printed Sat 08:15"))
    assert page.text == (
        "Bag of Dov Abasolo MA1 · round 2 · 2 discs · declared Sat 08:12 "
        "Out since last round: 2 Ostwall Plinth. A declaration, not a limit: nothing in the rules counts the "
        "discs, and discs may join during the round (Official Rules 813.01; Q&A QA-EQU-3). Only throwing an "
        "illegal disc is penalised (813.01.G). "
        "no. model plastic, colour role stamped g owner's mark since last "
        "1 Ostwall Plinth 1 gum, orange throwing putter 175.0 DA "
        "4 Ostwall Plinth 4 gum, orange throwing putter – – late 10:42 "
        "signed by the player taken at the desk by, at "
        "bag of Dov Abasolo · Quarry Open printed Sat 08:15 · page 1 of 1"
    )


@HEADS
def test_a_bag_that_nobody_has_told_of_has_lines_to_tell_of_it_by_hand(head: EventHead) -> None:
    sheet = DeclarationSheet("Dov Abasolo", "MA1", "round 1", "not declared yet", (), qr="x")
    (page,) = _clean(declarations(head, [sheet]))
    assert page.text.startswith("Bag of Dov Abasolo MA1 · round 1 · not declared yet A declaration")
    assert "stamped g owner's mark since last signed by the player" in page.text


def test_a_keepsake_sheet_without_groups_says_why() -> None:
    (page,) = _clean(keepsakes(HEAD, []))
    assert "Quarry Open · no tee sheet is published yet" in page.text


@HEADS
def test_a_bag_of_sixty_flows_and_is_signed_once(head: EventHead) -> None:
    pieces = tuple(_piece(n, stamped_g=Decimal("174.5"), mark=LONG, change="in") for n in range(1, 61))
    sheets = _clean(
        declarations(head, [DeclarationSheet(LONG, "MA40", "round 1", "not declared", pieces, qr="x")])
    )
    assert len(sheets) > 1
    assert [sheet.text.count("signed by the player") for sheet in sheets] == [0] * (len(sheets) - 1) + [1]
    text = " ".join(sheet.text for sheet in sheets)
    assert [text.count(f"Plinth {n} gum") for n in range(1, 61)] == [1] * 60


@HEADS
def test_the_desk_list_has_the_drawn_players_first(head: EventHead) -> None:
    lines = [
        DeskLine("Öberg, Ada", "FA1", "AB2C3D", None, 0),
        DeskLine(LONG, "MA1", "AB2C3E", 22, 7, "1 not proven, 1 not to throw", drawn=True),
    ]
    (sheet,) = _clean(desk_list(head, "round 1", lines))
    body = sheet.text.split("notes ", 1)[1]
    assert body.startswith("Drawn for a spot check")
    assert body.index("Hohenbergstein") < body.index("Everybody else") < body.index("Öberg")
    assert "AB2C3D – 0" in body


@HEADS
def test_the_record_leaves_no_weighing_out(head: EventHead) -> None:
    line = WeighingLine(
        "Sat 08:12",
        LONG,
        "7 Ostwall Plinth",
        "175.8",
        "176.0",
        "176.0",
        "not proven",
        "0.95",
        "kitchen",
        "–",
        "Eq",
    )
    sheets = _clean(weighing_record(head, "round 1", [line] * 70, note="List of 3 May 2025."))
    assert sum(sheet.text.count("175.8") for sheet in sheets) == 70


@HEADS
def test_a_keepsake_sheet_keeps_a_group_together(head: EventHead) -> None:
    groups = [KeepsakeGroup("round 1", n, f"hole {n}", (LONG, "A B", "C D", "E F")) for n in range(1, 31)]
    sheets = _clean(keepsakes(head, groups))
    for sheet in sheets:
        assert sheet.text.count("Group") == sheet.text.count("C D") == sheet.text.count("E F")
    assert "(continued)" not in " ".join(sheet.text for sheet in sheets)


def test_the_same_input_gives_the_same_bytes() -> None:
    groups = [KeepsakeGroup("round 1", 1, "hole 1", ("A B", "C D"))]
    assert keepsakes(HEAD, groups) == keepsakes(HEAD, groups)
    assert pdf_pages.read(declarations(HEAD, []))[0].text.startswith("Bags Nothing to show yet.")
