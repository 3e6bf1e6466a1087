"""Ratings of an event: its pools, the rulebook's figures, the director's decisions."""

from datetime import time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

import build
import build_cards
from build_ratings import entered, play, play_field
from events.draw.models import Group
from events.safety.models import Completion
from events.setup.models import Event, RuleOverride
from events.setup.queries import rulebook_for
from scoring.ratings.compression import Constants
from scoring.ratings.models import MethodDecision
from scoring.ratings.propagators import Finish, Reason, Rules
from scoring.ratings.queries import ratings_of
from scoring.ratings.round_rating import Choice, Method
from scoring.ratings.rules import constants_from, rules_from
from scoring.ratings.services import (
    choose_method,
    join_rounds,
    leave_out,
    split_round,
    take_back,
)

BY = {"actor": build.ACTOR, "now": build.NOW}


def figures(constants: Constants) -> list[float]:
    names = ("bend", "upper_slope", "upper_intercept", "lower_slope", "lower_intercept")
    return [round(float(getattr(constants, name)), 7) for name in names]


def override(event: Event, key: str, value: object) -> None:
    RuleOverride.objects.create(event=event, key=key, value=value, reason="newer", by="T", at=build.NOW)


def test_the_rulebook_holds_the_figures_of_both_formulas(event: Event) -> None:
    found = constants_from(rulebook_for(event))
    assert figures(found) == [50.3289725, -0.225067, 21.3858, -0.487095, 34.5734]
    assert (found.scratch, found.full_round, found.cut_off) == (1000, 18, True)
    override(event, "rating.compression.choice", "refit_2025")
    assert figures(constants_from(rulebook_for(event))) == [50.4898998, -0.2222222, 21.2, -0.487095, 34.5734]
    with pytest.raises(ValueError, match="There is no edition 1999"):
        constants_from(rulebook_for(event), "1999")


def test_what_the_director_sets_otherwise_is_what_counts(event: Event) -> None:
    override(event, "rating.rounding", "nearest")
    override(event, "rating.scratch", 900)
    play_field(event)
    (pool,) = ratings_of(event, choice=Choice.LINE)
    assert pool.rating.ssa == 70
    assert pool.rating.working[-1] == (
        "Rating = 900 + (SSA − score) × points per throw, rounded to the nearest."
    )


def test_the_rules_come_from_the_rulebook(event: Event) -> None:
    assert rules_from(rulebook_for(event)) == Rules(
        rating_above=699,
        rated_rounds=8,
        years_before=1,
        fewest=2,
        advised=5,
        holes=13,
        points_low=7,
        points_high=13,
        proportion=480,
        line_propagators=30,
        line_spread=40,
        percent=95,
        resamples=1000,
        outlier=3,
    )


def test_divisions_on_one_layout_are_one_pool(event: Event) -> None:
    entries = play_field(event)
    (pool,) = ratings_of(event, choice=Choice.LINE)
    assert (pool.title, pool.layout.name, pool.complete) == ("Round 1, Upper", "Upper", 6)
    assert pool.rating.ssa == 60
    points = Fraction("21.3858") - Fraction("0.225067") * 60
    assert pool.rating.points_per_throw == points
    ratings = {pool.members[rated.key].entry_id: rated.rating for rated in pool.rating.ratings}
    assert ratings[entries[0].pk] == 1000
    assert ratings[entries[5].pk] == 1000 - 15 * points // 1 - 1
    assert {member.division for member in pool.members.values()} == {"MA1", "FA1"}


def test_a_layout_of_its_own_is_a_pool_of_its_own(event: Event) -> None:
    play_field(event)
    short = build.make_layout(event, "Short", pars=(3,) * 9)
    other = entered(event, 900, "FA1")
    round_ = event.rounds.get(number=2)
    build.use_layout(round_, short)
    build_cards.publish(round_, [[other]], layout=short)
    build_cards.save(round_, 1, [build_cards.line(other, [3] * 9)])
    second = ratings_of(event)[1]
    assert (second.rounds, second.layout.name) == ((2,), "Short")
    assert second.rating.refused == "Rounds of fewer than 13 holes are not rated; this has 9."


