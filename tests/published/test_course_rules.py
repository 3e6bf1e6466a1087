"""How a hole is described, against the Official Rules 2025 (802.04, 805.02, 806.02, App. D) and the Competition
Manual 2025 (5.03.F)."""

from datetime import date

import pytest

from events.course.hole_details import DropZone, HoleDetails, Mandatory, OutOfBounds, faults, warnings
from events.course.hole_queries import reach_of
from events.course.hole_words import length_words, sentences
from events.rulebook.loader import in_force

pytestmark = pytest.mark.published
BOOK = in_force(date(2025, 6, 1), "north_america")


@pytest.mark.parametrize(
    ("key", "centimetres", "document", "section"),
    [
        ("course.mandatory_zone_reach", 1000, "Competition Manual 2025", "5.03.F"),
        ("course.out_of_bounds_relief", 100, "Official Rules 2025", "806.02"),
        ("course.two_metre_height", 200, "Official Rules 2025", "805.02"),
        ("course.tee_depth", 300, "Official Rules 2025", "802.04"),
    ],
)
def test_the_figures_of_a_hole_carry_their_source(key, centimetres, document, section):
    value = BOOK.value(key)
    assert (value.value, value.document, value.section) == (centimetres, document, section)


def test_the_sentences_use_the_figures_of_the_rulebook():
    details = HoleDetails(tee_kind="line", two_metre="on", out_of_bounds=(OutOfBounds("pond"),))
    said = " ".join(sentence.text for sentence in sentences(details, "m"))
    for key in ("out_of_bounds_relief", "two_metre_height", "tee_depth"):
        assert length_words(BOOK.int(f"course.{key}"), "m") in said


@pytest.mark.parametrize(("zone_cm", "count"), [(1000, 0), (1001, 1)])
def test_a_mandatory_drop_zone_over_ten_metres_needs_a_waiver(zone_cm, count):
    """Competition Manual 2025, 5.03.F: over 10 m from the nearest point of the plane."""
    zone = DropZone("A", "mandatory", required=False, penalty=1)
    details = HoleDetails(mandatories=(Mandatory("oak", "left", "plane", "A", zone_cm),), zones=(zone,))
    assert len(warnings("1", details, reach_of(BOOK))) == count


@pytest.mark.parametrize(("relief_cm", "count"), [(99, 1), (100, 0), (None, 0)])
def test_the_director_may_announce_more_relief_than_a_metre_and_not_less(relief_cm, count):
    """Official Rules 2025, 806.02."""
    details = HoleDetails(out_of_bounds=(OutOfBounds("pond", "rope", relief_cm=relief_cm),))
    assert len(faults("1", details)) == count


@pytest.mark.parametrize(
    ("cm", "words"), [(1000, "32 ft 10 in"), (300, "9 ft 10 in"), (200, "6 ft 6 in"), (100, "3 ft 3 in")]
)
def test_lengths_are_converted_by_the_table_of_the_rules(cm, words):
    """Official Rules 2025, Appendix D."""
    assert length_words(cm, "ft") == words
    table = {round(row["metres"] * 100): row["words"] for row in BOOK.get("units.print")}
    assert table[cm] == words
