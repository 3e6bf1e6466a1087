"""The emergency plan and who stands where: kept, refused in words, in the log, and who may write."""

import pytest
from django.urls import reverse

import build
from build import ACTOR, NOW
from events.log.models import Act
from events.safety.duties import DutyRefused, assign, save_plan, unassign
from events.safety.models import Assignment, EmergencyPlan
from events.safety.papers import duties_of
from events.setup.models import Role

WHO = {"layout_hole": None, "zone": "car park", "channel": "2", "shift": ""}


def put(event, name="Ines Halvorsen", duty="parking", **facts):
    return assign(event=event, duty=duty, name=name, actor=ACTOR, now=NOW, **WHO | facts)


def test_the_plan_is_saved_by_whoever_saw_it_last(event):
    first = save_plan(event=event, facts={"aed": " desk ", "venue": " "}, version=0, actor=ACTOR, now=NOW)
    assert (first.version, first.facts) == (1, {"aed": "desk"})
    second = save_plan(event=event, facts={"aed": "gate"}, version=1, actor=ACTOR, now=NOW)
    assert (second.version, second.facts) == (2, {"aed": "gate"})
    for seen in (0, 1):
        with pytest.raises(DutyRefused, match="Somebody else changed the plan"):
            save_plan(event=event, facts={"aed": "lost"}, version=seen, actor=ACTOR, now=NOW)
    assert EmergencyPlan.objects.get().facts == {"aed": "gate"}
    assert [act.detail["changed"] for act in Act.objects.order_by("number")] == [["Defibrillator"]] * 2


def test_a_plan_with_a_fault_is_not_saved(event):
    with pytest.raises(DutyRefused, match="write a date"):
        save_plan(event=event, facts={"given_on": "soon"}, version=0, actor=ACTOR, now=NOW)
    assert not EmergencyPlan.objects.exists()
    assert not Act.objects.exists()


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        ({"name": " "}, "Write a name."),
        ({"zone": " "}, "Choose a hole or write a zone."),
        ({"duty": "hero"}, "Choose a duty."),
    ],
)
def test_what_cannot_be_assigned_is_refused_in_words(event, facts, sentence):
    with pytest.raises(DutyRefused) as refused:
        put(event, **facts)
    assert str(refused.value) == sentence
    assert not Assignment.objects.exists()


def test_duties_are_listed_as_the_course_is_walked(event):
    holes = {place.label: place for place in event.layouts.get().layout_holes.all()}
    put(event, "D", "marshal", zone="far end")
    put(event, "C", "spotter", layout_hole=holes["10"], zone="")
    put(event, "B", "spotter", layout_hole=holes["2"], zone="left bank")
    put(event, "A", "marshal", layout_hole=holes["9"], zone="")
    assert [(row.name, row.place) for row in duties_of(event)] == [
        ("A", "Upper 9"),
        ("D", "far end"),
        ("B", "Upper 2, left bank"),
        ("C", "Upper 10"),
    ]


def test_a_duty_keeps_its_place_in_words_when_the_hole_goes(event):
    row = put(event, layout_hole=event.layouts.get().layout_holes.get(label="18"), zone="")
    event.layouts.get().layout_holes.filter(label="18").delete()
    row.refresh_from_db()
    assert (row.layout_hole, row.place) == (None, "Upper 18")


def test_a_duty_ends_once_and_the_log_keeps_it(event):
    row = put(event)
    unassign(assignment=row, actor=ACTOR, now=NOW)
    again = Assignment(pk=99, event=event, name="Ines", duty="parking", place="x")
    with pytest.raises(DutyRefused, match="off this duty already"):
        unassign(assignment=again, actor=ACTOR, now=NOW)
    assert list(Act.objects.order_by("number").values_list("action", "subject")) == [
        ("assignment.made", "Ines Halvorsen"),
        ("assignment.ended", "Ines Halvorsen"),
    ]


def test_the_pages_save_and_bring_faults_back(event, client_as):
    client = client_as(Role.DIRECTOR)
    plan = reverse("safety:emergency", args=[event.slug])
    sent = {"version": "0", "aed": "Desk", "rehearsed_on": "2026-05-01"}
    assert client.post(plan, sent).status_code == 302
    assert EmergencyPlan.objects.get().facts == {"aed": "Desk", "rehearsed_on": "2026-05-01"}
    page = client.get(plan).content.decode()
    assert 'value="Desk"' in page
    assert 'value="2026-05-01"' in page
    answer = client.post(plan, sent | {"aed": "lost"})
    assert (answer.status_code, "Somebody else changed the plan" in answer.content.decode()) == (422, True)
    duties = reverse("safety:duties", args=[event.slug])
    hole = event.layouts.get().layout_holes.get(label="7")
    assert client.post(duties, {"duty": "spotter", "layout_hole": hole.pk, "name": "Ines"}).status_code == 302
    row = Assignment.objects.get()
    assert (row.place, row.layout_hole) == ("Upper 7", hole)
    assert client.post(duties, {"duty": "spotter", "name": "Ines"}).status_code == 422
    assert client.post(reverse("safety:end_duty", args=[event.slug, row.pk])).status_code == 302
    assert not Assignment.objects.exists()


def test_a_hole_of_another_event_is_no_choice(event, client_as):
    other = build.make_event("elsewhere").layouts.get().layout_holes.first()
    sent = {"duty": "spotter", "layout_hole": other.pk, "name": "Ines"}
    answer = client_as(Role.MARSHAL).post(reverse("safety:duties", args=[event.slug]), sent)
    assert answer.status_code == 422
    assert not Assignment.objects.exists()


@pytest.mark.parametrize(
    ("role", "plan", "duties"),
    [
        (Role.DIRECTOR, 302, 302),
        (Role.MARSHAL, 403, 302),
        (Role.DESK, 403, 403),
        (Role.CARD_ROOM, 403, 403),
        (Role.VIEWER, 403, 403),
    ],
)
def test_who_may_write(event, client_as, role, plan, duties):
    client = client_as(role)
    assert client.get(reverse("safety:emergency", args=[event.slug])).status_code == 200
    assert client.post(reverse("safety:emergency", args=[event.slug]), {"version": "0"}).status_code == plan
    sent = {"duty": "marshal", "zone": "gate", "name": "Ines"}
    assert client.post(reverse("safety:duties", args=[event.slug]), sent).status_code == duties


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_of_duties_takes_the_same_queries(event, client_as, django_assert_num_queries, count):
    for number in range(count):
        put(event, f"Ines {number}")
    client = client_as(Role.VIEWER)
    # session, account, event, role; the roster; duties; spotters, layouts, 2 a layout
    with django_assert_num_queries(10):
        client.get(reverse("safety:duties", args=[event.slug]))
