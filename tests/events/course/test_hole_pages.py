import pytest
from django.urls import reverse

import build
import build_cards
from build import ACTOR, NOW
from desk.above_the_course import groups_of
from events.course.describing import describe_hole, sketch_hole
from events.course.hazard_starts import CAUTION
from events.course.hazards import note_hazard
from events.course.hole_details import DropZone, HoleDetails, Mandatory, OutOfBounds
from events.course.hole_queries import hole_sheets
from events.course.models import HazardNote
from events.course.models import HoleDetails as DetailsRow
from events.course.services import lock_layouts
from events.course.sketch import Item
from events.course.touching import PlayingGroup
from events.setup.models import Role
from scoring.cards.models import Card

pytestmark = pytest.mark.django_db
PARTS = ("mandatories", "out_of_bounds", "zones", "hazards", "relief", "casual")
FACTS = {"what": "Road", "risk_public": True, "severity": "life"}


@pytest.fixture
def layout(event):
    return event.layouts.get(name="Upper")


@pytest.fixture
def place(layout):
    return layout.layout_holes.get(label="7")


def page(name, layout, *more):
    return reverse(f"course:{name}", args=[layout.event.slug, layout.pk, *more])


def typed(version=0, **fields):
    """A whole form: every table with as many rows as are named, `mandatories-0-marker` and so on."""
    data = {"version": str(version)}
    for part in PARTS:
        rows = {name.split("-")[1] for name in fields if name.startswith(f"{part}-")}
        data |= {f"{part}-TOTAL_FORMS": str(len(rows)), f"{part}-INITIAL_FORMS": "0"}
    return data | {name: str(value) for name, value in fields.items()}


def test_a_hole_is_described_on_one_page(layout, place, client_as):
    data = typed(
        **{
            "tee_kind": "pad", "elevation_m": "−12", "spotter": "no", "shelter": "barn", "shelter_minutes": "4",
            "notes": "Mind the path.",
            "mandatories-0-marker": "Oak", "mandatories-0-side": "left", "mandatories-0-zone": "A",
            "mandatories-0-zone_cm": "10.5", "mandatories-0-plane": "right of it",
            "out_of_bounds-0-boundary": "pond", "out_of_bounds-0-options": "usual",
            "out_of_bounds-1-boundary": "", "out_of_bounds-1-options": "usual",
            "zones-0-name": "A", "zones-0-purpose": "mandatory", "zones-0-required": "yes", "zones-0-penalty": "2",
        }
    )  # fmt: skip
    client = client_as(Role.DIRECTOR)
    address = page("hole", layout, place.pk)
    assert client.post(address, data).status_code == 302
    assert hole_sheets(layout)[6].details == HoleDetails(
        tee_kind="pad", elevation_m=-12, spotter=False, shelter="barn", shelter_minutes=4, notes="Mind the path.",
        mandatories=(Mandatory("Oak", "left", "right of it", "A", 1050),),
        out_of_bounds=(OutOfBounds("pond"),),
        zones=(DropZone("A", "mandatory", "", True, 2),),
    )  # fmt: skip
    shown = client.get(address).content.decode()
    assert "has no waiver (Competition Manual 2025, 5.03.F)" in shown
    assert CAUTION in shown


def test_feet_are_typed_and_centimetres_kept(event, layout, place, client_as):
    event.units = "ft"
    event.save()
    data = typed(
        **{"elevation_m": "40", "out_of_bounds-0-boundary": "pond", "out_of_bounds-0-relief_cm": "6.6"}
    )
    data["out_of_bounds-0-options"] = "usual"
    client = client_as(Role.DIRECTOR)
    assert client.post(page("hole", layout, place.pk), data).status_code == 302
    details = hole_sheets(layout)[6].details
    assert (details.elevation_m, details.out_of_bounds[0].relief_cm) == (12, 201)
    assert 'value="6.6"' in client.get(page("hole", layout, place.pk)).content.decode()


def test_a_fault_is_named_and_what_was_typed_stays(layout, place, client_as):
    data = typed(**{"mandatories-0-marker": "Old oak", "mandatories-0-side": ""})
    answer = client_as(Role.DIRECTOR).post(page("hole", layout, place.pk), data)
    assert answer.status_code == 422
    assert "Hole 7, mandatory 1, side: choose one." in answer.content.decode()
    assert "Old oak" in answer.content.decode()
    assert not DetailsRow.objects.exists()


def sketch(*lines, version=0, **facts):
    data = {"version": str(version), "line-TOTAL_FORMS": str(len(lines)), "line-INITIAL_FORMS": "0", **facts}
    for number, line in enumerate(lines):
        data |= {
            f"line-{number}-{name}": value
            for name, value in zip(("tool", "points", "label"), line, strict=True)
        }
    return data


def test_a_hole_is_sketched_by_its_table_of_points(layout, place, client_as):
    client = client_as(Role.DIRECTOR)
    data = sketch(("tee", "80,600", "front"), ("road", "0,0 10,20", ""), ("tee", "", ""))
    assert client.post(page("sketch", layout, place.pk), data).status_code == 302
    assert hole_sheets(layout)[6].items == (
        Item("tee", ((80, 600),), "front"),
        Item("road", ((0, 0), (10, 20))),
    )
    shown = client.get(page("hole", layout, place.pk)).content.decode()
    assert 'aria-label="Sketch: tee, road. Named: tee front."' in shown


def test_a_point_outside_the_sheet_is_refused_beside_its_line(layout, place, client_as):
    answer = client_as(Role.DIRECTOR).post(page("sketch", layout, place.pk), sketch(("tee", "80,701", "")))
    assert answer.status_code == 422
    assert "80,701 lies outside the sheet of 1000 by 700." in answer.content.decode()


