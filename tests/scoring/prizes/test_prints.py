"""Paper of the prizes, looked at as a reader would: everything is there, nothing collides or leaves the page."""

import pytest

import pdf_pages
from events.paper.page import EventHead
from scoring.prizes.posting import Base
from scoring.prizes.prints import Receipt, hand_out_list, payout_sheet, receipts

HEAD = EventHead("Quiet Pines Open", "Quiet Pines Park, Port Sable", "12 to 13 June 2026", "USD")
LETTER = EventHead("Quiet Pines Open", "", "12 June 2026", "SEK", paper="Letter")
LONG = "Maximiliana-Theodora Vanderwaterbeemd-Eskolanderssonsdottir"


def base(code: str, prizes: tuple[int, ...], **facts) -> Base:
    facts = {
        "name": code, "professional": True, "players": 20, "purse": sum(prizes), "unit": 1,
        "amateur_kind": "merchandise", "trophies": 0, "true_amateur": False, "words": "", "source": "",
    } | facts  # fmt: skip
    return Base(code=code, prizes=prizes, **facts)


PRIZES = (22_950, 16_065, 12_240, 9_180, 6_885, 4_590, 3_060, 1_530)
BASES = [
    base("MPO", PRIZES),
    base("MP40", tuple(range(90_000, 1_000, -1_500))),
    base("MA1", PRIZES, professional=False, unit=500),
    base("MA40", PRIZES[:1], professional=False, amateur_kind="voucher", trophies=1, players=1),
    base("MJ15", (), professional=False, true_amateur=True, trophies=2),
    base("FJ15", (), professional=False, players=0),
]


def sound(pdf: bytes) -> list[pdf_pages.Sheet]:
    pages = pdf_pages.read(pdf)
    for page in pages:
        assert pdf_pages.collisions(page) == []
        assert pdf_pages.strays(page) == []
        assert min(word["size"] for word in page.words) >= 8
    return pages


@pytest.mark.parametrize("head", [HEAD, LETTER])
def test_the_payout_to_hang_up(head):
    pages = sound(payout_sheet(head, BASES, added=75_000, version="posted as version 2", printed="Fri 07:00"))

    said = " ".join(page.text for page in pages)
    assert "posted as version 2" in said
    assert "added cash 750.00" in said
    assert f"MPO · 765.00 {head.currency}" in said
    for figure in ("229.50", "900.00", "in merchandise", "in vouchers", "1 trophy", "2 trophies", "1 player"):
        assert figure in said, figure
    assert "FJ15" not in said


def test_the_payout_says_by_which_table_or_curve_it_is_and_where_that_comes_from():
    own = {"words": "own, row for 8 places", "source": "Typed by the director."}
    bases = [
        base("MPO", PRIZES, **own),
        base("FPO", PRIZES, **own),
        base("MA1", PRIZES, words="smooth curve", source="a published paper"),
        base("MJ15", (), true_amateur=True, words="trophies only"),
    ]
    said = " ".join(
        page.text for page in sound(payout_sheet(HEAD, bases, added=0, version="draft", printed=""))
    )

    assert "MPO, FPO: own, row for 8 places (Typed by the director)." in " ".join(said.split())
    assert "MA1: smooth curve (a published paper)." in " ".join(said.split())
    assert "trophies only" not in said


def test_prizes_in_fives_are_shown_as_they_are_paid():
    said = sound(payout_sheet(HEAD, [BASES[2]], added=0, version="draft", printed=""))[0].text

    assert "230.00" in said
    assert "229.50" not in said


RECEIPTS = [
    Receipt(LONG, "MPO", 1, False, 22_950, "229.50 cash, trophy", "cash, Sat 13 June 17:00"),
    *(Receipt(f"Player {at}", "MA1", at, at == 3, 1_000 * at, f"{at}0.00 merchandise") for at in range(2, 9)),
    Receipt("Ivo Quist", "MJ15", 1, False, 0, "trophy"),
]


@pytest.mark.parametrize("head", [HEAD, LETTER])
def test_receipts_to_sign(head):
    pages = sound(receipts(head, RECEIPTS, printed="Sat 17:00"))

    assert len(pages) == 2
    said = " ".join(page.text for page in pages)
    for receipt in RECEIPTS:
        assert receipt.name.split()[0].split("-")[0] in said
    assert said.count("signature") == len(RECEIPTS)
    assert f"229.50 {head.currency}" in said
    assert "place 3, tied" in said
    assert "cash, Sat 13 June 17:00" in said


def test_no_receipts_yet():
    assert "No prize is due to anybody yet" in sound(receipts(HEAD, [], printed=""))[0].text


@pytest.mark.parametrize("head", [HEAD, LETTER])
def test_the_list_to_hand_out_by(head):
    pages = sound(
        hand_out_list(head, [("MPO", RECEIPTS[:1]), ("MA1", RECEIPTS[1:] * 6), ("FA1", [])], printed="")
    )

    assert len(pages) > 1
    said = " ".join(page.text for page in pages)
    assert "MA1 (continued)" in said
    assert "3 tied" in said
    assert "FA1" not in said
