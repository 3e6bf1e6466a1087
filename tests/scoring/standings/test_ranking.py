"""Places, live and final."""

import random
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.standings.playing import PlayerLine, PlayerStatus, RoundLine, RoundStatus
from scoring.standings.ranking import Standing, rank, rank_division
from scoring.standings.tallying import Group, RoundResult

PARS = (3, 3, 4)
TO_COME, IN_PLAY, OVER = RoundStatus.TO_COME, RoundStatus.IN_PLAY, RoundStatus.OVER


def played(number: int, *throws: int | None, status: RoundStatus = OVER, additional: int = 0) -> RoundLine:
    return RoundLine(number, throws or None, PARS, additional, status)


def player(
    key: str,
    *rounds: RoundLine,
    status: PlayerStatus = PlayerStatus.IN,
    division: str = "MA1",
    starts: str = "",
) -> PlayerLine:
    return PlayerLine(key, f"Name {key}", key, None, division, rounds, status, starts)


def places(standings: Sequence[Standing]) -> list[tuple[str, int | None, bool, int | None, int | None]]:
    return [(s.key, s.place, s.tied, s.total, s.to_par) for s in standings]


def test_equal_totals_share_a_place_and_the_next_place_is_skipped() -> None:
    field = [
        player("d", played(1, 4, 4, 4)),
        player("c", played(1, 3, 3, 4)),
        player("b", played(1, 4, 3, 3)),
        player("a", played(1, 3, 3, 3)),
    ]

    assert places(rank_division(field)) == [
        ("a", 1, False, 9, -1),
        ("b", 2, True, 10, 0),
        ("c", 2, True, 10, 0),
        ("d", 4, False, 12, 2),
    ]


def test_divisions_are_ranked_apart_in_the_order_of_their_codes() -> None:
    standings = rank([player("a", played(1, 3, 3, 3)), player("b", played(1, 4, 4, 4), division="FA1")])

    assert {code: places(lines) for code, lines in standings.items()} == {
        "FA1": [("b", 1, False, 12, 2)],
        "MA1": [("a", 1, False, 9, -1)],
    }
    assert list(standings) == ["FA1", "MA1"]


def test_live_players_are_compared_against_par_over_the_holes_played() -> None:
    field = [
        player("done", played(1, 3, 3, 4, status=IN_PLAY)),
        player("ahead", played(1, 2, None, None, status=IN_PLAY)),
        player("behind", played(1, 4, None, None, status=IN_PLAY)),
    ]

    standings = rank_division(field)

    assert places(standings) == [
        ("ahead", 1, False, 2, -1),
        ("done", 2, False, 10, 0),
        ("behind", 3, False, 4, 1),
    ]
    assert [(s.words, s.holes, s.complete) for s in standings] == [
        ("through 1", "1", False),
        ("done", "done", True),
        ("through 1", "1", False),
    ]


def test_before_the_first_hole_a_player_has_no_place_and_says_when_it_starts() -> None:
    field = [
        player("later", RoundLine(1, None, PARS, 0, IN_PLAY), starts="starts 09:10"),
        player("blank", played(1, None, None, None, status=TO_COME)),
        player("out", played(1, 3, 3, 6, status=IN_PLAY)),
    ]

    standings = rank_division(field)

    assert places(standings) == [
        ("out", 1, False, 12, 2),
        ("blank", None, False, None, None),
        ("later", None, False, None, None),
    ]
    assert [s.words for s in standings] == ["done", "not started", "starts 09:10"]


def test_a_later_round_not_yet_begun_keeps_the_score_so_far() -> None:
    field = [
        player("waits", played(1, 3, 3, 3), RoundLine(2, None, PARS, 0, IN_PLAY), starts="starts 13:30"),
        player("plays", played(1, 3, 3, 4), played(2, 2, 2, None, status=IN_PLAY)),
    ]

    standings = rank_division(field)

    assert places(standings) == [("plays", 1, False, 14, -2), ("waits", 2, False, 9, -1)]
    assert [s.words for s in standings] == ["through 2", "starts 13:30"]


def test_between_rounds_the_totals_stand() -> None:
    field = [
        player("a", played(1, 3, 3, 3), RoundLine(2, None, PARS, 0, TO_COME), starts="starts 13:30"),
        player("b", played(1, 3, 3, 3, additional=2), RoundLine(2, None, PARS, 0, TO_COME)),
    ]

    standings = rank_division(field)

    assert places(standings) == [("a", 1, False, 9, -1), ("b", 2, False, 11, 1)]
    assert [s.words for s in standings] == ["done", "done"]


