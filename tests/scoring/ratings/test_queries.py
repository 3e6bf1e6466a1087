"""Ratings of an event: its pools, the rulebook's figures, and the page."""

from datetime import date
from fractions import Fraction
from typing import Any

import pytest
from django.urls import reverse

import build
import build_cards
from events.entries.models import Entry
from events.setup.models import Event, Role, RuleOverride
from events.setup.queries import rulebook_for
from scoring.ratings.compression import Constants
from scoring.ratings.estimate import Method
from scoring.ratings.propagators import Finish, Reason, Rules
from scoring.ratings.queries import ratings_of
from scoring.ratings.rules import constants_from, rules_from

# Scores that lie on a line exactly: 10 rating points a throw, 60 at 1000.
FIELD = [(1000, 60), (970, 63), (940, 66), (900, 70), (880, 72), (850, 75)]


def entered(event: Event, rating: int | None, division: str = "MA1", **facts: Any) -> Entry:
    facts.setdefault("rated_rounds", 20)
    facts.setdefault("rating_date", date(2026, 5, 12))
    person = build.make_person(given=f"Player {build._number.__next__()}", rating=rating)
    return build.make_entry(event, division, person=person, rating=rating, **facts)


def thrown(total: int) -> list[int]:
    """18 holes that add up to `total`."""
    return [3] * 17 + [total - 51]


def play(event: Event, scores: list[tuple[Entry, int | None]], number: int = 1, group: int = 1) -> None:
    round_ = event.rounds.get(number=number)
    build_cards.publish(round_, [[entry for entry, _ in scores]])
    lines = [build_cards.line(entry, thrown(total) if total else None) for entry, total in scores]
    build_cards.save(round_, group, lines)


def play_field(event: Event) -> list[Entry]:
    divisions = ["MA1", "FA1"]
    entries = [entered(event, rating, divisions[at % 2]) for at, (rating, _) in enumerate(FIELD)]
    play(event, [(entry, total) for entry, (_, total) in zip(entries, FIELD, strict=True)])
    return entries


def figures(constants: Constants) -> list[float]:
    names = ("bend", "upper_slope", "upper_intercept", "lower_slope", "lower_intercept")
    return [round(float(getattr(constants, name)), 7) for name in names]


def test_the_rulebook_holds_the_figures_of_both_formulas(event: Event) -> None:
    found = constants_from(rulebook_for(event))
    assert figures(found) == [50.3289725, -0.225067, 21.3858, -0.487095, 34.5734]
    assert (found.scratch, found.full_round, found.cut_off) == (1000, 18, True)
    override(event, "rating.compression.choice", "refit_2025")
    assert figures(constants_from(rulebook_for(event))) == [50.4898998, -0.2222222, 21.2, -0.487095, 34.5734]


def test_what_the_director_sets_otherwise_is_what_counts(event: Event) -> None:
    override(event, "rating.rounding", "nearest")
    override(event, "rating.scratch", 900)
    play_field(event)
    (pool,) = ratings_of(event)
    assert pool.rating.ssa == 70
    assert pool.rating.working[-1] == (
        "Rating = 900 + (SSA − score) × points per throw, rounded to the nearest."
    )


def override(event: Event, key: str, value: object) -> None:
    RuleOverride.objects.create(event=event, key=key, value=value, reason="newer", by="T", at=build.NOW)


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
    )


def test_divisions_on_one_layout_are_one_pool(event: Event) -> None:
    entries = play_field(event)
    (pool,) = ratings_of(event)
    assert (pool.round, pool.layout.name, pool.complete) == (1, "Upper", 6)
    assert pool.rating.ssa == 60
    points = Fraction("21.3858") - Fraction("0.225067") * 60
    assert pool.rating.points_per_throw == points
    ratings = {rated.key: rated.rating for rated in pool.rating.ratings}
    assert ratings[str(entries[0].pk)] == 1000
    assert ratings[str(entries[5].pk)] == 1000 - 15 * points // 1 - 1
    assert set(pool.divisions.values()) == {"MA1", "FA1"}


def test_a_layout_of_its_own_is_a_pool_of_its_own(event: Event) -> None:
    play_field(event)
    short = build.make_layout(event, "Short", pars=(3,) * 9)
    other = entered(event, 900, "FA1")
    round_ = event.rounds.get(number=2)
    build.use_layout(round_, short)
    build_cards.publish(round_, [[other]], layout=short)
    build_cards.save(round_, 1, [build_cards.line(other, [3] * 9)])
    second = ratings_of(event)[1]
    assert (second.round, second.layout.name) == (2, "Short")
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
    rated = {rated.key for rated in pool.rating.ratings}
    assert str(left.pk) in rated
    assert {player.key: player.reason for player in pool.rating.excluded} == {
        str(out.pk): Reason.DISQUALIFIED,
        str(empty.pk): Reason.NOT_FINISHED,
    }
    assert {player.finish for player in pool.played} == set(Finish)


def test_what_is_not_known_excludes_and_is_still_rated(event: Event) -> None:
    play_field(event)
    unknown = entered(event, None)
    few = entered(event, 930, rated_rounds=3)
    play(event, [(unknown, 70), (few, 68), *[(entered(event, rating), total) for rating, total in FIELD]], 2)
    second = ratings_of(event)[1]
    assert {player.key: player.reason for player in second.rating.excluded} == {
        str(unknown.pk): Reason.NO_RATING,
        str(few.pk): Reason.TOO_FEW_ROUNDS,
    }
    assert {str(unknown.pk), str(few.pk)} < {rated.key for rated in second.rating.ratings}


def test_a_pool_without_a_complete_card_is_not_listed(event: Event) -> None:
    build_cards.publish(event.rounds.get(number=1), [[entered(event, 900)]])
    assert ratings_of(event) == []


def test_another_method_may_be_asked_for(event: Event) -> None:
    play_field(event)
    (pool,) = ratings_of(event, method=Method.PROPORTIONAL)
    assert (pool.rating.method, pool.rating.line) == (Method.PROPORTIONAL, None)


@pytest.mark.parametrize("players", [1, 3])
def test_ratings_take_eleven_queries(event: Event, django_assert_num_queries: Any, players: int) -> None:
    play(event, [(entered(event, rating), total) for rating, total in FIELD[:players]])
    with django_assert_num_queries(11):
        (pool,) = ratings_of(event)
    assert pool.complete == players


def page_of(event: Event, client: Any, **query: str) -> Any:
    return client.get(reverse("ratings:overview", args=[event.slug]), query)


def test_the_page_says_estimated_and_shows_what_it_rests_on(event: Event, client_as: Any) -> None:
    play_field(event)
    page = page_of(event, client_as(Role.VIEWER)).content.decode()
    assert "Round ratings, estimated" in page
    assert "<b>60.00</b><span>estimated</span>" in page
    assert page.count('class="counts"') == 6
    assert "Line: score = 160.000 − 0.10000 × rating." in page


def test_the_page_before_any_card_and_with_strange_questions(event: Event, client_as: Any) -> None:
    client = client_as(Role.VIEWER)
    assert "None is in yet." in page_of(event, client).content.decode()
    play_field(event)
    assert page_of(event, client, pool="x", method="guess").status_code == 200
    assert "shown" in page_of(event, client, method="proportional").content.decode()


def test_too_few_propagators_are_said_in_words(event: Event, client_as: Any) -> None:
    play(event, [(entered(event, None), 60)])
    page = page_of(event, client_as(Role.VIEWER)).content.decode()
    assert "Too few propagators to rate this round: 0 of at least 2." in page
