"""Holes that were not played: scored by the rules, and no play, so that no average and no hole rests on them."""

from typing import Any
from uuid import uuid4

import pytest

import build
import build_cards
from build_ratings import entered, play_field
from events.entries.models import Entry
from events.log.models import Act
from events.setup.models import Event, Role
from scoring.cards.models import CardVersion
from scoring.cards.rulings import make_ruling
from scoring.penalties.absences import score_absence
from scoring.ratings.course_queries import course_reports
from scoring.ratings.propagators import Reason
from scoring.ratings.queries import PoolRating, ratings_of
from scoring.ratings.refusal import RatingRefused
from scoring.ratings.services import leave_out, let_in, take_back

BY: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
EVERY = tuple(str(label) for label in range(1, 19))


def absent(entry: Entry, *labels: str) -> None:
    round_ = entry.event.rounds.get(number=1)
    score_absence(entry=entry, round=round_, labels=labels, reason="late", submission=uuid4(), **BY)


def rule(entry: Entry, hole: str, throws: int) -> None:
    make_ruling(
        entry=entry,
        round=entry.event.rounds.get(number=1),
        hole_label=hole,
        throws=throws,
        rule="OR 801.02",
        what="courtesy",
        caller="Tester",
        confirmer="Other",
        origin="",
        **BY,
    )


def pool_of(event: Event) -> PoolRating:
    (pool,) = ratings_of(event)
    return pool


def out_of(pool: PoolRating) -> dict[str, tuple[Reason, str]]:
    return {each.name: (each.reason, each.detail) for each in pool.rating.excluded}


def test_a_round_of_absences_alone_is_not_rated_and_moves_no_average(event: Event) -> None:
    """Par and four on each hole is no round of 128 throws by a 900-rated player."""
    never = entered(event, 900)
    play_field(event, also=[(never, None)])
    before = pool_of(event).rating.ssa

    absent(never, *EVERY)

    pool = pool_of(event)
    assert pool.rating.ssa == before
    assert out_of(pool) == {never.person.name: (Reason.NOT_PLAYED, "")}
    assert never.person.name not in {each.name for each in pool.rating.ratings}
    assert len(pool.rating.ratings) == 6


def test_a_round_with_some_absences_is_rated_and_no_average_rests_on_it(event: Event) -> None:
    entries = play_field(event)
    absent(entries[0], "1", "2")

    pool = pool_of(event)

    assert out_of(pool) == {
        entries[0].person.name: (Reason.HOLES_NOT_PLAYED, "2 holes scored for an absence")
    }
    (rated,) = [each for each in pool.rating.ratings if each.name == entries[0].person.name]
    assert rated.score == 60 + 8


def test_a_score_that_was_typed_since_is_play_again(event: Event) -> None:
    entries = play_field(event)
    absent(entries[0], "1")
    round_ = event.rounds.get(number=1)
    line = build_cards.line(entries[0], [3] * 17 + [9])
    number = CardVersion.objects.get(state="current").number
    build_cards.save(round_, 1, [line], base=number, source=CardVersion.Source.DESK, reason="he was there")

    assert out_of(pool_of(event)) == {}


def test_the_director_lets_it_count_with_a_reason_and_takes_that_back(event: Event) -> None:
    entries = play_field(event)
    absent(entries[0], "1")
    facts: dict[str, Any] = {"round": event.rounds.get(number=1), "entry": entries[0], **BY}
    with pytest.raises(RatingRefused, match="Say why this player counts"):
        let_in(**facts, reason=" ")

    row = let_in(**facts, reason="one hole of 18")

    pool = pool_of(event)
    assert out_of(pool) == {}
    assert pool.rating.people == 6
    assert [(said.what, said.reason) for said in pool.said] == [
        (f"Counts with holes not played: {entries[0].person.name}, round 1.", "one hole of 18")
    ]
    assert let_in(**facts, reason="again") == row
    take_back(**facts)
    assert [reason for reason, _ in out_of(pool_of(event)).values()] == [Reason.HOLES_NOT_PLAYED]
    acts = Act.objects.filter(action__startswith="rating.").values_list("action", "reason")
    assert list(acts) == [("rating.let_in", "one hole of 18"), ("rating.left_out", "")]


def test_nobody_else_is_let_in(event: Event) -> None:
    entries = play_field(event, also=[(entered(event, None), 60)])
    with pytest.raises(RatingRefused, match="is not left out of round 1 for holes not played"):
        let_in(round=event.rounds.get(number=1), entry=entries[0], reason="why not", **BY)


def test_who_was_let_in_can_be_left_out(event: Event) -> None:
    entries = play_field(event)
    absent(entries[0], "1")
    facts: dict[str, Any] = {"round": event.rounds.get(number=1), "entry": entries[0], **BY}
    let_in(**facts, reason="one hole of 18")
    leave_out(**facts, reason="hurt after all")

    pool = pool_of(event)

    assert [said.what for said in pool.said] == [
        f"Left out of the average: {entries[0].person.name}, round 1."
    ]
    assert pool.rating.people == 5


def test_the_page_offers_it_and_says_what_was_decided(event: Event, client_as: Any) -> None:
    entries = play_field(event)
    absent(entries[0], "1")
    client = client_as(Role.DIRECTOR)
    address, decide = f"/desk/{event.slug}/ratings/", f"/desk/{event.slug}/ratings/leave-out/"
    sent = {"pool": pool_of(event).key, "let_in": "yes", "player": f"{entries[0].pk}-1"}
    page = client.get(address).content.decode()
    assert "1 hole scored for an absence" in page
    assert "Let a player count with holes not played" in page
    assert "Say why this player counts" in client.post(decide, sent).content.decode()

    client.post(decide, {**sent, "reason": "one hole of 18"})

    page = client.get(address).content.decode()
    assert f"Let {entries[0].person.name} count no longer" in page
    assert "Let a player count with holes not played" not in page


def test_holes_not_played_and_scores_changed_by_a_ruling_say_nothing_of_a_hole(event: Event) -> None:
    """Six rounds with a 3 on holes 1 and 2: an absence scored 7 and a ruling of +2 leave both averages at 3."""
    entries = play_field(event)
    absent(entries[0], "1")
    rule(entries[1], "2", 2)

    (found,) = course_reports(event)

    assert [(hole.average, hole.rounds) for hole in found.report.holes[:2]] == [(3, 5), (3, 5)]
    assert (found.report.rounds, found.report.whole, found.report.left_out) == (6, 4, 2)
    assert found.report.total_average == (66 + 70 + 72 + 75) / 4


def test_the_page_of_the_holes_says_what_it_leaves_out(event: Event, client_as: Any) -> None:
    entries = play_field(event)
    absent(entries[0], "1")
    page = client_as(Role.VIEWER).get(f"/desk/{event.slug}/ratings/holes/").content.decode()
    assert "1 score is left out: holes not played, or changed by a ruling." in page