def test_a_missing_card_is_never_zero_and_has_no_place() -> None:
    field = [
        player("none", RoundLine(1, None, PARS), played(2, 2, 2, 2, status=IN_PLAY)),
        player("hole", played(1, 2, None, 2), played(2, 2, 2, 2, status=IN_PLAY)),
        player("line", played(2, 2, 2, 2, status=IN_PLAY)),
        player("early", played(1, 2, None, 2, status=IN_PLAY), played(2, 2, 2, 2, status=IN_PLAY)),
        player("whole", played(1, 5, 5, 5), played(2, 5, 5, 5, status=IN_PLAY)),
    ]

    standings = rank_division(field)

    assert [(s.key, s.place, s.total, s.to_par, s.words) for s in standings] == [
        ("whole", 1, 30, 10, "done"),
        ("early", None, None, None, "round 1: 1 hole missing"),
        ("hole", None, None, None, "round 1: 1 hole missing"),
        ("line", None, None, None, "round 1: no card"),
        ("none", None, None, None, "round 1: no card"),
    ]
    assert standings[4].rounds == (
        RoundResult(1, None, None, 0, 3, False),
        RoundResult(2, 6, -4, 3, 3, True),
    )


def test_the_published_words_sort_last_and_who_never_played_is_left_out() -> None:
    field = [
        player("dq", played(1, 2, 2, 2), status=PlayerStatus.DQ),
        player("left", played(1, 2, None, None), status=PlayerStatus.WITHDRAWN),
        player("dnf", played(1, 2, 2, None), status=PlayerStatus.DNF),
        player("no card", RoundLine(1, None, PARS)),
        player("never", RoundLine(1, None, PARS), status=PlayerStatus.DNS),
        player("gone", RoundLine(1, None, PARS), status=PlayerStatus.WITHDRAWN),
        player("in", played(1, 5, 5, 5)),
    ]

    standings = rank_division(field)

    assert [(s.key, s.place, s.total, s.group, s.words) for s in standings] == [
        ("in", 1, 15, Group.RANKED, "done"),
        ("no card", None, None, Group.NO_CARD, "round 1: no card"),
        ("dnf", None, None, Group.DNF, "did not finish"),
        ("left", None, None, Group.DNF, "withdrew"),
        ("dq", None, None, Group.DQ, "disqualified"),
    ]


def test_a_player_or_a_round_given_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="stands twice"):
        rank([player("a"), player("a")])
    with pytest.raises(ValueError, match="Name a has a round twice"):
        rank([player("a", played(1, 3, 3, 3), played(1, 3, 3, 3))])


holes = st.none() | st.integers(1, 9)
line_of = st.none() | st.tuples(holes, holes, holes)
statuses = st.sampled_from(RoundStatus)
rounds_of = st.tuples(line_of, statuses, line_of, statuses, st.integers(0, 2))


@st.composite
def fields(draw: st.DrawFn) -> list[PlayerLine]:
    drawn = draw(st.lists(st.tuples(rounds_of, st.sampled_from(PlayerStatus)), min_size=1, max_size=8))
    return [
        player(
            str(number),
            RoundLine(1, first, PARS, extra, one),
            RoundLine(2, second, PARS, 0, two),
            status=status,
            division="MA1" if number % 3 else "FA1",
        )
        for number, ((first, one, second, two, extra), status) in enumerate(drawn)
    ]


@settings(max_examples=60)
@given(fields(), st.randoms(use_true_random=False))
def test_the_order_of_input_does_not_matter(field: list[PlayerLine], mixer: random.Random) -> None:
    mixed = [*field]
    mixer.shuffle(mixed)

    assert rank(mixed) == rank(field)


@settings(max_examples=60)
@given(fields())
def test_places_are_those_of_a_plain_recount(field: list[PlayerLine]) -> None:
    for standings in rank(field).values():
        ranked = [s for s in standings if s.place is not None]
        by_par = sorted(s.to_par for s in ranked if s.to_par is not None)
        assert [s.place for s in ranked] == [1 + by_par.index(s.to_par) for s in ranked]
        assert [s.tied for s in ranked] == [by_par.count(s.to_par) > 1 for s in ranked]
        for standing in ranked:
            counted = [r for r in standing.rounds if r.total is not None]
            assert standing.total == sum(r.total for r in counted if r.total is not None)
            assert standing.holes_played == sum(r.played for r in counted)
            # Every round before the latest one with a score is whole, so nothing missing was counted as 0.
            assert all(r.complete for r in counted[:-1])


@given(st.integers(2, 12), st.tuples(st.integers(1, 9), st.integers(1, 9), st.integers(1, 9)))
def test_all_equal_are_all_first(count: int, throws: tuple[int, int, int]) -> None:
    standings = rank_division([player(str(n), played(1, *throws)) for n in range(count)])

    assert [(s.place, s.tied) for s in standings] == [(1, True)] * count


@settings(max_examples=60)
@given(fields())
def test_nobody_is_lost_and_only_those_who_never_played_are_left_out(field: list[PlayerLine]) -> None:
    shown = {s.key for standings in rank(field).values() for s in standings}

    begun = {p.key for p in field if any(t is not None for r in p.rounds for t in r.throws or ())}
    gone = {p.key for p in field if p.status is PlayerStatus.WITHDRAWN} - begun
    never = {p.key for p in field if p.status is PlayerStatus.DNS}
    assert shown == {p.key for p in field} - gone - never