def test_who_left_and_who_is_disqualified(event: Event) -> None:
    """Completed rounds of who did not finish are rated, those of the disqualified are not."""
    entries = play_field(event)
    left, out, empty = entries[1], entries[2], entered(event, 910)
    build_cards.publish(event.rounds.get(number=1), [[*entries, empty]])
    for entry, status in ((left, "did_not_finish"), (out, "disqualified"), (empty, "did_not_finish")):
        entry.status, entry.left_reason = status, "a reason"
        entry.save()
    (pool,) = ratings_of(event)
    rated = {pool.members[rated.key].entry_id for rated in pool.rating.ratings}
    assert left.pk in rated
    assert {pool.members[player.key].entry_id: player.reason for player in pool.rating.excluded} == {
        out.pk: Reason.DISQUALIFIED,
        empty.pk: Reason.NOT_FINISHED,
    }
    assert {player.finish for player in pool.played} == set(Finish) - {Finish.NOT_PLAYED}


def test_what_is_not_known_excludes_and_is_still_rated(event: Event) -> None:
    unknown, few = entered(event, None), entered(event, 930, rated_rounds=3)
    play_field(event, also=[(unknown, 70), (few, 68)])
    (pool,) = ratings_of(event)
    assert {pool.members[player.key].entry_id: player.reason for player in pool.rating.excluded} == {
        unknown.pk: Reason.NO_RATING,
        few.pk: Reason.TOO_FEW_ROUNDS,
    }
    assert {unknown.pk, few.pk} < {pool.members[rated.key].entry_id for rated in pool.rating.ratings}


def test_an_unfinished_round_is_not_rated(event: Event) -> None:
    entry = entered(event, 900)
    play_field(event, also=[(entry, [3] * 12 + [None] * 6)])
    (pool,) = ratings_of(event)
    assert entry.pk not in {pool.members[rated.key].entry_id for rated in pool.rating.ratings}


def stop(event: Event, common: int, *codes: str) -> None:
    for code in codes:
        Completion.objects.create(
            event=event,
            round=event.rounds.get(number=1),
            division=event.divisions.get(code=code),
            option=Completion.Option.COMMON_HOLES,
            common=[str(number) for number in range(1, common + 1)],
            approval="the tour office, by telephone",
            at=build.NOW,
            by="T",
        )


def test_a_stopped_round_is_rated_on_the_holes_that_everybody_finished(event: Event) -> None:
    """14 of 18 holes in both divisions: one pool. The four holes that do not count may be blank."""
    left = entered(event, 905)
    play_field(event, also=[(left, [3] * 14 + [None] * 4)])
    stop(event, 14, "MA1", "FA1")
    (pool,) = ratings_of(event)
    assert (pool.labels[-1], pool.stopped, pool.par) == ("14", True, 47)
    scores = {pool.members[rated.key].entry_id: rated.score for rated in pool.rating.ratings}
    assert scores[left.pk] == 42
    assert "Scaled from 18 to 14 holes by our own rule; none is published." in pool.rating.warnings


def test_a_division_that_finished_other_holes_is_a_pool_of_its_own(event: Event) -> None:
    play_field(event)
    stop(event, 12, "FA1")
    whole, short = sorted(ratings_of(event), key=lambda pool: -len(pool.labels))
    assert {member.division for member in short.members.values()} == {"FA1"}
    assert short.rating.refused == "Rounds of fewer than 13 holes are not rated; this has 12."
    assert {member.division for member in whole.members.values()} == {"MA1"}
    assert whole.key != short.key


def test_a_pool_without_a_complete_card_is_not_listed(event: Event) -> None:
    build_cards.publish(event.rounds.get(number=1), [[entered(event, 900)]])
    assert ratings_of(event) == []


