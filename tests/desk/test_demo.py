"""The demo event: the same for a seed, believable, and made through the services."""

import random
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from desk.demo.people import DIVISIONS, RATING_BELOW, field_of
from desk.demo.plan import STAGES, moved, plan_for
from desk.demo.play import round_of
from desk.demo.stages import make_demo
from desk.demo.workbooks import write_all
from events.draw.models import Sheet
from events.entries.models import Entry, Status
from events.log.services import verify
from events.setup.models import Event
from events.sheets.reading import read_table
from scoring.cards.models import StandingLine
from scoring.standings.queries import standings

FIXTURES = Path(__file__).parents[2] / "fixtures"
NOW = datetime(2026, 6, 13, 12, 40, tzinfo=UTC)


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
    from events.log.models import Act

    return Act.objects.filter(chain_id=event.slug)


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
