"""The demo event: the same for a seed, believable, and made through the services."""

import random
from collections import Counter
from datetime import UTC, date, datetime
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command

from desk.demo.level import level_first
from desk.demo.people import DIVISIONS, RATING_BELOW, field_of
from desk.demo.plan import STAGES, moved, plan_for
from desk.demo.play import round_of
from desk.demo.stages import make_demo
from desk.demo.workbooks import write_all
from events.draw.models import Sheet
from events.entries.models import Entry, Status
from events.log.actions import Action
from events.log.models import Act
from events.log.services import verify
from events.logistics.models import FoundThing
from events.logistics.queries import found_things, taken_waiting
from events.setup.models import Event
from events.setup.queries import rulebook_for
from events.sheets.reading import read_table
from scoring.cards.asking import waiting_messages
from scoring.cards.deciding import compared
from scoring.cards.models import Card, StandingLine
from scoring.penalties.lost_discs import given_back
from scoring.standings.queries import standings

FIXTURES = Path(__file__).parents[2] / "fixtures"
NOW = datetime(2026, 6, 13, 12, 40, tzinfo=UTC)
SCENARIO = {
    "warnings": Action.WARNING_GIVEN,
    "warnings taken back": Action.WARNING_TAKEN_BACK,
    "rulings": Action.RULING_MADE,
    "questions": Action.GROUP_ASKED,
    "answers": Action.GROUP_ANSWERED,
    "cards decided": Action.HOLES_DECIDED,
    "cuts": Action.CUT_SET,
    "lists of who goes on": Action.CUT_POSTED,
    "playoffs": Action.PLAYOFF_BEGUN,
    "incidents": Action.INCIDENT_WRITTEN,
    "emergency plans": Action.EMERGENCY_PLAN_CHANGED,
}


def test_the_field_is_the_same_for_a_seed_and_keeps_to_the_rules():
    day = date(2026, 6, 13)
    field = field_of(300, seed=3, first_day=day)
    assert field == field_of(300, seed=3, first_day=day)
    assert field != field_of(300, seed=4, first_day=day)
    assert {entrant.division for entrant in field} == {share.code for share in DIVISIONS}
    assert len({(entrant.given, entrant.family) for entrant in field}) == 300
    over = [e for e in field if e.rating and e.rating > RATING_BELOW.get(e.division, 2000)]
    assert over == []


def test_better_players_score_lower_and_the_field_spreads():
    pars, rng = [3] * 14 + [4] * 4, random.Random(1)
    means = [sum(sum(round_of(pars, rating, rng)) for _ in range(200)) / 200 for rating in (1000, 920, 820)]
    assert means[0] < means[1] - 5 < means[2] - 15
    assert 52 < means[0] < 60


@pytest.mark.parametrize("stage", STAGES)
def test_the_plan_is_moved_as_a_whole(stage):
    plan = plan_for(stage, now=NOW, zone="UTC", players=90)
    gaps = [
        datetime.combine(row["date"], row["first_start"])
        - datetime.combine(plan.rounds[0]["date"], plan.rounds[0]["first_start"])
        for row in plan.rounds
    ]
    assert [gap.total_seconds() / 3600 for gap in gaps] == [0, 5, 23.5]
    assert plan.event["first_day"] == plan.rounds[0]["date"]
    assert all(
        pool["first_start"] >= datetime.combine(row["date"], row["first_start"])
        for row in plan.rounds
        for pool in row["pools"]
    )


def test_moving_by_nothing_changes_nothing():
    plan = plan_for("checkin", now=NOW, zone="UTC", players=90)
    again = moved(plan, NOW - NOW)
    assert (again.event, [row["first_start"] for row in again.rounds]) == (
        plan.event,
        [row["first_start"] for row in plan.rounds],
    )


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("stage", "published", "complete"),
    [
        ("entries", 0, False),
        ("checkin", 0, False),
        ("round1", 1, False),
        ("final", 3, False),
        ("closed", 3, True),
    ],
)
def test_each_stage_stands_where_it_says(stage, published, complete):
    event = make_demo(stage=stage, players=24, seed=2, zone="UTC", now=NOW)
    assert Sheet.objects.filter(state=Sheet.State.PUBLISHED).count() == published
    in_field = Entry.objects.filter(event=event, status=Status.CONFIRMED)
    assert in_field.filter(checked_in_at__isnull=False).exists() == (stage != "entries")
    lines = StandingLine.objects.filter(round__event=event)
    assert (lines.exists() and not lines.filter(complete=False).exists()) == complete
    event.refresh_from_db()
    assert (event.over_at is not None) == (stage == "closed")
    assert verify(event.slug)[1] == []
    assert all(act.at <= NOW for act in _acts(event))


def _acts(event: Event):
    return Act.objects.filter(chain_id=event.slug)


