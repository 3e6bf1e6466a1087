import pytest

import pdf_pages
from events.paper.page import EventHead
from scoring.standings.prints import DivisionStandings, StandingRow, standings

HEAD = EventHead("Quarry Open", "Quarry Park", "12–13 June", "EUR")
LETTER = EventHead("Quarry Open", "Quarry Park", "12–13 June", "USD", "ft", "Letter")


def test_places_totals_and_words_as_they_stand() -> None:
    rows = (
        StandingRow(1, "Ada Kvist", False, "Upper Dale", -2, 106, (52, 54), 36),
        StandingRow(2, "Dov Brandt", True, "", 0, 108, (54, 54), 36),
        StandingRow(2, "Ελένη Παπαδάκου", True, "", 0, 108, (55, 53), 36),
        StandingRow(None, "Sanne Oberg", False, "", None, None, (58, None), 18, "did not finish"),
    )
    (sheet,) = pdf_pages.read(
        standings(
            HEAD,
            [DivisionStandings("FPO", "Open women", rows)],
            subtitle="after round 2",
            note="Ties share a place.",
        )
    )
    assert sheet.text == (
        "Standings Quarry Open · Quarry Park · 12–13 June · after round 2 Ties share a place. "
        "place player town to par total R1 R2 holes "
        "FPO · Open women 1 Ada Kvist Upper Dale −2 106 52 54 36 "
        "T2 Dov Brandt E 108 54 54 36 T2 Ελένη Παπαδάκου E 108 55 53 36 "
        "– Sanne Oberg – – 58 – 18 did not finish "
        "standings · Quarry Open page 1 of 1"
    )


def _division(code: str, players: int) -> DivisionStandings:
    name = "Wilhelmina-Margarethe von Hohenbergstein"
    rows = tuple(
        StandingRow(i + 1, name, False, "Upper Dale", 40 + i, 100 + i, (50, 50, None, None), 36)
        for i in range(players)
    )
    return DivisionStandings(code, "", rows)


@pytest.mark.parametrize("head", [HEAD, LETTER], ids=["A4", "Letter"])
def test_a_division_is_not_parted_where_it_fits_a_page(head: EventHead) -> None:
    sheets = pdf_pages.read(
        standings(head, [_division("MA1", 12), _division("MA40", 14), _division("FA1", 60)])
    )
    assert [sheet.text.count("MA40") for sheet in sheets][:2] == [0, 1]
    assert [sheet.text.count("FA1 (continued)") for sheet in sheets][3:] == [1] * (len(sheets) - 3)
    assert [pdf_pages.collisions(sheet) for sheet in sheets] == [[]] * len(sheets)
    assert [pdf_pages.strays(sheet) for sheet in sheets] == [[]] * len(sheets)


def test_divisions_without_players_are_left_out() -> None:
    (sheet,) = pdf_pages.read(standings(HEAD, [_division("MA1", 1), _division("FA1", 0)]))
    assert (sheet.text.count("MA1"), sheet.text.count("FA1")) == (1, 0)


def test_standings_of_nobody_say_so() -> None:
    (sheet,) = pdf_pages.read(standings(HEAD, []))
    assert sheet.text.count("Nothing to show yet.") == 1


def test_same_bytes() -> None:
    assert standings(HEAD, [_division("MA1", 3)]) == standings(HEAD, [_division("MA1", 3)])
