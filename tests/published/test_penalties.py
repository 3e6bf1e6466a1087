"""The penalty table, row by row: throws, where they are written, document and section.

The figures are the documents' and stand here once more, so that they are checked against the documents and not against
our own rulebook. Sections of the Official Rules were read in a full translation, those marked "read" in English.
"""

from datetime import date

import pytest

from events.rulebook.loader import in_force
from scoring.penalties.catalogue import catalogue
from scoring.penalties.counting import Earlier, Proposal, not_played, propose
from scoring.penalties.questions import Elsewhere, Found, Free, walk
from scoring.penalties.situations import SITUATIONS

pytestmark = pytest.mark.published

BOOK = in_force(date(2025, 6, 7), "north_america")
ROWS = catalogue(BOOK, "major")
OR, CM = "Official Rules 2025", "Competition Manual 2025"
WARNING = (True, 0)

# (way through the questions, each breach in one round as throws, written on, document, section)
TABLE = [
    ("time", [WARNING, 1, 1], "hole", OR, "802.03"),
    ("marking", [WARNING, 1, 1], "hole", OR, "802.06"),
    ("courtesy-1", [WARNING, 1, 1], "hole", OR, "812.C (distracting others)"),
    ("courtesy-2", [WARNING, 1, 1], "hole", OR, "812.C (a throw that could hit)"),
    ("courtesy-3", [WARNING, 1, 1], "hole", OR, "812.C (refusing help)"),
    ("courtesy-4", [WARNING, 1, 1], "hole", OR, "812.C (litter or smoke)"),
    ("courtesy-5", [WARNING, 1, 1], "hole", OR, "812.C"),
    ("stance-1", [1, 1], "hole", OR, "802.04.C, 802.07.C"),
    ("stance-2", [1, 1], "hole", OR, "806.01"),
    ("obstacle", [1, 1], "hole", OR, "803.01.C"),
    ("relief-2-1", [1, 1], "hole", OR, "803.02.C"),
    ("relief-2-2", [2, 2], "hole", OR, "803.02.C"),
    ("relief-3", [1, 1], "hole", OR, "806.03.C"),
    ("relief-1-1", [1, 1], "hole", OR, "803.02.D, E"),
    ("damage", [2, 2], "hole", OR, "803.03"),
    ("mandatory-1", [1, 1], "hole", OR, "804.01.C"),
    ("above-1", [1, 1], "hole", OR, "805.02"),
    ("lost-1-1", [1, 1], "hole", OR, "805.03"),
    ("lost-2", [-2], "hole", OR, "805.03"),
    ("ob-1", [1, 1], "hole", OR, "806.02.D"),
    ("hazard-1", [1, 1], "hole", OR, "806.05.C"),
    ("ob-2", [2, 2], "hole", OR, "805.03.F, 806.02.G"),
    ("lost-1-2", [2, 2], "hole", OR, "805.03.F, 806.02.G"),
    ("abandon", [1, 1], "hole", OR, "809.01"),
    ("practice-1", [1, 1], "hole", OR, "809.03"),
    ("interference-1", [1, 1], "hole", OR, "810.D"),
    ("interference-2", [2, 2], "hole", OR, "810.F"),
    ("device", [2, 2], "hole", OR, "813.02.F"),
    ("latecard-1", [2, 0], "round total", OR, "808.F"),
    ("card-1-1", [2, 0], "round total", OR, "808.G.2"),
    ("starter-1", [2, 0], "starting hole", CM, "1.04.E"),
    ("checkin", [2, 0], "round total", CM, "4.05.C"),
    ("signals-1", [WARNING, 1, 0], "round total", CM, "1.05.C"),
    ("stop", [2, 2], "round total", CM, "1.07.H"),
    ("lie-1", [1, 1], "hole", OR, "811.F (incorrect lie)"),
    ("lie-2", [2, 2], "hole", OR, "811.F (incorrect lie)"),
    ("holeout-3", [2, 2], "hole", OR, "811.F (failure to hole out)"),
    ("order", [2, 0, 0], "round total", OR, "811.F (non-sequential play)"),
    ("wronghole-1", [2, 2], "hole", OR, "811.F (wrong hole)"),
    ("wronghole-2", [2, 2], "round total", OR, "811.F (extra hole)"),
    ("starthole-1", [2, 2], "hole", OR, "811.F (wrong starting hole)"),
    ("starthole-2", [1, 1], "hole", OR, "811.F (wrong starting hole)"),
]


def found(way: str) -> Found:
    node = walk(way, SITUATIONS).node
    assert isinstance(node, Found)
    return node


def proposed(way: str, earlier: Earlier) -> Proposal:
    node = found(way)
    return propose([node], ROWS, dict.fromkeys(node.keys, earlier), hole="7", start_hole="4")


