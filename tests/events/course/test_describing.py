"""Layouts in play are frozen versions: a change has a reason, shows whom it touches, and leaves what was."""

import pytest

from build import ACTOR, NOW
from events.course.describing import declare_two_metre, describe_hole, sketch_hole
from events.course.hole_details import Area, HoleDetails
from events.course.hole_queries import Shelter, shelters_of
from events.course.models import LayoutVersion
from events.course.services import LayoutRefused, LayoutStale, lock_layouts
from events.course.sketch import Item
from events.course.touching import PlayingGroup, sentences
from events.course.versions import changed_labels, frozen_holes
from events.log.models import Act

pytestmark = pytest.mark.django_db
CREEK = HoleDetails(notes="creek", casual=(Area("mud at 40 m"),))
TEE = Item("tee", ((10, 20),))


@pytest.fixture
def layout(event):
    return event.layouts.get(name="Upper")


@pytest.fixture
def place(layout):
    return layout.layout_holes.get(label="7")


def describe(place, details=CREEK, version=0, **facts):
    return describe_hole(place=place, details=details, version=version, actor=ACTOR, now=NOW, **facts)


def test_before_play_a_hole_is_described_without_a_version(place):
    row = describe(place)
    assert (row.version, row.changed_by, row.facts["notes"]) == (1, "Tester", "creek")
    assert not LayoutVersion.objects.exists()
    act = Act.objects.get(action="hole.described")
    assert (act.subject, act.detail["before"], act.detail["after"]) == ("Upper 7", None, row.facts)


def test_what_cannot_be_is_refused_and_nothing_is_saved(place):
    with pytest.raises(LayoutRefused, match="Hole 7, casual area 1, area: say what it is"):
        describe(place, HoleDetails(casual=(Area(),)))
    with pytest.raises(LayoutRefused, match="Hole 7, line 1: road needs 2 points"):
        sketch_hole(place=place, items=[Item("road", ((1, 1),))], version=0, actor=ACTOR, now=NOW)
    assert not hasattr(place, "described")


@pytest.mark.parametrize("seen", [0, 7])
def test_the_second_editor_of_a_hole_is_told(place, seen):
    describe(place)
    with pytest.raises(LayoutStale, match="hole 7"):
        describe(place, version=seen)


def test_description_and_sketch_of_a_hole_are_kept_apart(place):
    describe(place)
    row = sketch_hole(place=place, items=[TEE], version=1, actor=ACTOR, now=NOW)
    assert (row.version, row.facts["notes"], len(row.sketch)) == (2, "creek", 1)


def test_publishing_freezes_the_layout_once(layout):
    lock_layouts(layouts=[layout], now=NOW)
    layout.refresh_from_db()
    lock_layouts(layouts=[layout], now=NOW)
    version = LayoutVersion.objects.get(layout=layout)
    assert (version.number, version.at, len(version.snapshot["holes"])) == (1, NOW, 18)


def test_a_change_in_play_needs_a_reason(layout, place):
    lock_layouts(layouts=[layout], now=NOW)
    place.refresh_from_db()
    place.layout.refresh_from_db()
    with pytest.raises(LayoutRefused, match="Say why"):
        describe(place, reason="  ")
    with pytest.raises(LayoutRefused, match="Say why"):
        declare_two_metre(layout=place.layout, on=True, actor=ACTOR, now=NOW)


def test_a_change_in_play_makes_a_version_and_the_earlier_one_stays_readable(layout, place):
    describe(place)
    lock_layouts(layouts=[layout], now=NOW)
    place.layout.refresh_from_db()
    describe(place, HoleDetails(notes="flood"), 1, reason="creek rose", touched=["Round 1: MA1."])
    before, after = LayoutVersion.objects.order_by("number")
    assert [hole.details.notes for hole in frozen_holes(before) if hole.label == "7"] == ["creek"]
    assert [hole.details.notes for hole in frozen_holes(after) if hole.label == "7"] == ["flood"]
    assert (after.number, after.reason, after.touched) == (2, "creek rose", ["Round 1: MA1."])
    assert changed_labels(before, after) == ["7"]
    assert Act.objects.get(action="hole.described", reason="creek rose").detail["touched"] == [
        "Round 1: MA1."
    ]


def test_a_layout_locked_before_versions_were_kept_gets_the_one_in_force_first(layout, place):
    layout.locked_at = NOW
    layout.save()
    place.layout.refresh_from_db()
    sketch_hole(place=place, items=[TEE], version=0, actor=ACTOR, now=NOW, reason="sign")
    sketches = [
        version.snapshot["holes"][6]["sketch"] for version in LayoutVersion.objects.order_by("number")
    ]
    assert [len(found) for found in sketches] == [0, 1]


def test_the_two_metre_rule_is_declared_for_the_course(layout):
    assert declare_two_metre(layout=layout, on=True, actor=ACTOR, now=NOW).two_metre is True
    declare_two_metre(layout=layout, on=True, actor=ACTOR, now=NOW)
    assert Act.objects.filter(action="layout.changed").count() == 1


def test_whom_a_change_touches_is_said_by_round_and_state():
    groups = [PlayingGroup(1, 4, "playing"), PlayingGroup(1, 2, "playing"), PlayingGroup(1, 3, "finished"),
              PlayingGroup(2, 1, "waiting")]  # fmt: skip
    assert sentences([(1, "MA1"), (1, "FA1"), (2, "MA1")], groups) == [
        "Round 1: MA1, FA1.",
        "Round 2: MA1.",
        "Round 1, groups 2, 4: on the course now.",
        "Round 1, group 3: finished on the layout as it was.",
        "Round 2, group 1: still to start.",
    ]
    assert sentences([], []) == []


def test_shelters_are_told_with_the_longest_way_and_holes_without_one(layout, django_assert_num_queries):
    places = list(layout.layout_holes.order_by("position"))
    ways = [("barn", 3), ("barn", 9), ("hut", 2), ("hut", None)]
    for place, (shelter, minutes) in zip(places, ways, strict=False):
        describe(place, HoleDetails(shelter=shelter, shelter_minutes=minutes))
    with django_assert_num_queries(1):
        found, without = shelters_of(layout.event)
    assert found == (
        Shelter("barn", ("Upper 1", "Upper 2"), 9),
        Shelter("hut", ("Upper 3", "Upper 4"), None),
    )
    assert (len(without), without[0]) == (14, "Upper 5")