def test_a_chosen_method_stays_until_another_is_chosen(event: Event) -> None:
    play_field(event)
    (pool,) = ratings_of(event)
    assert pool.rating.method is Method.PROPORTIONAL  # six players are a small field
    line, fixed, back = (MethodDecision.Method(name) for name in ("line", "fixed", "rulebook"))
    choose_method(event=event, pool=pool.key, method=line, ssa=None, reason="", **BY)
    assert ratings_of(event)[0].rating.method is Method.LINE
    choose_method(event=event, pool=pool.key, method=fixed, ssa=Decimal("58.4"), reason="known", **BY)
    (pool,) = ratings_of(event)
    assert (pool.rating.method, pool.rating.ssa) == (Method.FIXED, Fraction("58.4"))
    assert [(said.what, said.reason, said.by) for said in pool.said] == [
        ("Method: average typed in.", "known", "Tester")
    ]
    choose_method(event=event, pool=pool.key, method=back, ssa=None, reason="", **BY)
    (pool,) = ratings_of(event)
    assert (pool.rating.method, pool.said) == (Method.PROPORTIONAL, ())


def test_joined_rounds_give_equal_scores_equal_ratings(event: Event) -> None:
    entries = play_field(event)
    play(event, [(entry, 61 + 2 * at) for at, entry in enumerate(entries)], 2)
    layout = event.layouts.get(name="Upper")
    one, two = ratings_of(event)
    assert one.differ is not None
    assert one.rating.ssa != two.rating.ssa
    join_rounds(event=event, layout=layout, rounds=[2, 1], reason="calm on both days", **BY)
    (pool,) = ratings_of(event)
    assert (pool.rounds, pool.title, pool.complete) == ((1, 2), "Rounds 1 and 2, Upper", 12)
    assert pool.said[0].what.startswith(
        "Rounds 1 and 2 share one average. 6 propagators threw all of these rounds"
    )
    by_score: dict[int, set[int]] = {}
    for rated in pool.rating.ratings:
        by_score.setdefault(rated.score, set()).add(rated.rating)
    assert all(len(ratings) == 1 for ratings in by_score.values())
    join_rounds(event=event, layout=layout, rounds=[], reason="", **BY)
    assert len(ratings_of(event)) == 2


def test_starts_in_other_conditions_are_rated_apart(event: Event) -> None:
    entries = play_field(event, groups=2)
    round_ = event.rounds.get(number=1)
    late = Group.objects.get(sheet__round=round_, number=2)
    late.starts_at += timedelta(hours=4)
    late.save()
    split_round(round=round_, layout=event.layouts.get(name="Upper"), starts=[time(13)], reason="storm", **BY)
    first, second = ratings_of(event)
    assert [first.conditions, second.conditions] == ["starts before 13:00", "starts from 13:00"]
    assert {member.entry_id for member in first.members.values()} == {entry.pk for entry in entries[:3]}
    assert second.said[0].reason == "storm"
    split_round(round=round_, layout=event.layouts.get(name="Upper"), starts=[], reason="", **BY)
    assert len(ratings_of(event)) == 1


def test_who_is_left_out_is_named_with_the_reason_and_comes_back(event: Event) -> None:
    entries = play_field(event)
    round_ = event.rounds.get(number=1)
    leave_out(round=round_, entry=entries[0], reason="hurt", **BY)
    (pool,) = ratings_of(event)
    assert [(each.reason, each.detail) for each in pool.rating.excluded] == [(Reason.DIRECTOR, "hurt")]
    assert pool.said[0].what == f"Left out of the average: {entries[0].person.name}, round 1."
    take_back(round=round_, entry=entries[0], **BY)
    (pool,) = ratings_of(event)
    assert (pool.rating.excluded, pool.said) == ((), ())


def test_the_intervals_are_the_same_every_time(event: Event) -> None:
    play_field(event)
    (one,), (again,) = ratings_of(event), ratings_of(event)
    assert one.rating.drawn is not None
    assert again.rating.drawn is not None
    assert (one.rating.drawn.seed, one.rating.drawn.ssa) == (again.rating.drawn.seed, again.rating.drawn.ssa)
    assert str(one.rating.drawn.seed) in one.rating.working[4]


@pytest.mark.parametrize("players", [1, 3])
def test_ratings_take_eighteen_queries(event: Event, django_assert_num_queries: Any, players: int) -> None:
    play(
        event,
        [(entered(event, rating), total) for rating, total in [(1000, 60), (970, 63), (940, 66)][:players]],
    )
    with django_assert_num_queries(18):
        (pool,) = ratings_of(event)
    assert pool.complete == players