@pytest.mark.parametrize(
    ("way", "breaches", "booked", "document", "section"), TABLE, ids=[row[0] for row in TABLE]
)
def test_row(
    way: str, breaches: list[int | tuple[bool, int]], booked: str, document: str, section: str
) -> None:
    (key,) = found(way).keys
    row, said = ROWS[key], Earlier()
    assert (row.booked, row.source.removesuffix(" (own reading)")) == (booked, f"{document}, {section}")
    for breach in breaches:
        proposal = proposed(way, said)
        assert (proposal.warning, proposal.throws) == (
            breach if isinstance(breach, tuple) else (False, breach)
        )
        said = Earlier(said.warnings + proposal.warning, said.penalties + bool(proposal.throws))


def test_the_table_has_every_row_that_is_ruled() -> None:
    """The others: relief area, absence, the throw that would have holed out, discs; each has a test below."""
    others = {
        "penalty.relief_area",
        "play.absence_throws_over_par",
        "penalty.unfinished_hole_throw",
        "discs.illegal_throws",
        "discs.unmarked_throws",
    }

    assert {key for way, *_ in TABLE for key in found(way).keys} | others == ROWS.keys()


def test_a_relief_area_costs_nothing() -> None:
    """Official Rules 2025, 806.04."""
    node = walk("reliefarea", SITUATIONS).node
    assert isinstance(node, Free)
    assert (ROWS["penalty.relief_area"].throws, ROWS["penalty.relief_area"].source) == (0, f"{OR}, 806.04")


def test_optional_relief_directly_after_out_of_bounds_costs_nothing() -> None:
    """Official Rules 2025, 803.02.D, E."""
    assert isinstance(walk("relief-1-2", SITUATIONS).node, Free)


def test_above_two_metres_counts_only_where_it_was_declared() -> None:
    """Official Rules 2025, 805.02."""
    assert isinstance(walk("above-2", SITUATIONS).node, Free)


def test_discs_thrown() -> None:
    """Official Rules 2025, 813.01.G (two throws each time) and 813.01.H (a warning, then one each throw). Which is
    written among the calls about discs is in test_calls."""
    illegal, unmarked = ROWS["discs.illegal_throws"], ROWS["discs.unmarked_throws"]
    assert (illegal.throws, illegal.warnings, illegal.source) == (2, 0, f"{OR}, 813.01.G")
    assert (unmarked.throws, unmarked.warnings, unmarked.source) == (1, 1, f"{OR}, 813.01.H")
    assert BOOK.int("discs.unmarked_warnings") == unmarked.warnings
    assert isinstance(walk("disc", SITUATIONS).node, Elsewhere)


@pytest.mark.parametrize("way", ["absent-1", "startgroup", "starter-2"])
def test_absent_missing_missed_and_a_wrong_starting_group_are_par_and_four(way: str) -> None:
    """Competition Manual 2025, 1.05.E and F; Official Rules 2025, 811.F (absent, missing, missed, wrong group).
    A player who was absent on the starting hole has no penalty for the starter besides (1.04.E)."""
    node = walk(way, SITUATIONS).node
    assert isinstance(node, Elsewhere)
    assert node.page == "absent"
    row = ROWS["play.absence_throws_over_par"]
    assert (row.throws, row.booked, row.source) == (4, "each hole not played", f"{CM}, 1.05.E")
    assert [each.score for each in not_played([("1", 3, None), ("2", 5, 6)], ["1", "2"], row.throws)] == [
        7,
        9,
    ]


@pytest.mark.parametrize(("way", "why"), [("absent-2", "holes left out"), ("holeout-4", "left unfinished")])
def test_on_purpose_it_is_a_withdrawal(way: str, why: str) -> None:
    """Official Rules 2025, 811.F (missed hole; failure to hole out)."""
    node = walk(way, SITUATIONS).node
    assert isinstance(node, Elsewhere), why
    assert node.page == "leave"


def test_late_for_the_event_s_check_in_is_a_rule_of_majors_and_elite_series_only() -> None:
    """Competition Manual 2025, 4.05.C."""
    held = {
        tier: "check_in.late_throws" in catalogue(BOOK, tier)
        for tier in ("worlds", "major", "elite", "A", "C")
    }
    assert held == {"worlds": True, "major": True, "elite": True, "A": False, "C": False}


def test_no_penalty_for_a_wrong_entry_that_a_later_ruling_made_nor_for_others_nor_for_no_signature() -> None:
    """Official Rules 2025, 808.G.2, 808.G.3; no signature is asked for in 808."""
    for way in ("card-1-2", "card-2", "card-3"):
        assert isinstance(walk(way, SITUATIONS).node, Free), way


def test_every_row_names_document_section_and_trust() -> None:
    for row in ROWS.values():
        assert row.source.split(", ")[0] in {OR, CM}, row.key
        assert row.trust in {"read", "translation", "own reading"}, row.key
        assert row.trust_words, row.key
