"""The catalogue as the rulebook holds it: what a row must say, overrides, order, the sheet on paper."""

from datetime import date
from pathlib import Path

import pytest

from events.paper.page import EventHead
from events.rulebook.loader import BadRulebookError, in_force, load
from events.rulebook.values import BOOKED, Override
from pdf_pages import collisions, read, strays
from scoring.penalties.catalogue import CHAPTERS, by_chapter, catalogue
from scoring.penalties.prints import penalty_sheet

DAY = date(2026, 6, 12)
ROWS = catalogue(in_force(DAY, "north_america"), "A")
PART = 'name = "A"\nchapter = "B"\nbooked = "hole"\nthen = "C."'


def write(folder: Path, part: str, unit: str = "throws") -> None:
    text = f"""
[edition]
title = "Test"
effective = 2025-01-01

[[value]]
key = "penalty.x"
value = 1
unit = "{unit}"
document = "Rules"
section = "1"
trust = "read"
[value.penalty]
{part}
"""
    (folder / "a.toml").write_text(text, encoding="utf-8")


def test_a_value_carries_its_row_of_the_catalogue(tmp_path: Path) -> None:
    write(tmp_path, f"{PART}\nwarnings = 1\nonce = true")

    (edition,) = load(tmp_path)

    held = edition.values[0].penalty
    assert held is not None
    assert dict(held) == {
        "name": "A",
        "chapter": "B",
        "booked": "hole",
        "then": "C.",
        "warnings": 1,
        "once": True,
    }


@pytest.mark.parametrize(
    ("part", "unit", "problem"),
    [
        (PART + '\ncolour = "red"', "throws", "penalty has unknown words colour"),
        (PART.replace('then = "C."', ""), "throws", "penalty needs then"),
        (PART.replace('"hole"', '"bag"'), "throws", f"booked is one of {', '.join(BOOKED)}"),
        (PART.replace('"A"', "1"), "throws", "name, chapter, booked, then are texts"),
        (PART + "\nonce = false", "throws", "once and apart are true, or left out"),
        (PART + "\nwarnings = true", "throws", "warnings is a whole number"),
        (PART, "minutes", "penalty belongs to a value in throws"),
    ],
)
def test_a_row_that_breaks_the_form_is_refused(tmp_path: Path, part: str, unit: str, problem: str) -> None:
    write(tmp_path, part, unit)

    with pytest.raises(BadRulebookError) as refused:
        load(tmp_path)

    assert str(refused.value) == f"a: penalty.x: {problem}"


def test_every_row_stands_under_a_chapter_and_ends_its_sentence() -> None:
    for row in ROWS.values():
        assert row.chapter in CHAPTERS, row.key
        assert row.then.endswith("."), row.key
        assert row.name[0].isupper(), row.key
    assert len({row.name for row in ROWS.values()}) == len(ROWS)


def test_what_counts_once_has_a_source_of_its_own() -> None:
    """Rulings of a rule are told by its source, so that those written elsewhere count too."""
    sources = [row.source for row in ROWS.values()]
    assert {row.key: sources.count(row.source) for row in ROWS.values() if row.once or row.warnings} == {
        row.key: 1 for row in ROWS.values() if row.once or row.warnings
    }


def test_a_director_s_figure_counts_and_says_why() -> None:
    book = in_force(DAY, "north_america", {"penalty.stance": Override(2, "announced at the meeting")})
    row = catalogue(book, "A")["penalty.stance"]

    assert (row.throws, row.changed) == (2, "announced at the meeting")


def test_chapters_are_in_order_and_rows_by_name() -> None:
    chapters = by_chapter(ROWS.values())

    assert [chapter for chapter, _ in chapters] == list(CHAPTERS)
    for _, rows in chapters:
        assert [row.name for row in rows] == sorted(row.name for row in rows)
    assert by_chapter([]) == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(
    "name", ["Quiet Pines Open", "The Very Long Name of an Autumn Tournament on the Northern Downs"]
)
def test_the_sheet_is_one_page_with_every_row(paper: str, name: str) -> None:
    head = EventHead(name=name, place="Quiet Pines", dates_text="12 June", currency="USD", paper=paper)  # type: ignore[arg-type]

    (page,) = read(penalty_sheet(head, catalogue(in_force(DAY, "north_america"), "major").values(), on=DAY))

    assert (collisions(page), strays(page)) == ([], [])
    assert min(round(word["size"], 1) for word in page.words) >= 8
    for words in ("Stance", "mandatory", "\N{MINUS SIGN}2", "Manual", "804.01.C", "starting"):
        assert words in page.text
