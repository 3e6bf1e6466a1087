"""Cuts, ties and playoffs against the published texts, each check with its document and section.

What a document does not say is marked "own reading".
"""

from typing import Any
from uuid import uuid4

import pytest

import build
import build_cards
from events.draw.candidates import Candidate
from events.draw.ordering import by_score
from events.entries.models import Entry
from events.setup.models import Event
from scoring.penalties.services import Told as Warned
from scoring.penalties.services import write_penalty
from scoring.playoffs.calls import Told, write_call
from scoring.playoffs.co_winners import LeftStanding
from scoring.playoffs.contest import Contest, ContestWrong, play, tee_order
from scoring.playoffs.outcomes import trophy_winners
from scoring.playoffs.services import Agreed, begin, write_hole
from scoring.prizes.splitting import Finisher, split
from scoring.standings.cutting import CutRule, CutState, percent_of, tighter_than_paid
from scoring.standings.going_on import Decided, after_cuts
from scoring.standings.playing import PlayerLine, RoundLine
from scoring.standings.queries import standings
from scoring.standings.ranking import rank_division

pytestmark = pytest.mark.published

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def person(key: int, *totals: int, number: int | None = None, surname: str = "") -> Candidate:
    return Candidate(
        key=key, division="MA1", professional=False, totals=totals, member_number=number, surname=surname
    )


def line(key: str, *scores: int | None) -> PlayerLine:
    rounds = tuple(
        RoundLine(number, None if score is None else (score,), (3,))
        for number, score in enumerate(scores, start=1)
    )
    return PlayerLine(key, key, key, None, "MA1", rounds)


# Competition Manual 2025, 1.09.A: the order among equal totals, for grouping only.


def test_among_equal_totals_the_lower_latest_round_comes_first_and_so_back() -> None:
    field = [person(1, 54, 50, 52), person(2, 50, 54, 52), person(3, 52, 53, 51)]
    assert [each.key for each in by_score(field)] == [3, 1, 2]


def test_with_equal_rounds_the_lower_member_number_comes_first_and_no_number_last_by_surname() -> None:
    field = [
        person(1, 52, 52, surname="Quist"),
        person(2, 52, 52, surname="Brekke"),
        person(3, 52, 52, number=9000, surname="Zander"),
        person(4, 52, 52, number=8000, surname="Zander"),
    ]
    assert [each.key for each in by_score(field)] == [4, 3, 2, 1]


def test_the_order_for_grouping_decides_no_place() -> None:
    """1.09.B, E: equal totals share the place, however their rounds came about."""
    rows = rank_division([line("a", 50, 54), line("b", 54, 50), line("c", 60, 60)])
    assert [(each.key, each.place, each.tied) for each in rows] == [
        ("a", 1, True),
        ("b", 1, True),
        ("c", 3, False),
    ]


# Competition Manual 2025, 1.08: cuts.


def test_ties_at_the_line_are_played_off_unless_announced_otherwise() -> None:
    """1.08.B."""
    field = [line("a", 50, None), line("b", 52, None), line("c", 52, None), line("d", 60, None)]
    begun = [*field, line("e", 50, 50)]
    _, (by_playoff,) = after_cuts(begun, [CutRule(1, players=3)])
    assert (by_playoff.state, by_playoff.level, by_playoff.places) == (CutState.TIED, {"b", "c"}, 1)
    _, (all_on,) = after_cuts(begun, [CutRule(1, players=3, all_tied=True)])
    assert all_on.through == {"a", "b", "c", "e"}


@pytest.mark.parametrize(("size", "paid", "tight"), [(9, 10, True), (10, 10, False), (11, 10, False)])
def test_the_cut_is_no_tighter_than_the_paid_places(size: int, paid: int, *, tight: bool) -> None:
    """1.08.C."""
    assert tighter_than_paid(size, paid) is tight


@pytest.mark.parametrize(
    ("percent", "field", "places"),
    [
        (40, 1, 1),
        (40, 8, 4),
        (40, 21, 9),
        (40, 72, 29),
        (45, 12, 6),
        (45, 21, 10),
        (45, 72, 33),
        (25, 21, 6),
        (20, 11, 3),
    ],
)
def test_depth_is_rounded_up(percent: int, field: int, places: int) -> None:
    """5.04.B and 6.03, "at least": rounded up is the plain reading; no rounding is published."""
    assert percent_of(percent, field) == places