@pytest.mark.django_db
def test_the_closed_demo_has_what_a_weekend_brings():
    event = make_demo(stage="closed", players=40, seed=1, zone="UTC", now=NOW)
    counted = Counter(_acts(event).values_list("action", flat=True))
    assert {name: counted[action.value] for name, action in SCENARIO.items()} == {
        "warnings": 6,
        "warnings taken back": 1,
        "rulings": 4,
        "questions": 2,
        "answers": 2,
        "cards decided": 1,
        "cuts": 1,
        "lists of who goes on": 1,
        "playoffs": 1,
        "incidents": 2,
        "emergency plans": 1,
    }
    beaten, won = sorted(
        (row.standing.place, row.standing.total)
        for found in standings(event)
        for row in found.rows
        if row.standing.decided == "playoff"
    )[::-1]
    assert (won, beaten) == ((1, won[1]), (2, won[1]))  # equal in throws, apart by the playoff
    cut = next(found for found in standings(event) if found.code == "MA1")
    missed = {row.entry_id for row in cut.rows if row.standing.made_cut is False}
    assert (len(cut.rows), len(missed)) == (8, 2)  # 60 of 100 of 8 players are 5, and a sixth is level
    lines = StandingLine.objects.filter(round__event=event, entry__in=missed)
    assert set(lines.values_list("round__number", flat=True)) == {1, 2}


@pytest.mark.django_db
def test_in_a_round_that_goes_on_a_card_differs_and_a_question_waits():
    event = make_demo(stage="round1", players=40, seed=1, zone="UTC", now=NOW)
    round_ = event.rounds.get(number=1)
    cards = Card.objects.filter(round=round_, versions__isnull=False).order_by("returned_at")
    open_cells = [
        len(compared(round_, number).cells) for number in cards.values_list("group_number", flat=True)
    ]
    assert sum(open_cells) == 1
    assert [waiting.danger for waiting in waiting_messages(event)] == [False]


@pytest.mark.django_db
def test_things_are_found_and_a_taken_disc_waits_while_the_round_goes_on():
    event = make_demo(stage="round1", players=24, seed=1, zone="UTC", now=NOW)
    things = list(FoundThing.objects.filter(event=event).order_by("number"))
    outcomes = ["held", "given away", "returned", "held", "held"]
    assert [thing.get_outcome_display() for thing in things] == outcomes
    (waits,) = taken_waiting(event, rulebook_for(event), given_back)
    assert waits.thing == things[4]
    listed = found_things(event, with_contact=False)
    assert [bool(each.suggestions) for each in listed] == [True, False, True, False, False]  # held first
    assert waits.thing.taken_from_id in [hit.owner.entry_id for hit in listed[2].suggestions]
    assert max(thing.outcome_at or thing.found_at for thing in things) <= NOW


def test_the_runner_up_is_brought_level_where_that_is_closest():
    def group(*members: tuple[int, str]) -> SimpleNamespace:
        return SimpleNamespace(members=[SimpleNamespace(entry_id=pk, division=code) for pk, code in members])

    groups = [group((1, "MPO"), (2, "MA1")), group((3, "MPO"), (4, "MA1"), (5, "MA1"))]
    scores = [{1: [3, 3], 2: [3, 3]}, {3: [5, 5], 4: [5, 4], 5: [2, 2]}]
    before = {1: [50], 2: [60], 3: [50], 4: [60], 5: [None]}
    level_first(groups, scores, before)
    assert scores == [{1: [3, 3], 2: [3, 3]}, {3: [5, 5], 4: [3, 3], 5: [2, 2]}]


@pytest.mark.django_db
def test_the_same_seed_gives_the_same_standings():
    def totals(event: Event) -> list[tuple[str, int | None]]:
        return [(row.standing.name, row.standing.total) for found in standings(event) for row in found.rows]

    first = make_demo(stage="closed", players=16, seed=5, zone="UTC", now=NOW)
    expected = totals(first)
    Event.objects.filter(pk=first.pk).update(slug="first-one")
    second = make_demo(stage="closed", players=16, seed=5, zone="UTC", now=NOW)
    assert totals(second) == expected
    assert any(total is not None for _, total in expected)


@pytest.mark.django_db
def test_the_command_refuses_a_second_demo_and_odd_wishes():
    call_command("demo", stage="entries", players=12, zone="UTC")
    with pytest.raises(CommandError, match="there already"):
        call_command("demo", stage="entries", players=12, zone="UTC")
    with pytest.raises(CommandError, match="8 to 5000"):
        call_command("demo", players=3)
    with pytest.raises(CommandError, match="is not a time zone"):
        call_command("demo", zone="Nowhere/Town")


def test_the_fixtures_are_what_the_demo_writes(tmp_path):
    for made in write_all(tmp_path, players=94, seed=1):
        kept = FIXTURES / made.name
        one, other = (read_table(path.name, path.read_bytes()) for path in (made, kept))
        assert (one.headings, one.rows) == (other.headings, other.rows), made.name
