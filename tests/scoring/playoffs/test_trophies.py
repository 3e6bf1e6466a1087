"""Trophies of shared places: who takes which, by playoff and by contest, while every tie stands."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import build
import build_cards
from events.entries.models import Entry
from events.log.models import Act
from events.setup.models import Event
from scoring.playoffs.claiming import PlayoffRefused
from scoring.playoffs.contests import Held, take_contest_back, write_contest
from scoring.playoffs.models import Playoff, TrophyContest
from scoring.playoffs.outcomes import trophy_winners
from scoring.playoffs.queries import final_places, open_ties
from scoring.playoffs.services import Agreed, begin, drop, write_hole
from scoring.playoffs.ties import tie_for_trophy
from scoring.playoffs.trophies import Sharing, sharing
from scoring.standings.models import Placing
from scoring.standings.queries import standings

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def play_off(event: Event, trophy: int, best: Entry) -> Playoff:
    """A playoff for the trophy that `best` wins on the first hole."""
    division = event.divisions.get(code="MA1")
    playoff = begin(division=division, after_round=0, trophy=trophy, agreed=Agreed(seed="7"), **FACTS)
    throws = {key: 2 if key == best.pk else 3 for key in playoff.players}
    write_hole(playoff=playoff, seen=1, index=0, throws=throws, **FACTS)
    return playoff


def contest(event: Event, trophy: int, winner: Entry, what: str = "three putts from 10 m") -> TrophyContest:
    held = Held(winner=winner.pk, what=what, result="3 of 3")
    return write_contest(division=event.divisions.get(code="MA1"), trophy=trophy, held=held, **FACTS)


def places(event: Event) -> list[tuple[int, int, int]]:
    return [(each.entry_id, each.place, each.tied_with) for each in final_places(event)["MA1"]]


@pytest.mark.parametrize(
    ("winners", "expected"),
    [
        ({}, Sharing({}, 2, (5, 6, 7))),
        ({2: 6}, Sharing({6: 2}, 3, (5, 7))),
        ({2: 6, 3: 7}, Sharing({6: 2, 7: 3, 5: 4})),
        ({3: 7}, Sharing({}, 2, (5, 6, 7))),  # one before it is open
        ({2: 9}, Sharing({}, 2, (5, 6, 7))),  # somebody who is not tied
        ({2: 6, 3: 6}, Sharing({6: 2}, 3, (5, 7))),  # nobody takes two
    ],
)
def test_trophies_follow_one_after_the_other(winners: dict[int, int], expected: Sharing) -> None:
    assert sharing(2, [5, 6, 7], winners) == expected


@given(
    st.integers(2, 9),
    st.lists(st.integers(1, 30), min_size=2, max_size=8, unique=True),
    st.dictionaries(st.integers(1, 18), st.integers(1, 30)),
)
def test_nobody_takes_two_and_no_trophy_is_taken_twice(
    place: int, tied: list[int], winners: dict[int, int]
) -> None:
    found = sharing(place, tied, winners)
    assert set(found.won) | set(found.left) == set(tied)
    assert not set(found.won) & set(found.left)
    assert sorted(found.won.values()) == list(range(place, place + len(found.won)))
    assert found.following == (place + len(found.won) if found.left else None)


def test_a_playoff_decides_the_trophy_and_the_tie_stands(event: Event, seconds: list[Entry]) -> None:
    before = places(event)
    assert [place for _, place, _ in before] == [1, 2, 2, 2]
    playoff = play_off(event, 2, seconds[2])
    assert trophy_winners(event) == {"MA1": {2: seconds[2].pk}}
    assert places(event) == before
    assert not Placing.objects.exists()
    assert open_ties(event) == []
    assert str(playoff) == "playoff of MA1 for the trophy of place 2"


def test_the_next_trophy_is_for_those_who_are_left(event: Event, seconds: list[Entry]) -> None:
    play_off(event, 2, seconds[2])
    playoff = play_off(event, 3, seconds[3])
    assert sorted(playoff.players) == sorted([seconds[1].pk, seconds[3].pk])
    found = sharing(2, [entry.pk for entry in seconds[1:]], trophy_winners(event)["MA1"])
    assert found == Sharing({seconds[2].pk: 2, seconds[3].pk: 3, seconds[1].pk: 4})


def test_a_contest_decides_it_as_well_and_is_kept_in_words(event: Event, seconds: list[Entry]) -> None:
    before = places(event)
    row = contest(event, 2, seconds[1])
    assert trophy_winners(event) == {"MA1": {2: seconds[1].pk}}
    assert places(event) == before
    act = Act.objects.get(action="playoff.trophy")
    assert act.detail == {
        "winner": seconds[1].pk,
        "players": sorted(entry.pk for entry in seconds[1:]),
        "what": "three putts from 10 m",
        "result": "3 of 3",
    }
    take_contest_back(contest=row, **FACTS)
    take_contest_back(contest=row, **FACTS)
    assert trophy_winners(event) == {}
    assert TrophyContest.objects.get().what == "three putts from 10 m"
    assert Act.objects.filter(action="playoff.trophy_undone").count() == 1


def test_what_cannot_be_is_refused_with_its_mend(event: Event, seconds: list[Entry]) -> None:
    with pytest.raises(PlayoffRefused, match="Nobody is tied for this trophy, or one before it is open"):
        contest(event, 3, seconds[1])
    with pytest.raises(PlayoffRefused, match="Choose who won, among those who are tied"):
        contest(event, 2, seconds[0])
    with pytest.raises(PlayoffRefused, match="Write what they did"):
        contest(event, 2, seconds[1], what=" ")
    with pytest.raises(PlayoffRefused, match="Nobody is tied here"):
        play_off(event, 4, seconds[1])
    contest(event, 2, seconds[1])
    with pytest.raises(PlayoffRefused, match="decided by a contest already: take that back first"):
        play_off(event, 2, seconds[1])
    play_off(event, 3, seconds[2])
    with pytest.raises(PlayoffRefused, match="has a playoff already"):
        contest(event, 3, seconds[2])
    event.over_at = build.NOW
    event.save()
    with pytest.raises(PlayoffRefused, match="The event is over"):
        take_contest_back(contest=TrophyContest.objects.get(), **FACTS)


def test_a_dropped_playoff_decides_no_trophy(event: Event, seconds: list[Entry]) -> None:
    playoff = play_off(event, 2, seconds[2])
    drop(playoff=playoff, reason="it was not agreed", **FACTS)
    assert trophy_winners(event) == {}
    contest(event, 2, seconds[1])


def test_a_card_that_changes_leaves_the_winner_of_another_tie_without_it(
    event: Event, seconds: list[Entry]
) -> None:
    contest(event, 2, seconds[1])
    lines = [build_cards.line(seconds[0], 3), build_cards.line(seconds[1], 5)]
    lines += [build_cards.line(entry, 4) for entry in seconds[2:]]
    build_cards.save(event.rounds.get(number=2), 1, lines, base=1, source="desk", reason="misread")
    tie = tie_for_trophy(standings(event)[0], 2, trophy_winners(event)["MA1"])
    assert tie is not None
    assert {row.entry_id for row in tie.rows} == {entry.pk for entry in seconds[2:]}


@pytest.mark.parametrize("trophies", [1, 3])
def test_reading_the_winners_costs_the_same_for_one_and_three(
    event: Event, seconds: list[Entry], django_assert_num_queries: Any, trophies: int
) -> None:
    play_off(event, 2, seconds[1])
    if trophies == 3:
        contest(event, 3, seconds[2])
        TrophyContest.objects.create(
            division=event.divisions.get(code="FA1"),
            trophy=2,
            winner=seconds[0],
            what="x",
            at=build.NOW,
            by="T",
        )
    with django_assert_num_queries(2):
        trophy_winners(event)