def test_who_declines_the_final_is_last_of_the_qualifiers() -> None:
    """1.08.D."""
    field = [line("a", 50, None), line("b", 52, 60), line("c", 53, 61), line("d", 54, None)]
    lines, _ = after_cuts(field, [CutRule(1, players=3)], Decided({}, {1: frozenset({"a"})}))
    assert [(each.key, each.place) for each in rank_division(lines)] == [
        ("b", 1),
        ("c", 2),
        ("a", 3),
        ("d", 4),
    ]


def test_who_is_cut_has_completed_all_rounds_and_what_comes_later_is_unofficial() -> None:
    """1.08.E."""
    field = [line("a", 50, 60), line("b", 54, 40), line("c", 55, None)]
    lines, _ = after_cuts(field, [CutRule(1, players=1)])
    rows = rank_division(lines)
    assert [(each.key, each.place, each.total, each.complete) for each in rows] == [
        ("a", 1, 110, True),
        ("b", 2, 54, True),
        ("c", 3, 55, True),
    ]


# Competition Manual 2025, 1.09.B to D: first place.


def test_sudden_death_the_lowest_stays_and_it_ends_with_one() -> None:
    """1.09.B.1."""
    outcome = play(Contest((1, 2, 3), holes=({1: 3, 2: 4, 3: 3}, {1: 3, 3: 2})))
    assert (outcome.through, outcome.out) == ((3,), (2, 1))


def test_an_aggregate_has_at_most_six_holes_and_goes_on_as_sudden_death() -> None:
    """1.09.B.2."""
    level = ({1: 3, 2: 3},) * 6
    assert play(Contest((1, 2), aggregate=6, holes=level)).playing == (1, 2)
    assert play(Contest((1, 2), aggregate=6, holes=(*level, {1: 4, 2: 3}))).through == (2,)
    with pytest.raises(ContestWrong):
        play(Contest((1, 2), aggregate=7))


def test_the_first_goes_last_in_sudden_death() -> None:
    """1.09.B.6."""
    level = {1: 3, 2: 3, 3: 3}
    assert [play(Contest((1, 2, 3), holes=(level,) * count)).playing for count in (0, 1, 2)] == [
        (1, 2, 3),
        (2, 3, 1),
        (3, 1, 2),
    ]


def test_an_aggregate_and_the_hole_after_it_follow_the_score_of_the_hole_before() -> None:
    """1.09.B.7-8 with Official Rules of Disc Golf 2025, 802.02: lowest first, ties keep their order."""
    first = play(Contest((1, 2, 3), aggregate=2, holes=({1: 4, 2: 3, 3: 4},)))
    assert first.playing == (2, 1, 3)
    tied = play(Contest((1, 2, 3), aggregate=2, holes=({1: 4, 2: 3, 3: 4}, {1: 3, 2: 4, 3: 4})))
    assert (tied.playing, tied.out) == ((1, 2), (3,))


def test_the_first_order_is_random_and_can_be_repeated_from_its_seed() -> None:
    """1.09.B.5."""
    assert tee_order((12, 15, 19), "20260613") == tee_order((12, 15, 19), "20260613")
    assert len({tee_order((12, 15, 19), str(seed)) for seed in range(100)}) == 6


def test_a_tie_for_first_may_stand_in_two_cases_only() -> None:
    """1.09.D."""
    assert [each.value for each in LeftStanding] == ["flex", "danger"]


def test_co_winners_and_other_ties_share_what_their_places_span() -> None:
    """1.09.D.3, E: two co-winners share first and second; three tied for third share third to fifth, next is sixth."""
    purse = (229_50, 160_65, 122_40, 91_80, 68_85)
    shares = split(purse, [Finisher(key, place) for key, place in zip("abc", (1, 1, 3), strict=True)]).shares
    assert [(each.key, each.cents, each.spans) for each in shares] == [
        ("a", 195_07, (1, 2)),
        ("b", 195_07, (1, 2)),
        ("c", 122_41, (3,)),  # with the cent that two cannot share
    ]
    rows = rank_division(
        [line(key, score) for key, score in zip("abcdef", (48, 49, 50, 50, 50, 51), strict=True)]
    )
    assert [each.place for each in rows] == [1, 2, 3, 3, 3, 6]


