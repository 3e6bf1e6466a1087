"""Hazard notes: where they stand, how long, and that none is ever wiped."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

import build
from build import ACTOR, NOW
from events.course.hazard_starts import CONTROLS, EFFECTS, PRINTED, RISKS, SEVERITIES, STARTS
from events.course.hazards import (
    HazardRefused,
    change_hazard,
    hazards_on,
    note_hazard,
    notes_of,
    withdraw_hazard,
)
from events.course.models import HazardNote, Hole
from events.log.models import Act

pytestmark = pytest.mark.django_db
FACTS = {"what": "Road", "risk_public": True, "severity": "life", "on_tee_sign": True}
HOUR = timedelta(hours=1)


@pytest.fixture
def places(event):
    return list(event.layouts.get(name="Upper").layout_holes.order_by("position"))


def note(event, holes=(), **facts):
    return note_hazard(event=event, facts={**FACTS, **facts}, holes=holes, actor=ACTOR, now=NOW)


def found(event, places, where="tee_sign", now=NOW):
    holding = hazards_on(event, [place.pk for place in places], where, now)
    by_label = {
        place.label: [note.what for note in holding.by_hole[place.pk]]
        for place in places
        if place.pk in holding.by_hole
    }
    return [note.what for note in holding.course], by_label


def test_notes_stand_at_their_holes_or_on_the_whole_course_gravest_first(event, places):
    note(event, places[:2], what="Ticks", severity="minor")
    note(event, places[:1])
    note(event, what="Wasps", severity="serious")
    assert found(event, places) == (["Wasps"], {"1": ["Road", "Ticks"], "2": ["Ticks"]})
    assert [row.what for row in notes_of(event)] == ["Road", "Wasps", "Ticks"]


def test_a_note_belongs_to_the_physical_hole_of_every_layout(event, places):
    short = build.make_layout(event, "Short", pars=(3,))
    place = short.layout_holes.get()
    place.hole = Hole.objects.get(pk=places[6].hole_id)
    place.save()
    note(event, places[6:7])
    assert found(event, [place]) == ([], {"1": ["Road"]})


@pytest.mark.parametrize(
    ("where", "field"), [("card", "on_card"), ("meeting", "at_meeting"), ("board", "on_board")]
)
def test_a_note_is_shown_where_it_is_ticked(event, places, where, field):
    off = {"on_card": False, "at_meeting": False, "on_board": False, "on_tee_sign": False}
    note(event, what="Elsewhere", **off)
    note(event, what="Here", **{**off, field: True})
    assert found(event, places, where) == (["Here"], {})


def test_paper_carries_what_will_hold_and_the_board_what_holds(event, places):
    note(event, on_board=True, valid_from=NOW + HOUR, valid_to=NOW + 2 * HOUR)
    shown = [
        (
            len(found(event, places, "tee_sign", NOW + after)[0]),
            len(found(event, places, "board", NOW + after)[0]),
        )
        for after in (HOUR * 0, HOUR, 2 * HOUR)
    ]
    assert shown == [(1, 0), (1, 1), (0, 0)]


def test_a_note_is_changed_with_a_trace(event, places):
    standing = note(event, places[:1])
    changed = change_hazard(
        note=standing, facts={"what": "Busy road"}, holes=[], version=1, actor=ACTOR, now=NOW
    )
    assert (changed.version, changed.whole_course) == (2, True)
    detail = Act.objects.get(action="hazard.changed").detail
    assert (detail["before"]["holes"], detail["before"]["what"]) == (["Upper 1"], "Road")
    assert (detail["after"]["holes"], detail["after"]["what"]) == ([], "Busy road")
    with pytest.raises(HazardRefused, match="Somebody else"):
        change_hazard(note=changed, facts={}, holes=[], version=1, actor=ACTOR, now=NOW)


def test_a_withdrawn_note_stays_readable_and_still(event, places):
    standing = note(event, places[:1])
    with pytest.raises(HazardRefused, match="Say why"):
        withdraw_hazard(note=standing, reason=" ", actor=ACTOR, now=NOW)
    gone = withdraw_hazard(note=standing, reason="road closed", actor=ACTOR, now=NOW)
    assert found(event, places) == ([], {})
    assert [(row.what, row.withdrawn_reason) for row in notes_of(event)] == [("Road", "road closed")]
    with pytest.raises(HazardRefused, match="withdrawn already"):
        withdraw_hazard(note=gone, reason="again", actor=ACTOR, now=NOW)
    with pytest.raises(HazardRefused, match="Write a new one"):
        change_hazard(note=gone, facts={}, holes=[], version=gone.version, actor=ACTOR, now=NOW)


BAD = [
    ({"what": ""}, "hazard_named"),
    ({"severity": "huge"}, "hazard_severity_known"),
    ({"effect": "magic"}, "hazard_effect_known"),
    ({"risk_public": False}, "hazard_for_somebody"),
    ({"valid_from": NOW, "valid_to": NOW}, "hazard_ends_after_it_begins"),
]


@pytest.mark.parametrize(("facts", "constraint"), BAD)
def test_a_note_that_cannot_be_is_refused_by_service_and_database(event, facts, constraint):
    with pytest.raises(HazardRefused):
        note(event, **facts)
    row = HazardNote(event=event, **{**FACTS, **facts}, written_at=NOW, written_by="Tester")
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        row.save()


@pytest.mark.parametrize("count", [1, 3])
def test_notes_are_read_in_three_queries(event, places, count, django_assert_num_queries):
    for number in range(count):
        note(event, places[: number + 1])
    with django_assert_num_queries(3):
        hazards_on(event, [place.pk for place in places], "tee_sign", NOW)
    with django_assert_num_queries(3):
        [[place.layout.name for place in row.layout_holes.all()] for row in notes_of(event)]


def test_every_starting_point_is_a_note_that_can_be_written():
    named = {"juniors", "roads", "water", "cliffs", "power_lines", "insects", "plants", "crossing", "paths"}
    assert set(STARTS) == named
    for start in STARTS.values():
        assert set(start.at_risk) <= set(RISKS)
        assert start.at_risk
        assert set(start.printed) <= set(PRINTED)
        assert start.severity in SEVERITIES
        assert start.effect in EFFECTS
        assert max(len(start.what), len(start.control)) <= 120
    assert len(CONTROLS) == len(set(CONTROLS))
