"""Who plays on after a cut, and how the others stand."""

import random
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from scoring.standings.cutting import CutRule, CutState
from scoring.standings.first_place import Said, decide_first
from scoring.standings.going_on import Decided, after_cuts
from scoring.standings.moving import moved
from scoring.standings.playing import PlayerLine, PlayerStatus, RoundLine, RoundStatus
from scoring.standings.ranking import rank_division

PARS = (3,)
TO_COME, OVER, IN_PLAY = RoundStatus.TO_COME, RoundStatus.OVER, RoundStatus.IN_PLAY


def player(
    key: str, *scores: int | None, status: PlayerStatus = PlayerStatus.IN, last: RoundStatus = OVER
) -> PlayerLine:
    """Rounds of one hole; None: no card. The last round stands as `last`."""
    rounds = tuple(
        RoundLine(
            number, None if score is None else (score,), PARS, 0, last if number == len(scores) else OVER
        )
        for number, score in enumerate(scores, start=1)
    )
    return PlayerLine(key, f"Name {key}", key, None, "MA1", rounds, status)


def shown(
    players: list[PlayerLine], *rules: CutRule, decided: Decided | None = None
) -> list[tuple[Any, ...]]:
    lines, _ = after_cuts(players, rules, decided or Decided({}, {}))
    return [(each.key, each.place, each.tied, each.words) for each in rank_division(lines)]


TWO = CutRule(after_round=1, players=2)


def test_who_misses_the_cut_stands_after_who_plays_on_and_lacks_no_card() -> None:
    field = [player("a", 3, 9), player("b", 4, 8), player("c", 5, None), player("d", 5, None)]
    assert shown(field, TWO) == [
        ("a", 1, True, "done"),
        ("b", 1, True, "done"),
        ("c", 3, True, "missed the cut"),
        ("d", 3, True, "missed the cut"),
    ]


def test_later_throws_of_who_missed_the_cut_do_not_count() -> None:
    field = [player("a", 3, 9), player("b", 4, 8), player("c", 5, 1)]
    assert shown(field, TWO)[-1] == ("c", 3, False, "missed the cut")


def test_who_qualified_and_declines_is_last_of_the_qualifiers() -> None:
    field = [player("a", 3, None), player("b", 4, 8), player("c", 5, None)]
    decided = Decided({}, {1: frozenset({"a"})})
    assert shown(field, TWO, decided=decided) == [
        ("b", 1, False, "done"),
        ("a", 2, False, "declined to play on"),
        ("c", 3, False, "missed the cut"),
    ]


def test_a_tie_across_the_line_cuts_nobody_until_a_playoff_decides() -> None:
    field = [player(key, score, None, last=TO_COME) for key, score in zip("abc", (3, 4, 4), strict=True)]
    _, (tied,) = after_cuts(field, [TWO])
    assert (tied.state, tied.through, tied.level, tied.places) == (CutState.TIED, {"a"}, {"b", "c"}, 1)
    _, (made,) = after_cuts(field, [TWO], Decided({1: {"b": 2, "c": 1}}, {}))
    assert (made.state, made.through) == (CutState.MADE, {"a", "c"})


def test_all_who_are_tied_go_on_where_that_was_made_known() -> None:
    field = [player(key, score) for key, score in zip("abc", (3, 4, 4), strict=True)]
    field = [
        player(each.key, each.rounds[0].throws[0], None, last=TO_COME)
        for each in field
        if each.rounds[0].throws
    ]
    _, (made,) = after_cuts(field, [CutRule(1, players=2, all_tied=True)])
    assert (made.state, made.through) == (CutState.MADE, {"a", "b", "c"})


def test_a_playoff_among_other_players_decides_nothing() -> None:
    field = [player(key, score, None, last=TO_COME) for key, score in zip("abcd", (3, 4, 4, 4), strict=True)]
    _, (tied,) = after_cuts(field, [TWO], Decided({1: {"b": 1, "c": 2}}, {}))
    assert tied.state is CutState.TIED


def test_a_cut_is_projected_while_a_card_is_out() -> None:
    field = [player("a", 3, None, last=TO_COME), player("b", 4, None, last=TO_COME)]
    out = PlayerLine("c", "Name c", "c", None, "MA1", (RoundLine(1, None, PARS, 0, IN_PLAY),))
    lines, (projected,) = after_cuts([*field, out], [CutRule(1, players=1)])
    assert (projected.state, projected.through, projected.line) == (CutState.PROJECTED, {"a"}, 3)
    assert [line.made_cut for line in lines] == [None, None, None]


def test_a_missing_card_stays_out_once_the_next_round_is_begun() -> None:
    field = [player("a", 3, 3), player("b", 4, None), player("c", None, None)]
    _, (made,) = after_cuts(field, [CutRule(1, players=1)])
    assert (made.state, made.through) == (CutState.MADE, {"a"})


def test_who_leaves_after_the_cut_gives_the_place_to_nobody() -> None:
    field = [player("a", 3, None, status=PlayerStatus.DNF), player("b", 4, 3), player("c", 5, None)]
    _, (made,) = after_cuts(field, [TWO])
    assert made.through == {"a", "b"}
    assert shown(field, TWO) == [
        ("b", 1, False, "done"),
        ("c", 2, False, "missed the cut"),
        ("a", None, False, "did not finish"),
    ]


