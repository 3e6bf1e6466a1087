"""What becomes of a chosen method, and of pools, when rounds are joined, parted, split or stopped."""

from datetime import time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

import build
from build_ratings import play, play_field
from events.course.models import Layout
from events.draw.models import Group
from events.safety.models import Completion
from events.setup.models import Event
from scoring.ratings.models import JoinDecision, MethodDecision
from scoring.ratings.queries import ratings_of
from scoring.ratings.refusal import RatingRefused
from scoring.ratings.round_rating import Method
from scoring.ratings.services import choose_method, join_rounds, split_round

BY: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
FIXED, LINE, RULEBOOK = (
    MethodDecision.Method.FIXED,
    MethodDecision.Method.LINE,
    MethodDecision.Method.RULEBOOK,
)


@pytest.fixture
def layout(event: Event) -> Layout:
    """Rounds 1 and 2 were played on it by the same players."""
    entries = play_field(event)
    play(event, [(entry, 61 + 2 * at) for at, entry in enumerate(entries)], 2)
    return event.layouts.get(name="Upper")


def choose(event: Event, number: int, method: MethodDecision.Method, ssa: str | None = None) -> None:
    pool = next(pool for pool in ratings_of(event) if pool.rounds == (number,))
    choose_method(
        event=event,
        pool=pool.key,
        method=method,
        ssa=Decimal(ssa) if ssa else None,
        reason="known",
        **BY,
    )


def join(event: Event, layout: Layout, *rounds: int) -> None:
    join_rounds(event=event, layout=layout, rounds=rounds, reason="calm", **BY)


def stop(event: Event, number: int, holes: int, *codes: str) -> None:
    for code in codes:
        Completion.objects.create(
            event=event,
            round=event.rounds.get(number=number),
            division=event.divisions.get(code=code),
            option=Completion.Option.COMMON_HOLES,
            common=[str(label) for label in range(1, holes + 1)],
            approval="the tour office, by telephone",
            at=build.NOW,
            by="T",
        )


def test_a_method_that_both_rounds_have_goes_along_and_comes_back(event: Event, layout: Layout) -> None:
    for number in (1, 2):
        choose(event, number, FIXED, "58.4")

    join(event, layout, 1, 2)

    (pool,) = ratings_of(event)
    assert (pool.rating.method, pool.rating.ssa) == (Method.FIXED, Fraction("58.4"))
    assert (pool.said[0].what, pool.said[0].reason) == ("Method: average typed in.", "known")
    join(event, layout)
    assert [pool.rating.method for pool in ratings_of(event)] == [Method.FIXED, Method.FIXED]


def test_different_methods_are_not_joined_and_both_are_named(event: Event, layout: Layout) -> None:
    choose(event, 1, FIXED, "58.4")

    with pytest.raises(RatingRefused) as refused:
        join(event, layout, 1, 2)

    assert str(refused.value) == (
        "Different methods are chosen (Round 1, Upper: average typed in, 58.400; Round 2, Upper: as the rulebook"
        " says). Choose the same for each of them first."
    )
    assert not JoinDecision.objects.exists()
    assert [pool.rating.method for pool in ratings_of(event)] == [Method.FIXED, Method.PROPORTIONAL]


def test_a_method_chosen_for_joined_rounds_goes_along_when_they_part(event: Event, layout: Layout) -> None:
    join(event, layout, 1, 2)
    (pool,) = ratings_of(event)
    choose_method(event=event, pool=pool.key, method=LINE, ssa=None, reason="wide field", **BY)

    join(event, layout)

    assert [pool.rating.method for pool in ratings_of(event)] == [Method.LINE, Method.LINE]


def test_a_choice_of_an_earlier_joining_does_not_wake(event: Event, layout: Layout) -> None:
    join(event, layout, 1, 2)
    (pool,) = ratings_of(event)
    choose_method(event=event, pool=pool.key, method=LINE, ssa=None, reason="", **BY)
    join(event, layout)
    for number in (1, 2):
        choose(event, number, RULEBOOK)

    join(event, layout, 1, 2)

    (pool,) = ratings_of(event)
    assert pool.rating.method == Method.PROPORTIONAL


