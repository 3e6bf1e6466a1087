import pytest

import pdf_pages
from events.entries.prints import CheckInRow, CheckInSlip, checkin_list, checkin_slips
from events.paper.page import EventHead

HEAD = EventHead("Quarry Open", "Quarry Park", "12–13 June", "EUR")
LETTER = EventHead("Quarry Open", "Quarry Park", "12–13 June", "USD", "ft", "Letter")
LONG = "Hohenbergstein von, Wilhelmina-Margarethe"


def test_the_list_is_by_surname_with_what_is_due_in_words() -> None:
    rows = [
        CheckInRow(
            "Öberg, Ada", "FA1", "70001", 2500, "bag, S", guardian_missing=True, conduct_unsigned=True
        ),
        CheckInRow("Abasolo, Dov", "MA1", None, None, membership_missing=True, note="late arrival"),
        CheckInRow("Oberg, Sanne", "MA1", "70002", 0, "bag", checked_in=True),
    ]
    (sheet,) = pdf_pages.read(checkin_list(HEAD, rows, printed="printed Sat 06:10"))
    assert sheet.text == (
        "Check-in by surname Quarry Open · 12–13 June · 3 entrants, 1 checked in when this was printed "
        "in name division number owed EUR pack to ask for "
        "A Abasolo, Dov MA1 – – membership; late arrival "
        "O Öberg, Ada FA1 70001 25.00 bag, S guardian; conduct note to sign "
        "Oberg, Sanne MA1 70002 0.00 bag "
        "check-in list · Quarry Open printed Sat 06:10 · page 1 of 1"
    )


def test_a_box_stands_before_each_name_and_is_crossed_for_who_is_in() -> None:
    def strokes(*, checked_in: bool) -> int:
        (sheet,) = pdf_pages.read(
            checkin_list(HEAD, [CheckInRow("Abasolo, Dov", "MA1", checked_in=checked_in)])
        )
        return len(sheet.strokes)

    assert strokes(checked_in=True) - strokes(checked_in=False) == 2


@pytest.mark.parametrize("head", [HEAD, LETTER], ids=["A4", "Letter"])
def test_a_list_of_150_is_complete_and_clean(head: EventHead) -> None:
    names = [LONG, "Шевчук, Дмитро", "名前", "Παπαδάκου, Ελένη", *(f"Kvist, Ada{i}" for i in range(146))]
    rows = [
        CheckInRow(n, "MA40", str(70000 + i), 4050, "bag, XL", conduct_unsigned=True)
        for i, n in enumerate(names)
    ]
    sheets = pdf_pages.read(checkin_list(head, rows))
    assert [pdf_pages.collisions(sheet) for sheet in sheets] == [[]] * len(sheets)
    assert [pdf_pages.strays(sheet) for sheet in sheets] == [[]] * len(sheets)
    numbers = [
        w["text"]
        for sheet in sheets
        for w in sheet.words
        if w["text"].startswith("70") and len(w["text"]) == 5
    ]
    assert sorted(numbers) == [str(70000 + i) for i in range(150)]
    everything = "".join(char["text"] for sheet in sheets for char in sheet.chars).replace(" ", "")
    assert [everything.count(name.replace(" ", "")) for name in names[:4]] == [1, 1, 1, 1]


@pytest.mark.parametrize("head", [HEAD, LETTER], ids=["A4", "Letter"])
def test_slips_are_eight_to_a_page_in_the_order_of_the_list(head: EventHead) -> None:
    slips = [
        CheckInSlip(f"Ada Kvist{i:02d}", "FA1", f"QH{i:02d}-7K", listed=f"Kvist{99 - i}, Ada")
        for i in range(9)
    ]
    sheets = pdf_pages.read(checkin_slips(head, slips))
    codes = [[w["text"] for w in sheet.words if w["text"].startswith("QH")] for sheet in sheets]
    assert [len(page) for page in codes] == [8, 1]
    assert codes[1] == ["QH00-7K"]


def test_a_slip_with_the_longest_name_stays_in_its_frame() -> None:
    slips = [
        CheckInSlip(name, "MJ18", "QH001-7K", None, "http://192.168.1.20:8000/c/QH0017K")
        for name in ("W" * 40, LONG)
    ]
    (sheet,) = pdf_pages.read(checkin_slips(HEAD, slips))
    assert pdf_pages.collisions(sheet) == []
    assert sheet.text.count("no member number") == 2
    letters = "".join(c["text"] for c in sheet.chars).replace(" ", "")
    assert letters.count("W" * 40) == 1


def test_same_bytes() -> None:
    slips = [CheckInSlip("名前", "FA1", "QH1")]
    rows = [CheckInRow("Шевчук", "FA1")]
    assert checkin_slips(HEAD, slips) == checkin_slips(HEAD, slips)
    assert checkin_list(HEAD, rows) == checkin_list(HEAD, rows)