def test_who_is_disqualified_before_the_cut_takes_no_place_and_in_the_final_keeps_it() -> None:
    out = player("a", 3, None, status=PlayerStatus.DQ)
    _, (before,) = after_cuts([out, player("b", 4, 3), player("c", 5, 4)], [TWO])
    assert before.through == {"b", "c"}
    _, (after,) = after_cuts(
        [player("a", 3, 9, status=PlayerStatus.DQ), player("b", 4, 3), player("c", 5, None)], [TWO]
    )
    assert after.through == {"a", "b"}


def test_a_posted_list_stands_and_what_cards_say_against_it_is_told() -> None:
    posted = CutRule(1, players=2, posted=frozenset({"a", "c"}))
    field = [player("a", 3, 3), player("b", 4, None), player("c", 5, 4)]
    lines, (made,) = after_cuts(field, [posted])
    assert (made.through, made.differs) == ({"a", "c"}, ("b", "c"))
    assert [(line.key, line.made_cut) for line in lines] == [("a", True), ("b", False), ("c", True)]


def test_a_percentage_is_of_those_who_started_and_rounded_up() -> None:
    rule = CutRule(1, percent=45)
    assert [rule.size(field) for field in (1, 3, 5, 20, 21)] == [1, 2, 3, 9, 10]


def test_two_cuts_one_after_the_other() -> None:
    field = [
        player("a", 3, 3, 3),
        player("b", 4, 4, None),
        player("c", 4, 5, None),
        player("d", 6, None, None),
    ]
    rules = (CutRule(1, players=3), CutRule(2, players=1))
    assert [(key, place) for key, place, *_ in shown(field, *rules)] == [
        ("a", 1),
        ("b", 2),
        ("c", 3),
        ("d", 4),
    ]


@given(
    scores=st.lists(st.tuples(st.integers(2, 6), st.integers(2, 6)), min_size=2, max_size=12),
    size=st.integers(1, 12),
    seed=st.integers(0, 10**6),
)
def test_the_order_of_the_players_never_matters(scores: list[tuple[int, int]], size: int, seed: int) -> None:
    field = [player(f"{index:02}", *pair) for index, pair in enumerate(scores)]
    shuffled = list(field)
    random.Random(seed).shuffle(shuffled)
    rule = CutRule(1, players=size, all_tied=True)
    assert shown(field, rule) == shown(shuffled, rule)


@given(
    scores=st.lists(st.tuples(st.integers(2, 6), st.integers(2, 6)), min_size=2, max_size=12),
    size=st.integers(1, 12),
)
def test_nobody_who_missed_the_cut_stands_before_who_played_on(
    scores: list[tuple[int, int]], size: int
) -> None:
    field = [player(f"{index:02}", *pair) for index, pair in enumerate(scores)]
    lines, (made,) = after_cuts(field, [CutRule(1, players=size, all_tied=True)])
    places = {each.key: each.place or 0 for each in rank_division(lines)}
    on = [places[key] for key in made.through]
    off = [place for key, place in places.items() if key not in made.through]
    assert len(on) >= min(size, len(field))
    assert not off or max(on) < min(off)


def test_a_playoff_breaks_the_first_place_and_no_other() -> None:
    field = [player("a", 3), player("b", 3), player("c", 3), player("d", 4), player("e", 4)]
    said = {
        "a": Said(2, "playoff"),
        "b": Said(1, "playoff"),
        "c": Said(2, "playoff"),
        "d": Said(1, "playoff"),
    }
    rows = decide_first(rank_division(field), said)
    assert [(each.key, each.place, each.tied, each.decided) for each in rows] == [
        ("b", 1, False, "playoff"),
        ("a", 2, True, "playoff"),
        ("c", 2, True, "playoff"),
        ("d", 4, True, ""),
        ("e", 4, True, ""),
    ]


def test_co_winners_share_the_first_place() -> None:
    field = [player("a", 3), player("b", 3), player("c", 3), player("d", 4)]
    said = {"a": Said(1, "co-winners"), "b": Said(1, "co-winners"), "c": Said(2, "co-winners")}
    rows = decide_first(rank_division(field), said)
    assert [(each.key, each.place, each.tied, each.decided) for each in rows] == [
        ("a", 1, True, "co-winners"),
        ("b", 1, True, "co-winners"),
        ("c", 3, False, "playoff"),
        ("d", 4, False, ""),
    ]


def test_what_was_decided_says_nothing_once_somebody_else_is_tied_or_a_hole_is_open() -> None:
    said = {"a": Said(2, "playoff"), "b": Said(1, "playoff")}
    three = rank_division([player("a", 3), player("b", 3), player("c", 3)])
    assert decide_first(three, said) == three
    waiting = rank_division([player("a", 3, None, last=IN_PLAY), player("b", 3, 3)])
    assert decide_first(waiting, said) == waiting


def test_places_won_and_lost_since_the_round_before() -> None:
    field = [player("a", 3, 6), player("b", 4, 3), player("c", 5, 3), player("d", None, 3)]
    now = rank_division(field)
    assert moved(field, now) == {"a": -2, "b": 1, "c": 1}
    first = [player("a", 3), player("b", 4)]
    assert moved(first, rank_division(first)) == {}
