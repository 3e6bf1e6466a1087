"""When a round may be drawn across divisions, and what such a draw writes."""

import pytest

import build
from build import ACTOR, NOW
from events.draw.field import candidates
from events.draw.models import Sheet
from events.draw.queries import breaches, view_of
from events.draw.services import DrawRefused, make_draw, publish, reopen
from events.draw.ways import refusal, ways_for
from events.draw.working import working_of
from events.log.models import Act
from events.setup.queries import rulebook_for

pytestmark = pytest.mark.django_db
Method = Sheet.Method
USUAL = [Method.RANDOM, Method.RATING, Method.SCORE]


@pytest.fixture
def abroad(event):
    """A B event outside the United States and Canada, of two rounds, with players of two divisions."""
    event.region, event.tier = "elsewhere", "B"
    event.save(update_fields=["region", "tier"])
    for number in range(6):
        build.make_entry(event, "MA1" if number % 2 else "FA1", rating=900 + number)
    return event


def round_of(event, number: int):
    found = event.rounds.get(number=number)
    found.event = event
    return found


def draw(event, method: Sheet.Method, number: int = 1, **facts) -> Sheet:
    return make_draw(round=round_of(event, number), method=method, seed="7", actor=ACTOR, now=NOW, **facts)


def ways(event, number: int) -> list[Sheet.Method]:
    return ways_for(round_of(event, number), rulebook_for(event))


def grow(event, rounds: int) -> None:
    """Rounds up to so many."""
    first = event.rounds.get(number=1)
    for number in range(event.rounds.count() + 1, rounds + 1):
        event.rounds.create(number=number, date=first.date)


@pytest.mark.parametrize(
    ("tier", "rounds", "number", "more"),
    [
        ("B", 2, 1, [Method.RANDOM_ALL]),
        ("C", 2, 1, [Method.RANDOM_ALL]),
        ("A", 2, 1, []),
        ("B", 1, 1, []),
        ("B", 2, 2, []),
        ("B", 3, 2, [Method.SCORE_ALL]),
        ("C", 3, 3, []),
    ],
)
def test_the_manual_allows_it_by_tier_and_rounds(abroad, tier, rounds, number, more):
    abroad.tier = tier
    abroad.save(update_fields=["tier"])
    abroad.rounds.filter(number__gt=rounds).delete()
    grow(abroad, rounds)
    assert ways(abroad, number) == [*USUAL, *more]


def test_in_north_america_nobody_is_drawn_across_divisions(abroad):
    abroad.region = "north_america"
    abroad.save(update_fields=["region"])
    assert ways(abroad, 1) == USUAL
    with pytest.raises(DrawRefused, match=r"outside the United States and Canada only .*6\.03\.E"):
        draw(abroad, Method.RANDOM_ALL)
    assert not Sheet.objects.exists()


def test_what_is_refused_says_why_and_what_else(abroad):
    book = rulebook_for(abroad)
    assert refusal(Method.RANDOM, round_of(abroad, 1), book) == ""
    assert refusal(Method.RANDOM_ALL, round_of(abroad, 2), book) == (
        "Random across all divisions is for round 1 only: choose another way for round 2."
    )
    abroad.rounds.filter(number__gt=2).delete()
    assert refusal(Method.SCORE_ALL, round_of(abroad, 2), book) == (
        "By total across all divisions needs an event of at least 3 rounds, and this one has 2"
        " (Competition Manual 2025, 6.03.E): draw within the divisions."
    )
    abroad.tier = "A"
    assert refusal(Method.RANDOM_ALL, round_of(abroad, 1), book) == (
        "Players are drawn across divisions at tiers B and C only (Competition Manual 2025, 6.03.E):"
        " draw within the divisions."
    )


def test_divisions_meet_and_the_sheet_does_not_call_that_a_breach(abroad):
    sheet = draw(abroad, Method.RANDOM_ALL)
    view = view_of(sheet)
    assert sorted(len(group.members) for group in view.groups) == [3, 3]
    assert {group.divisions for group in view.groups} & {("MA1", "FA1"), ("FA1", "MA1")}
    book = rulebook_for(abroad)
    assert breaches(view, candidates(sheet.round, book), book) == ()
    assert Act.objects.get(action="draw.made").detail["method"] == "random_all"


def test_a_new_draft_of_the_published_sheet_is_still_one_across_divisions(abroad):
    publish(sheet=draw(abroad, Method.RANDOM_ALL), actor=ACTOR, now=NOW)
    draft = reopen(round=round_of(abroad, 1), actor=ACTOR, now=NOW)
    assert draft.way is Method.RANDOM_ALL


def test_the_working_makes_the_line_again_from_which_the_groups_are_cut(abroad):
    view = view_of(draw(abroad, Method.RANDOM_ALL))
    (line,) = working_of(view, {})
    assert (line.pool, line.division, line.seed) == ("A", "every division", "7/A/every division")
    assert [row.group for row in line.rows] == sorted(row.group for row in line.rows)
    assert {row.division for row in line.rows} == {"MA1", "FA1"}


def test_the_working_by_total_stands_in_the_order_of_the_totals(abroad):
    grow(abroad, 3)
    keys = list(abroad.entries.order_by("pk").values_list("pk", flat=True))
    totals = {key: (70 - place,) for place, key in enumerate(keys[:-1])}
    sheet = draw(abroad, Method.SCORE_ALL, 2, totals=totals)
    (line,) = working_of(view_of(sheet), {})
    assert [row.entry_id for row in line.rows] == [*reversed(keys[:-1]), keys[-1]]
    assert [row.total for row in line.rows] == [66, 67, 68, 69, 70, None]
    assert any(note.startswith("Without a complete total, so last of all:") for note in sheet.notes)


def test_asking_for_the_ways_costs_one_query_where_the_event_may_draw_across(
    abroad, django_assert_num_queries
):
    round, book = round_of(abroad, 1), rulebook_for(abroad)
    with django_assert_num_queries(1):
        ways_for(round, book)
    abroad.tier = "A"
    with django_assert_num_queries(0):
        ways_for(round, book)