def test_a_method_goes_along_into_the_parts_of_a_round(event: Event) -> None:
    play_field(event, groups=2)
    round_ = event.rounds.get(number=1)
    choose(event, 1, FIXED, "58.4")
    late = Group.objects.get(sheet__round=round_, number=2)
    late.starts_at += timedelta(hours=4)
    late.save()
    upper = event.layouts.get(name="Upper")

    split_round(round=round_, layout=upper, starts=[time(13)], reason="storm", **BY)

    assert [pool.rating.ssa for pool in ratings_of(event)] == [Fraction("58.4")] * 2
    split_round(round=round_, layout=upper, starts=[], reason="", **BY)
    (pool,) = ratings_of(event)
    assert pool.rating.ssa == Fraction("58.4")


def test_joining_the_same_players_changes_no_method_and_counts_them_once(
    event: Event, layout: Layout
) -> None:
    join(event, layout, 1, 2)

    (pool,) = ratings_of(event)

    assert pool.rating.method == Method.PROPORTIONAL
    assert pool.rating.why.startswith("A small field: 6 propagators;")
    assert pool.rating.working[0] == "6 propagators, 12 rounds."


def test_rounds_without_holes_in_common_are_not_joined(event: Event, layout: Layout) -> None:
    stop(event, 2, 15, "MA1", "FA1")

    with pytest.raises(RatingRefused, match=r"there count: 18 in round 1, 15 in round 2\. Leave them apart"):
        join(event, layout, 1, 2)


def test_a_joined_round_that_is_stopped_later_stands_under_its_own_name(event: Event, layout: Layout) -> None:
    """Two pools of one round each, not two of "rounds 1 and 2", and both say why."""
    join(event, layout, 1, 2)
    stop(event, 2, 15, "MA1", "FA1")

    one, two = ratings_of(event)

    assert [(pool.title, pool.rounds, len(pool.played)) for pool in (one, two)] == [
        ("Round 1, Upper", (1,), 6),
        ("Round 2, Upper, 15 of 18 holes", (2,), 6),
    ]
    assert [pool.said[0].what for pool in (one, two)] == [
        "Rounds 1 and 2 were joined, but not the same holes of them count: these are of round 1 alone.",
        "Rounds 1 and 2 were joined, but not the same holes of them count: these are of round 2 alone.",
    ]


@pytest.mark.parametrize("joined", [True, False])
def test_a_method_chosen_before_a_stop_ends_and_says_so(event: Event, layout: Layout, joined: bool) -> None:
    """58.4 throws were for 18 holes; for the 15 that count the director chooses anew."""
    for number in (1, 2):
        choose(event, number, FIXED, "58.4")
    if joined:
        join(event, layout, 1, 2)
    stop(event, 2, 15, "MA1", "FA1")

    one, two = ratings_of(event)

    ended = "Method: average typed in. It was chosen before the round was stopped and holds no longer."
    assert two.rating.method == Method.PROPORTIONAL
    assert ended in [said.what for said in two.said]
    assert (one.rating.method, ended in [said.what for said in one.said]) == (Method.FIXED, False)


def test_where_one_division_was_stopped_the_other_still_shares_its_average(
    event: Event, layout: Layout
) -> None:
    join(event, layout, 1, 2)
    stop(event, 2, 15, "FA1")

    both, short = ratings_of(event)

    assert (both.rounds, len(both.played), short.rounds, len(short.played)) == ((1, 2), 9, (2,), 3)
    assert short.said[0].what.endswith("these are of round 2 alone.")


def test_the_seed_is_of_what_the_pool_is_and_not_of_its_address(event: Event, layout: Layout) -> None:
    """An archive that is opened elsewhere has other addresses and ids, and prints the same intervals."""
    before = [pool.rating.drawn for pool in ratings_of(event)]
    event.slug = "another-address"
    event.save()

    after = [pool.rating.drawn for pool in ratings_of(event)]

    assert [drawn and (drawn.seed, drawn.ssa) for drawn in after] == [
        drawn and (drawn.seed, drawn.ssa) for drawn in before
    ]
    assert len({drawn.seed for drawn in after if drawn}) == 2
