"""A description goes with its hole, whatever row of the layout the hole comes to stand in."""

import pytest

import build
from build import ACTOR, NOW
from events.course.describing import describe_hole
from events.course.grid import HoleRow, carried
from events.course.hazards import note_hazard
from events.course.hole_details import HoleDetails
from events.course.hole_queries import hole_sheets
from events.course.services import save_layout


@pytest.mark.parametrize(
    ("before", "after", "found"),
    [
        ({1: ("1", 10), 2: ("2", 20)}, {1: ("1", 20), 2: ("2", 10)}, {1: 2, 2: 1}),
        ({1: ("1", 10)}, {1: ("1", 99)}, {1: 1}),  # its target was moved
        ({1: ("1", 10)}, {1: ("1A", 10)}, {1: 1}),
        ({1: ("1", 10)}, {1: ("1A", 99)}, {1: 1}),  # label and tee renamed at once
        ({1: ("1", 10), 2: ("2", 20)}, {1: ("2", 20)}, {1: None, 2: 1}),  # the first hole was dropped
        ({1: ("7A", 10), 2: ("7B", 10)}, {1: ("7B", 10), 2: ("7A", 10)}, {1: 2, 2: 1}),  # one hole twice
        ({}, {1: ("1", 10)}, {}),
    ],
)
def test_a_hole_is_followed(before, after, found):
    assert carried(before, after) == found


@pytest.mark.django_db
def test_description_and_hazard_note_follow_the_hole(event):
    rows = [HoleRow(label, 3, 90) for label in ("1", "2", "3")]
    layout = save_layout(event=event, name="Lower", rows=rows, actor=ACTOR, now=NOW)
    first = layout.layout_holes.get(label="1")
    describe_hole(place=first, details=HoleDetails(notes="creek"), version=0, actor=ACTOR, now=NOW)
    facts = {"what": "Creek", "risk_player": True, "severity": "minor"}
    note = note_hazard(event=event, facts=facts, holes=[first], actor=ACTOR, now=NOW)

    save_layout(event=event, layout=layout, name="Lower", rows=[rows[1], rows[0]], actor=ACTOR, now=NOW)
    assert [(sheet.label, sheet.details.notes) for sheet in hole_sheets(layout)] == [
        ("2", ""),
        ("1", "creek"),
    ]
    assert [place.label for place in note.layout_holes.all()] == ["1"]

    save_layout(event=event, layout=layout, name="Lower", rows=[rows[1]], actor=ACTOR, now=NOW)
    assert [sheet.details.notes for sheet in hole_sheets(layout)] == [""]
    note.refresh_from_db()
    assert (note.layout_holes.count(), note.whole_course) == (0, False)


@pytest.mark.django_db
@pytest.mark.parametrize("count", [1, 3])
def test_holes_are_read_in_one_query(event, count, django_assert_num_queries):
    layout = build.make_layout(event, "Short", pars=(3,) * count)
    for place in layout.layout_holes.all():
        describe_hole(place=place, details=HoleDetails(notes="x"), version=0, actor=ACTOR, now=NOW)
    with django_assert_num_queries(1):
        sheets = hole_sheets(layout)
    assert [sheet.version for sheet in sheets] == [1] * count
