"""Shifts worked out from the plan, moved by delays, stood by people, and shown to those who keep watch."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.test import Client

import build
import build_cards
import build_crew
from events.course.models import HazardNote
from events.draw.models import Group, Pool, Sheet
from events.draw.moving import publish_moved
from events.entries.models import Entry
from events.log.models import Act
from events.logistics.crew.models import Helper, Need, Post
from events.logistics.crew.people import CrewRefused, come_back, keep_hours, leave
from events.logistics.crew.queries import Shift, shifts_between, shifts_of
from events.logistics.crew.roster import roster_of
from events.logistics.crew.services import (
    drop_need,
    keep_need,
    seen,
    take_back_suggestion,
    take_need_back,
    take_off,
    take_suggestion,
    work_out_shifts,
)
from events.logistics.crew.taking_over import posted, take_over
from events.safety.duties import assign
from events.safety.models import Assignment, Suspension
from events.safety.papers import duties_of, uncovered_of
from events.setup.models import Event, Role
from events.setup.overriding import override_rule
from scoring.standings.models import Cut

SignIn = Callable[[Role], Client]
DID = {"actor": build.ACTOR, "now": build.NOW}


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2026-06-12T{clock}:00+00:00").astimezone(UTC)


def hours(shift: Shift) -> str:
    return "not known" if shift.span is None else f"{shift.span.starts:%H:%M}–{shift.span.ends:%H:%M}"


def of(event: Event, duty: str, number: int = 1, now: datetime | None = None) -> list[tuple[str, str]]:
    return [
        (each.place, hours(each))
        for each in shifts_of(event, now)
        if each.duty == duty and each.round_number == number
    ]


def worked_out(event: Event) -> tuple[int, int]:
    return work_out_shifts(event=event, **DID)


# --- What the plan asks for --------------------------------------------------------------------------------------


def test_the_shifts_of_a_round_follow_from_its_holes(event: Event) -> None:
    """Nine holes a marshal and the hours are common practice, no source; a spotter stands where the hole asks."""
    place = build_crew.spotted(event)
    note = HazardNote.objects.create(
        event=event, what="Road", risk_public=True, severity="life", written_at=build.NOW
    )
    note.layout_holes.add(place)
    new, gone = worked_out(event)
    assert (new, gone) == (Need.objects.filter(event=event).count(), 0)
    assert of(event, "spotter") == [("Upper 7", "08:50–13:00")]
    assert of(event, "steward") == [("Upper 7", "08:50–13:00")]
    assert of(event, "marshal") == [("Upper 1 to 9", "08:50–13:00"), ("Upper 10 to 18", "08:50–13:00")]
    assert of(event, "starter") == [("tournament central", "08:40–09:10")]
    assert of(event, "card_room") == [("tournament central", "09:30–13:45")]
    assert of(event, "check_in") == [("tournament central", "not known")]
    assert of(event, "check_in", 2) == []
    assert [each.road for each in shifts_of(event) if each.duty == "steward"] == [True, True]


def test_tee_times_have_a_starter_at_each_starting_hole(event: Event) -> None:
    Pool.objects.create(
        round=event.rounds.get(number=1),
        label="A",
        start_type="tee_times",
        first_start_at=at("09:00"),
        start_labels="1, 10",
    )
    worked_out(event)
    assert of(event, "starter") == [("hole 1", "08:40–09:10"), ("hole 10", "08:40–09:10")]


def test_working_out_again_keeps_what_was_changed_and_takes_off_what_nobody_asks_for(event: Event) -> None:
    place = build_crew.spotted(event)
    worked_out(event)
    water = Need.objects.get(duty="water", round__number=1)
    keep_need(event=event, need=water, facts={"people": 4}, **DID)
    drop_need(need=Need.objects.get(duty="parking", round__number=1), **DID)
    stood = Need.objects.get(duty="spotter", round__number=1)
    build_crew.stands(stood, build_crew.helper(event, "Ines"))
    place.described.delete()
    assert worked_out(event) == (0, 1)  # the spotter of round 2; the one of round 1 stands there
    assert [need.round.number for need in Need.objects.filter(duty="spotter") if need.round] == [1]
    assert of(event, "parking") == []
    water.refresh_from_db()
    assert water.people == 4


def test_the_director_sets_how_many_holes_a_marshal_walks(event: Event) -> None:
    override_rule(event=event, key="practice.crew_holes_a_marshal", value=6, reason="dense wood", **DID)
    worked_out(event)
    assert [place for place, _ in of(event, "marshal")] == ["Upper 1 to 6", "Upper 13 to 18", "Upper 7 to 12"]


def test_a_post_of_a_long_day_is_parted_into_shifts_that_one_person_can_stand(event: Event) -> None:
    """From 9:00 in groups until 15:00 the last of which is in at 19:00: common practice is 5 hours in one go."""
    sheet = build_cards.publish(
        event.rounds.get(number=1), [[each] for each in build_cards.make_field(event, 2)]
    )
    sheet.groups.filter(number=2).update(starts_at=at("15:00"))
    worked_out(event)
    assert of(event, "weather") == [
        ("tournament central", hours) for hours in ("08:00–11:40", "11:40–15:20", "15:20–19:00")
    ]
    assert of(event, "starter") == [
        ("tournament central", "08:40–11:55"),
        ("tournament central", "11:55–15:10"),
    ]
    assert of(event, "equipment") == [("tournament central", "08:00–09:30")]
    assert not roster_of(event).long_shifts
    assert worked_out(event) == (0, 0)


def test_a_post_that_is_stood_is_not_parted_otherwise(event: Event) -> None:
    worked_out(event)
    whole = Need.objects.get(duty="water", round__number=1)
    build_crew.stands(whole, build_crew.helper(event, "Ines"))
    drop_need(need=Need.objects.get(duty="parking", round__number=1), **DID)
    sheet = build_cards.publish(
        event.rounds.get(number=1), [[each] for each in build_cards.make_field(event, 2)]
    )
    sheet.groups.filter(number=2).update(starts_at=at("15:00"))
    worked_out(event)
    assert of(event, "water") == [("water points", "08:45–19:00")]
    assert len(of(event, "weather")) == 3
    assert of(event, "parking") == []


# --- Who plays, and who plays no more ----------------------------------------------------------------------------


@pytest.mark.parametrize("status", ["withdrawn", "did_not_play", "did_not_finish", "disqualified"])
def test_who_has_left_the_event_may_help_while_it_is_played(event: Event, status: str) -> None:
    """Neither playing nor an official who plays: no place in the division is theirs."""
    entry = build.make_entry(event, "MA1")
    helper = build_crew.certified(build_crew.helper(event, "Ines", entry=entry))
    marshal = build_crew.shift(event, "marshal", "Upper 1 to 9")
    (person,) = roster_of(event).people
    assert (len(person.playing), len(person.own_division)) == (2, 2)
    Entry.objects.filter(pk=entry.pk).update(status=status, left_reason="told the desk")
    (person,) = roster_of(event).people
    assert (person.playing, person.own_division) == ((), ())
    assert build_crew.stands(marshal, helper) == []


def test_who_missed_a_decided_cut_may_help_in_the_final_but_not_rule_on_the_own_division(
    event: Event, client_as: SignIn
) -> None:
    """The cut keeps 1 of 2 after round 1; no sheet of round 2 is out yet."""
    division = event.divisions.get(code="MA1")
    field = build_cards.make_field(event, 2)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [field])
    build_cards.save(round_, 1, [build_cards.line(field[0], 3), build_cards.line(field[1], 4)])
    Cut.objects.create(division=division, after_round=1, players=1, set_at=build.NOW, set_by="Tester")
    helper = build_crew.helper(event, "Ines Halvorsen", entry=field[1])
    build_crew.certified(helper)
    water = build_crew.shift(event, "water", round=2)
    marshal = build_crew.shift(event, "marshal", "Upper 1 to 9", round=2)
    page = f"/desk/{event.slug}/logistics/people/"
    director = client_as(Role.DIRECTOR)
    said = [
        director.post(f"{page}shift/{need.pk}/put/", {"who": "Ines"}, follow=True).content.decode()
        for need in (water, marshal)
    ]
    assert "Ines Halvorsen is on water and food, gate." in said[0]
    assert "but: stands another shift" not in said[0]
    assert "the own division plays" in said[1]
    assert ": plays" not in said[1]
    assert helper.posts.count() == 2


# --- Hours that move ---------------------------------------------------------------------------------------------


@pytest.fixture
def drawn(event: Event) -> Event:
    """Round 1 in two groups, at 09:00 and 09:30."""
    field = build_cards.make_field(event, 6)
    sheet = build_cards.publish(event.rounds.get(number=1), [field[:3], field[3:]])
    sheet.groups.filter(number=2).update(starts_at=at("09:30"))
    return event


def test_a_moved_tee_sheet_moves_the_shifts(drawn: Event) -> None:
    build_crew.shift(drawn)
    assert of(drawn, "water") == [("gate", "09:00–13:30")]
    later = {
        group.number: group.starts_at + timedelta(minutes=50)
        for group in Group.objects.filter(sheet__state=Sheet.State.PUBLISHED)
    }
    publish_moved(round=drawn.rounds.get(number=1), starts=later, notes=[], reason="fog", **DID)
    assert of(drawn, "water") == [("gate", "09:50–14:20")]


def test_a_stop_of_50_minutes_moves_the_end_for_who_had_started(drawn: Event) -> None:
    build_crew.shift(drawn)
    row = Suspension.objects.create(event=drawn, cause="wind", signalled_at=at("10:00"), by="Tester")
    assert of(drawn, "water", now=at("10:20")) == [("gate", "09:00–14:00")]  # half an hour at the least
    assert of(drawn, "water", now=at("10:40")) == [("gate", "09:00–14:10")]
    row.ended, row.ended_at = "resumed", at("10:50")
    row.save()
    assert of(drawn, "water") == [("gate", "09:00–14:20")]


def test_hours_of_its_own_stay(drawn: Event) -> None:
    build_crew.shift(drawn, round=None, starts_at=at("06:00"), ends_at=at("08:00"))
    assert [hours(each) for each in shifts_of(drawn)] == ["06:00–08:00"]


def test_shifts_between_two_moments_are_those_that_share_time_with_them(event: Event) -> None:
    for first, last in (("06:00", "08:00"), ("08:00", "09:00"), ("08:30", "12:00")):
        build_crew.shift(event, place=first, round=None, starts_at=at(first), ends_at=at(last))
    found = shifts_between(event, at("08:00"), at("08:30"))
    assert [each.place for each in found] == ["08:00"]


# --- Who stands them ---------------------------------------------------------------------------------------------


def test_a_double_booking_is_taken_and_shown(event: Event) -> None:
    ines = build_crew.helper(event, "Ines")
    one, other = build_crew.shift(event), build_crew.shift(event, "spotter", "hole 7")
    assert build_crew.stands(one, ines) == []
    assert build_crew.stands(other, ines) == ["stands another shift"]
    assert [each.text for each in roster_of(event).cautions] == [
        "Ines is booked twice: spotter at hole 7 and water at gate."
    ]
    with pytest.raises(CrewRefused, match="stands this shift already"):
        build_crew.stands(other, ines)


def test_a_player_is_busy_while_playing_and_does_not_rule_on_the_own_division(drawn: Event) -> None:
    """Competition Manual 2025, 1.12.E."""
    entry = drawn.entries.order_by("pk")[0]
    ines = build_crew.certified(build_crew.helper(drawn, "Ines", entry=entry))
    assert build_crew.stands(build_crew.shift(drawn, "marshal", "holes 1 to 9"), ines) == [
        "the own division plays (Competition Manual 2025, 1.12.E; Official Rules 2025, 801.02.G)",
        "plays",
    ]
    evening = build_crew.shift(
        drawn, "marshal", "playoff", round=None, starts_at=at("18:00"), ends_at=at("19:00")
    )
    assert build_crew.stands(evening, ines) == []


def test_who_is_not_on_a_published_sheet_does_not_play_that_round(drawn: Event) -> None:
    late = build.make_entry(drawn)
    ines = build_crew.helper(drawn, "Ines", entry=late)
    morning = build_crew.shift(drawn, round=None, starts_at=at("09:00"), ends_at=at("12:00"))
    assert build_crew.stands(morning, ines) == []


def test_free_hours_are_respected_and_a_missing_answer_is_no_refusal(event: Event) -> None:
    ines, ravi = build_crew.helper(event, "Ines"), build_crew.helper(event, "Ravi")
    keep_hours(helper=ines, spans=[(at("10:00"), at("20:00"))], **DID)
    need = build_crew.shift(event)
    assert build_crew.stands(need, ines) == ["cannot come then"]
    assert build_crew.stands(need, ravi) == []
    with pytest.raises(CrewRefused, match="end before they begin"):
        keep_hours(helper=ines, spans=[(at("10:00"), at("09:00"))], **DID)


def test_leaving_frees_the_shifts_and_coming_back_takes_them_again(event: Event) -> None:
    ines, need = build_crew.helper(event, "Ines"), build_crew.shift(event)
    build_crew.stands(need, ines)
    leave(helper=ines, **DID)
    assert roster_of(event).missing == 1
    with pytest.raises(CrewRefused, match="not on the list"):
        build_crew.stands(need, ines)
    come_back(helper=ines, **DID)
    assert roster_of(event).missing == 0
    with pytest.raises(CrewRefused, match="is on the list"):
        come_back(helper=ines, **DID)


def test_dropping_taking_off_and_seeing_can_be_undone_once(event: Event) -> None:
    ines, need = build_crew.helper(event, "Ines"), build_crew.shift(event)
    build_crew.stands(need, ines)
    post = Post.objects.get()
    seen(post=post, there=True, **DID)
    with pytest.raises(CrewRefused, match="marked already"):
        seen(post=post, there=True, **DID)
    seen(post=post, there=False, **DID)
    drop_need(need=need, **DID)
    assert shifts_of(event) == []
    with pytest.raises(CrewRefused, match="dropped already"):
        drop_need(need=need, **DID)
    take_need_back(need=need, **DID)
    take_off(post=post, **DID)
    with pytest.raises(CrewRefused, match="off this shift already"):
        take_off(post=post, **DID)
    assert [each.names for each in shifts_of(event)] == [()]


def test_a_suggestion_is_taken_once_and_back_as_a_whole(event: Event) -> None:
    ines, ravi = build_crew.helper(event, "Ines"), build_crew.helper(event, "Ravi")
    one, other = build_crew.shift(event), build_crew.shift(event, "spotter", "hole 7")
    batch = uuid4()
    pairs = [(one.pk, ines.pk), (other.pk, ines.pk), (other.pk, ravi.pk), (0, ravi.pk)]
    assert take_suggestion(event=event, pairs=pairs, batch=batch, **DID) == (
        2,
        [
            "Ines, spotter at hole 7: stands another shift.",
            "A shift or a helper of the suggestion is gone: ask for a new one.",
        ],
    )
    assert take_suggestion(event=event, pairs=pairs, batch=batch, **DID) == (0, [])
    assert take_back_suggestion(event=event, batch=batch, **DID) == 2
    assert Post.objects.count() == 0
    with pytest.raises(CrewRefused, match="Nothing is left"):
        take_back_suggestion(event=event, batch=batch, **DID)


def test_a_suggested_shift_that_has_ended_since_is_left_out(event: Event) -> None:
    ines, need = build_crew.helper(event, "Ines"), build_crew.shift(event)  # until 13:00
    facts = {"event": event, "pairs": [(need.pk, ines.pk)], "actor": build.ACTOR}
    late = take_suggestion(**facts, batch=uuid4(), now=at("13:00"))
    assert late == (0, ["Ines, water and food at gate: it is over."])
    assert take_suggestion(**facts, batch=uuid4(), now=at("12:59")) == (1, [])


def test_a_player_helps_once(event: Event) -> None:
    entry = build.make_entry(event)
    build_crew.helper(event, "Ines", entry=entry)
    with pytest.raises(CrewRefused, match="on the list already, as Ines"):
        build_crew.helper(event, "Ines H", entry=entry)


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"place": ""}, "cannot be blank"),
        ({"people": 0}, "A shift takes 1 to 30 people."),
        ({"round": None, "from_anchor": "", "to_anchor": ""}, "Tie it to a round"),
        ({"from_minutes": -2000}, "within a day of its round"),
    ],
)
def test_a_shift_that_cannot_be_is_refused_with_a_sentence(event: Event, facts, words: str) -> None:
    with pytest.raises(CrewRefused, match=words):
        build_crew.shift(event, **facts)


@pytest.mark.parametrize(
    "change", [{"people": 31}, {"duty": "juggling"}, {"round": None}, {"from_anchor": ""}, {"place": ""}]
)
def test_the_database_refuses_it_too(event: Event, change) -> None:
    need = build_crew.shift(event)
    with pytest.raises(IntegrityError), transaction.atomic():
        Need.objects.filter(pk=need.pk).update(**change)


# --- One list of who stands where --------------------------------------------------------------------------------


def test_the_list_of_marshals_and_spotters_goes_into_the_roster_and_is_shown_from_there(event: Event) -> None:
    place = build_crew.spotted(event)
    known = {"event": event, "zone": "", "actor": build.ACTOR, "now": build.NOW}
    assign(duty="spotter", layout_hole=place, name="Ines", channel="555 0101", shift="8:30 to 12:00", **known)
    assign(
        duty="weather", layout_hole=None, name="Ravi", channel="", shift="early", **known | {"zone": "tower"}
    )
    assert take_over(event=event, **DID) == 2
    assert not Assignment.objects.exists()
    assert [(each.duty, each.place, each.names, hours(each)) for each in shifts_of(event)] == [
        ("weather", "tower", ("Ravi",), "07:00–19:00"),
        ("spotter", "Upper 7", ("Ines",), "08:30–12:00"),
    ]
    assert Need.objects.get(duty="weather").task == "Hours to be mended: early"
    rows = duties_of(event, posted(event))
    assert [(row.pk, row.name, row.duty, row.place, row.shift, row.channel) for row in rows] == [
        (None, "Ines", "spotter", "Upper 7", "Fri 08:30–12:00", ""),
        (None, "Ravi", "weather", "tower", "Fri 07:00–19:00", ""),
    ]
    later = build_crew.shift(event, "spotter", "Upper 7", round=2)
    build_crew.stands(later, Helper.objects.get(name="Ines"))
    assert [row.shift for row in posted(event) if row.duty == "spotter"] == [
        "Fri 08:30–12:00, Fri 13:00–17:00"
    ]
    assert uncovered_of(event, posted(event)) == []
    assert uncovered_of(event) == ["Upper 7, tee 7"]
    assert Helper.objects.get(name="Ines").contact.phone == "555 0101"  # it may be a number: the desk's only
    with pytest.raises(CrewRefused, match="is empty"):
        take_over(event=event, **DID)


# --- Log and queries ---------------------------------------------------------------------------------------------


def test_the_log_tells_neither_contact_nor_age(event: Event) -> None:
    private = {"phone": "555 0199", "email": "ines@example.org", "minor": True, "guardian": "Runa 555 0198"}
    ines = build_crew.certified(build_crew.helper(event, "Ines", role="volunteer", contact=private))
    keep_hours(helper=ines, spans=[(at("10:11"), at("20:12"))], **DID)
    build_crew.stands(build_crew.shift(event, "steward", road=True), ines)
    written = " ".join(f"{act.subject} {act.detail} {act.reason}" for act in Act.objects.all())
    assert "Ines" in written
    for secret in ("555", "example.org", "Runa", "minor", "under age", "10:11"):
        assert secret not in written


@pytest.mark.parametrize("count", [1, 3])
def test_the_roster_takes_the_same_queries(drawn: Event, django_assert_num_queries, count: int) -> None:
    for number, entry in enumerate(drawn.entries.order_by("pk")[:count]):
        helper = build_crew.certified(build_crew.helper(drawn, f"Ines {number}", entry=entry))
        keep_hours(helper=helper, spans=[(at("10:00"), at("20:00"))], **DID)
        build_crew.stands(build_crew.shift(drawn, place=f"gate {number}"), helper)
    with django_assert_num_queries(17):
        roster_of(drawn)
    with django_assert_num_queries(12):
        shifts_of(drawn)