def test_in_play_a_change_shows_whom_it_touches_and_asks_why(event, layout, place, client_as):
    lock_layouts(layouts=[layout], now=NOW)
    client = client_as(Role.DIRECTOR)
    address = page("hole", layout, place.pk)
    assert "Round 1: MA1, FA1." in client.get(address).content.decode()
    assert "Say why it changes." in client.post(address, typed(notes="flood")).content.decode()
    assert client.post(address, typed(notes="flood", reason="creek rose")).status_code == 302
    shown = client.get(page("version", layout, 2)).content.decode()
    assert "creek rose" in shown
    assert "hole 7" in shown
    assert "flood" not in client.get(page("version", layout, 1)).content.decode()
    assert client.get(page("version", layout, 9)).status_code == 404


def test_the_two_metre_rule_of_the_course_is_declared(layout, client_as):
    client_as(Role.DIRECTOR).post(page("two_metre", layout), {"on": "yes"})
    layout.refresh_from_db()
    assert layout.two_metre is True


@pytest.mark.parametrize("role", [Role.MARSHAL, Role.VIEWER])
def test_others_read_holes_and_sketches(layout, place, client_as, role):
    sketch_hole(place=place, items=[Item("tee", ((1, 1),))], version=0, actor=ACTOR, now=NOW)
    client = client_as(role)
    assert client.get(page("hole", layout, place.pk)).status_code == 200
    assert "sk-tee" in client.get(page("sketch", layout, place.pk)).content.decode()
    assert client.post(page("hole", layout, place.pk), typed()).status_code == 403


def test_a_hole_of_another_layout_is_not_found(event, layout, client_as):
    other = build.make_layout(event, "Short").layout_holes.first()
    assert client_as(Role.DIRECTOR).get(page("hole", layout, other.pk)).status_code == 404


def hazard(**fields):
    return {"what": "Road", "severity": "life", "risk_public": "on", "on_board": "on", **fields}


def test_a_marshal_notes_changes_and_withdraws_a_hazard(event, layout, place, client_as):
    client = client_as(Role.MARSHAL)
    new = reverse("course:new_hazard", args=[event.slug])
    assert "Road with traffic" in client.get(f"{new}?start=roads").content.decode()
    assert client.post(new, hazard(holes=[place.hole_id])).status_code == 302
    note = HazardNote.objects.get()
    assert ([place.label for place in note.layout_holes.all()], note.on_board, note.on_card) == (
        ["7"],
        True,
        False,
    )
    own = reverse("course:hazard", args=[event.slug, note.pk])
    changed = hazard(
        version="1", what="Busy road", valid_from="2026-06-12T09:00", valid_to="2026-06-12T17:00"
    )
    assert client.post(own, changed).status_code == 302
    note.refresh_from_db()
    assert (note.what, note.whole_course, f"{note.valid_to:%H:%M}") == ("Busy road", True, "17:00")
    client.post(reverse("course:withdraw_hazard", args=[event.slug, note.pk]), {"reason": "closed"})
    listed = client.get(reverse("course:hazards", args=[event.slug])).content.decode()
    assert "No hazard note stands." in listed
    assert "closed" in listed


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"risk_public": ""}, "Say who is at risk."),
        ({"what": ""}, "This field is required."),
        ({"valid_from": "2026-06-12T09:00", "valid_to": "2026-06-12T08:00"}, "It ends before it begins."),
        ({"valid_from": "yesterday"}, "Write a date and time"),
    ],
)
def test_a_hazard_note_that_cannot_be_is_refused_in_words(event, client_as, fields, words):
    answer = client_as(Role.DIRECTOR).post(reverse("course:new_hazard", args=[event.slug]), hazard(**fields))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not HazardNote.objects.exists()


def test_a_time_that_the_clocks_skip_is_refused(event, client_as):
    event.time_zone = "America/New_York"
    event.save()
    new = reverse("course:new_hazard", args=[event.slug])
    answer = client_as(Role.DIRECTOR).post(new, hazard(valid_from="2026-03-08T02:30"))
    assert "The clocks go forward then" in answer.content.decode()


def test_groups_of_a_layout_are_told_by_how_far_they_are(event, layout, django_assert_num_queries):
    first, second = event.rounds.order_by("number")
    build_cards.publish(first, [[entry] for entry in build_cards.make_field(event, 2)])
    build_cards.publish(second, [[build.make_entry(event)]])
    Card.objects.create(round=first, group_number=2, finished_at=NOW)
    with django_assert_num_queries(2):
        found = groups_of(layout, first.first_start_at)
    assert found == [
        PlayingGroup(1, 1, "playing"),
        PlayingGroup(1, 2, "finished"),
        PlayingGroup(2, 1, "waiting"),
    ]
    assert groups_of(build.make_layout(event, "Short"), NOW) == []


@pytest.mark.parametrize("count", [1, 3])
def test_pages_cost_the_same_for_one_and_three_holes(event, client_as, count, django_assert_num_queries):
    layout = build.make_layout(event, "Short", pars=(3,) * count)
    places = list(layout.layout_holes.order_by("position"))
    for place in places:
        describe_hole(place=place, details=HoleDetails(notes="x"), version=0, actor=ACTOR, now=NOW)
        note_hazard(event=event, facts=FACTS, holes=[place], actor=ACTOR, now=NOW)
    client = client_as(Role.VIEWER)
    with django_assert_num_queries(10):
        client.get(page("holes", layout))
    with django_assert_num_queries(10):
        client.get(page("hole", layout, places[0].pk))
    with django_assert_num_queries(7):
        client.get(reverse("course:hazards", args=[event.slug]))
