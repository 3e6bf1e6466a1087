import pytest

from events.course.hole_details import Area, DropZone, HoleDetails, Mandatory, OutOfBounds
from events.course.hole_words import Sentence, kinds, length_words, sentences

A = DropZone("A", "mandatory", "by the path", required=True, penalty=2)


def test_a_hole_is_said_in_the_order_of_a_sign():
    details = HoleDetails(
        spotter=True,
        elevation_m=-12,
        notes="Mind the path.",
        shelter="barn",
        shelter_minutes=3,
        mandatories=(
            Mandatory("Old oak", "left", "trunk to the right", "A", 500),
            Mandatory("posts", "between"),
        ),
        hazards=(Area("bunker"),),
        zones=(A,),
    )
    assert sentences(details, "m") == (
        Sentence(
            "Mandatory",
            "Old oak: pass it on the left. Plane: trunk to the right. Missed: drop zone A, one penalty throw.",
        ),
        Sentence("Mandatory", "posts: pass between the markers. Missed: previous lie, one penalty throw."),
        Sentence("Hazard", "bunker. One penalty throw; play from where the disc lies."),
        Sentence("Drop zone A", "by the path. Required after: missed mandatory, two penalty throws."),
        Sentence("Spotter", "Wait for the spotter’s signal."),
        Sentence("Elevation", "12 m down (−12)"),
        Sentence("Shelter", "barn, 3 min."),
        Sentence("Notes", "Mind the path."),
    )


@pytest.mark.parametrize(
    ("area", "words"),
    [
        (OutOfBounds("pond"), "previous lie, or up to 1 m from where it was last in bounds"),
        (
            OutOfBounds("pond", relief_cm=250),
            "previous lie, or up to 2.5 m from where it was last in bounds",
        ),
        (OutOfBounds("pond", options="zone_only", zone="A"), "drop zone A only"),
        (OutOfBounds("pond", options="previous_only"), "previous lie only"),
        (OutOfBounds("pond", options="island"), "island: off it, previous lie"),
    ],
)
def test_out_of_bounds_says_where_play_goes_on(area, words):
    assert sentences(HoleDetails(out_of_bounds=(area,)), "m") == (
        Sentence("Out of bounds", f"pond. Next: {words}. One penalty throw."),
    )


@pytest.mark.parametrize(
    ("cm", "words"),
    [(1000, "32 ft 10 in"), (300, "9 ft 10 in"), (200, "6 ft 6 in"), (100, "3 ft 3 in"), (250, "8.2 ft")],
)
def test_lengths_of_the_rules_are_converted_as_the_rules_do(cm, words):
    """Official Rules 2025, Appendix D; other lengths by 0.3048 m to the foot."""
    assert length_words(cm, "ft") == words


@pytest.mark.parametrize(
    ("on_course", "hole", "text"),
    [
        (False, "", None),
        (False, "off", None),
        (True, "", "In force: over 2 m above the ground, one penalty throw."),
        (True, "off", "Not in force on this hole."),
        (False, "on", "In force: over 2 m above the ground, one penalty throw."),
        (False, "objects", "In force for the two pines. Over 2 m: one penalty throw."),
    ],
)
def test_the_two_metre_rule_is_off_unless_declared(on_course, hole, text):
    """Official Rules 2025, 805.02."""
    details = HoleDetails(two_metre=hole, two_metre_for="the two pines" if hole == "objects" else "")
    found = sentences(details, "m", two_metre_on_course=on_course)
    assert [sentence.text for sentence in found] == ([text] if text else [])


def test_tee_and_target_in_words():
    assert kinds(HoleDetails(tee_kind="pad", target_kind="object")) == "tee pad · object target"
    assert kinds(HoleDetails()) == ""