@pytest.fixture
def level(event: Event) -> list[Entry]:
    field = build_cards.make_field(event, 3)
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [field])
        build_cards.save(round_, 1, [build_cards.line(entry, 3) for entry in field])
    return field


def test_a_playoff_stays_out_of_the_totals_and_splits_no_other_place(
    event: Event, level: list[Entry]
) -> None:
    """1.09.B: throws kept apart; who lost shares what is left (own reading, also of who is out earlier)."""
    playoff = begin(
        division=event.divisions.get(code="MA1"),
        after_round=0,
        agreed=Agreed(seed="1"),
        actor=build.ACTOR,
        now=build.NOW,
    )
    one, two, three = (entry.pk for entry in level)
    write_hole(playoff=playoff, seen=1, index=0, throws={one: 3, two: 4, three: 3}, **FACTS)
    write_hole(playoff=playoff, seen=2, index=1, throws={one: 4, three: 3}, **FACTS)
    rows = {row.entry_id: row.standing for row in standings(event)[0].rows}
    assert [(rows[key].place, rows[key].tied, rows[key].total) for key in (three, one, two)] == [
        (1, False, 108),
        (2, True, 108),
        (2, True, 108),
    ]


def test_a_playoff_is_on_the_last_layout_from_its_first_hole(event: Event, level: list[Entry]) -> None:
    """1.09.B.3."""
    short = build.make_layout(event, "Short", pars=(3, 3, 4), tees="short")
    assert level
    build.use_layout(event.rounds.get(number=1), short)
    playoff = begin(
        division=event.divisions.get(code="MA1"),
        after_round=0,
        agreed=Agreed(seed="1"),
        actor=build.ACTOR,
        now=build.NOW,
    )
    assert (playoff.layout.name, playoff.holes[0]) == ("Upper", "1")


def test_a_trophy_is_played_for_and_the_places_and_their_prizes_stay_shared(event: Event) -> None:
    """1.09.E: below first place a final tie is official; a playoff or a contest of skill may decide the trophies."""
    field = build_cards.make_field(event, 3)
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [field])
        throws = zip(field, (3, 4, 4), strict=True)
        build_cards.save(round_, 1, [build_cards.line(entry, each) for entry, each in throws])
    before = [(row.entry_id, row.standing.place, row.standing.decided) for row in standings(event)[0].rows]
    assert [place for _, place, _ in before] == [1, 2, 2]
    playoff = begin(division=field[0].division, after_round=0, trophy=2, agreed=Agreed(seed="1"), **FACTS)
    one, two = playoff.players
    write_hole(playoff=playoff, seen=1, index=0, throws={one: 3, two: 2}, **FACTS)
    assert trophy_winners(event) == {"MA1": {2: two}}
    assert [
        (row.entry_id, row.standing.place, row.standing.decided) for row in standings(event)[0].rows
    ] == before


def test_warnings_of_the_rounds_lapse_in_a_playoff_and_its_own_count(
    event: Event, level: list[Entry]
) -> None:
    """Official Rules 2025, 801.02.C, 802.03: warned again first, then one throw each time."""
    event_round = event.rounds.get(number=2)
    slow = Warned(ways=("time",), hole="1", caller="Dov Pennock")
    write_penalty(entry=level[0], round=event_round, told=slow, submission=uuid4(), **FACTS)
    playoff = begin(division=level[0].division, after_round=0, agreed=Agreed(seed="1"), **FACTS)
    told = Told(entry=level[0].pk, rule="penalty.excessive_time", hole=1, caller="Dov Pennock")
    calls = [write_call(playoff=playoff, told=told, submission=uuid4(), **FACTS) for _ in range(3)]
    assert [call.throws for call in calls] == [0, 1, 1]
