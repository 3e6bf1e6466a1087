"""What must hold of every round, whoever played it."""

import random
from dataclasses import replace
from datetime import date
from fractions import Fraction
from itertools import pairwise

from hypothesis import assume, given
from hypothesis import strategies as st

from build_ratings import BOOK, FIRST_DAY, FORMULA_2013, REFIT_2025, RULES, played
from events.course.queries import HoleFacts, LayoutFacts
from events.entries.models import Entry
from events.setup.models import Division, Event, Round
from players.models import Person
from scoring.ratings.decided import Decisions
from scoring.ratings.estimate import rate_round
from scoring.ratings.propagators import Played
from scoring.ratings.queries import ratings_from
from scoring.ratings.round_rating import Choice, RoundRating, Wanted
from scoring.standings.loading import Facts, ScoreLine

fields = st.lists(
    st.tuples(st.one_of(st.none(), st.integers(650, 1060)), st.integers(45, 90)), min_size=6, max_size=40
)
choices = st.sampled_from([Choice.LINE, Choice.PROPORTIONAL, Choice.BY_FIELD])
formulas = st.sampled_from([FORMULA_2013, REFIT_2025])


def pool_of(field: list[tuple[int | None, int]]) -> list[Played]:
    return [played(str(at), rating, score) for at, (rating, score) in enumerate(field)]


def rate(pool: list[Played], choice: Choice, formula: object = FORMULA_2013) -> RoundRating:
    return rate_round(
        pool,
        rules=RULES,
        constants=formula,  # type: ignore[arg-type]
        first_day=FIRST_DAY,
        holes=18,
        wanted=Wanted(choice),
        seed=7,
    )


def event_of(field: list[tuple[int | None, int]], codes: list[int], mixer: random.Random) -> Facts:
    """One round of these players on one layout as it is read, in the divisions of `codes` and in any order: no
    database."""
    event = Event(pk=1, slug="e", starts_on=FIRST_DAY)
    divisions = [Division(pk=pk, event=event, code=f"D{pk}") for pk in range(1, 4)]
    holes = tuple(HoleFacts(at, 1, at, str(at), 3, None, "", at, f"tee {at}", None) for at in range(1, 19))
    entries = [
        Entry(
            pk=at,
            event=event,
            person=Person(pk=at, given_name="Player", family_name=str(at)),
            division=divisions[codes[at % len(codes)]],
            rating=rating,
            rating_date=date(2025, 5, 13),
            rated_rounds=20,
        )
        for at, (rating, _) in enumerate(field, start=1)
    ]
    lines = {
        (1, at): ScoreLine((*(1,) * 17, score - 17), 0, "") for at, (_, score) in enumerate(field, start=1)
    }
    return Facts(
        event=event,
        today=None,
        divisions=divisions,
        rounds=[Round(pk=1, event=event, number=1)],
        entries=mixer.sample(entries, len(entries)),
        layouts={1: LayoutFacts(1, "Upper", holes)},
        uses={(1, division.pk): 1 for division in divisions},
        places={},
        lines=lines,
        returned=frozenset(),
        undecided=frozenset(),
        chosen={},
    )


def figures(rating: RoundRating) -> object:
    spans = {each.key: (each.rating, each.low, each.high) for each in rating.ratings}
    return (rating.refused, rating.ssa, rating.ssa_se, rating.drawn and rating.drawn.ssa, spans)


@given(
    fields,
    st.lists(st.integers(0, 2), min_size=1, max_size=9),
    st.lists(st.integers(0, 2), min_size=1, max_size=9),
    st.randoms(use_true_random=False),
)
def test_the_divisions_that_players_are_in_change_nothing(
    field: list[tuple[int | None, int]], codes: list[int], others: list[int], mixer: random.Random
) -> None:
    """All who play a layout in a round are one pool, whatever their divisions and the order in which they are read."""
    (one,) = ratings_from(event_of(field, codes, mixer), BOOK, Decisions(), {})
    (other,) = ratings_from(event_of(field, others, mixer), BOOK, Decisions(), {})

    assert figures(one.rating) == figures(other.rating)
    assert one.key == other.key
    assert len(one.played) == len(field)


@given(fields, choices, formulas, st.randoms(use_true_random=False))
def test_the_order_of_the_players_changes_nothing(
    field: list[tuple[int | None, int]], choice: Choice, formula: object, mixer: random.Random
) -> None:
    pool = pool_of(field)
    mixed = mixer.sample(pool, len(pool))

    assert figures(rate(pool, choice, formula)) == figures(rate(mixed, choice, formula))


@given(fields, choices)
def test_two_rounds_of_each_player_choose_no_other_method_than_one(
    field: list[tuple[int | None, int]], choice: Choice
) -> None:
    """Joining rounds of the same players adds rounds, not people: method, refusal and warnings of few stay."""
    alone = rate(pool_of(field), choice)
    again = [
        replace(each, key=f"{each.key} {number}", person=each.key)
        for each in pool_of(field)
        for number in (0, 1)
    ]

    joined = rate(again, choice)

    assert (joined.method, joined.people, joined.refused) == (alone.method, alone.people, alone.refused)
    assert [each for each in joined.warnings if each.startswith("Only")] == [
        each.replace(" propagators;", f" propagators, {2 * alone.people} rounds;")
        for each in alone.warnings
        if each.startswith("Only")
    ]


@given(fields, choices, st.integers(-12, 12))
def test_throws_added_for_everybody_move_the_average_and_ratings_only_by_the_points(
    field: list[tuple[int | None, int]], choice: Choice, added: int
) -> None:
    """A line moves by exactly the throws; a rating then differs only since a throw is worth other points."""
    assume(choice is not Choice.PROPORTIONAL)
    before = rate(pool_of(field), Choice.LINE)
    after = rate(pool_of([(rating, score + added) for rating, score in field]), Choice.LINE)
    assume(not before.refused and not after.refused)
    assert before.ssa is not None
    assert after.ssa is not None
    assert before.points_per_throw is not None
    assert after.points_per_throw is not None

    assert after.ssa - before.ssa == added
    change = after.points_per_throw - before.points_per_throw
    for one, other in zip(before.ratings, after.ratings, strict=True):
        moved = (before.ssa - one.score) * change
        assert abs(other.rating - one.rating - moved) < 1  # both are rounded down


@given(fields, st.integers(-12, 12))
def test_throws_added_for_everybody_move_the_one_parameter_line_by_their_share(
    field: list[tuple[int | None, int]], added: int
) -> None:
    before = rate(pool_of(field), Choice.PROPORTIONAL)
    after = rate(pool_of([(rating, score + added) for rating, score in field]), Choice.PROPORTIONAL)
    assume(not before.refused and not after.refused)
    assert before.ssa is not None
    assert after.ssa is not None
    assert before.mean_rating is not None

    exact = Fraction(added * 480) / (1480 - before.mean_rating)
    assert abs(after.ssa - before.ssa - exact) <= Fraction(1, 1000)


@given(fields)
def test_more_throws_never_rate_higher_and_no_interval_is_upside_down(
    field: list[tuple[int | None, int]],
) -> None:
    rating = rate(pool_of(field), Choice.PROPORTIONAL)
    rows = sorted(rating.ratings, key=lambda each: each.score)

    assert all(one.rating >= other.rating for one, other in pairwise(rows))
    assert all(each.low <= each.high for each in rows if each.low is not None and each.high is not None)
