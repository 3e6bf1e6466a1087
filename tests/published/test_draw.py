"""The draw against the worked examples of the Competition Manual, 2025 edition.

Values were read in a full-text translation of the 2025 edition; the tie order also in the English text of
1.09.A (2024-12-31).
"""

from datetime import date

import pytest

from events.draw.across import draw_random_across
from events.draw.candidates import Candidate
from events.draw.grouping import draw_by_rating, draw_by_score, draw_random
from events.draw.ordering import by_score
from events.draw.pools import Pool, split_into_pools
from events.draw.sizes import sizes
from events.draw.starts import (
    Capacity,
    TeePosition,
    TooManyGroups,
    capacity,
    place_shotgun,
    place_tee_times,
)
from events.rulebook.loader import in_force

pytestmark = pytest.mark.published

HOLES = [TeePosition(1, n, str(n), n, 3) for n in range(1, 19)]


def ranked(count: int) -> list[Candidate]:
    """Players whose key is their rank by rating and by score."""
    return [
        Candidate(key, "MPO", True, 1100 - key, key, f"S{key}", totals=(50 + key,), layout=1)
        for key in range(1, count + 1)
    ]


def keys(groups: list[tuple[Candidate, ...]]) -> list[list[int]]:
    return [[player.key for player in members] for members in groups]


def test_rating_deal_across_three_holes() -> None:
    """Competition Manual 2025, 1.06.C.2: 12 players on 3 holes."""
    draw = draw_by_rating(ranked(12), 3)
    assert keys([group.members for group in draw.groups]) == [[1, 4, 7, 10], [2, 5, 8, 11], [3, 6, 9, 12]]


def test_rating_deal_stands_on_the_holes_in_order() -> None:
    """Competition Manual 2025, 1.06.C.2: the first hole holds ranks 1, 4, 7, 10."""
    draw = draw_by_rating(list(reversed(ranked(12))))
    starts = place_shotgun([group.layout for group in draw.groups], HOLES[:3])
    on_hole = {start.position: draw.groups[start.group_index].members for start in starts}
    assert keys([on_hole[1], on_hole[2], on_hole[3]]) == [[1, 4, 7, 10], [2, 5, 8, 11], [3, 6, 9, 12]]


def test_pools_of_72_highest_and_72_lowest_ratings() -> None:
    """Competition Manual 2025, 1.06.C.3: 144 players, then random inside each pool."""
    split = split_into_pools(reversed(ranked(144)), [Pool(1, 72), Pool(2, 72)])
    assert keys([split.members[1], split.members[2]]) == [list(range(1, 73)), list(range(73, 145))]
    draw = draw_random(split.members[1], 1)
    assert sorted(player.key for group in draw.groups for player in group.members) == list(range(1, 73))
    assert [len(group.members) for group in draw.groups] == [4] * 18


@pytest.mark.parametrize(
    ("first", "second"),
    [
        # lower total
        (Candidate(1, "MPO", True, totals=(60, 55)), Candidate(2, "MPO", True, totals=(50, 66))),
        # equal totals: lower in the most recent round
        (Candidate(1, "MPO", True, totals=(60, 50, 52)), Candidate(2, "MPO", True, totals=(50, 59, 53))),
        # equal latest rounds: the round before
        (Candidate(1, "MPO", True, totals=(60, 50, 52)), Candidate(2, "MPO", True, totals=(59, 51, 52))),
        # all equal: lower member number, whatever the surname
        (
            Candidate(1, "MPO", True, member_number=99, surname="Zorn", totals=(54,)),
            Candidate(2, "MPO", True, member_number=100, surname="Arb", totals=(54,)),
        ),
        # no number loses
        (
            Candidate(1, "MPO", True, member_number=999999, surname="Zorn", totals=(54,)),
            Candidate(2, "MPO", True, surname="Arb", totals=(54,)),
        ),
        # both without: surname alphabetical
        (
            Candidate(1, "MPO", True, surname="Arb", totals=(54,)),
            Candidate(2, "MPO", True, surname="Zorn", totals=(54,)),
        ),
    ],
)
def test_tie_order_for_grouping(first: Candidate, second: Candidate) -> None:
    """Competition Manual 2025, 1.09.A, step by step."""
    assert by_score([second, first]) == [first, second]


def test_best_group_on_the_lowest_hole_of_a_shotgun() -> None:
    """Competition Manual 2025, 1.06.E."""
    draw = draw_by_score(ranked(72))
    starts = place_shotgun([group.layout for group in draw.groups], HOLES)
    assert [(start.position, draw.groups[start.group_index].members[0].key) for start in starts] == [
        (hole, 4 * hole - 3) for hole in range(1, 19)
    ]


def test_best_group_last_with_tee_times() -> None:
    """Competition Manual 2025, 1.06.E."""
    draw = draw_by_score(ranked(12))
    starts = place_tee_times([1, 1, 1], HOLES, interval=10, best_last=True)
    assert [(start.minute_offset, draw.groups[start.group_index].members[0].key) for start in starts] == [
        (20, 1),
        (10, 5),
        (0, 9),
    ]


def test_groups_of_three_to_five_aiming_at_four() -> None:
    """Competition Manual 2025, 1.06.G, H; how to choose between legal sizes is common practice, no source."""
    assert {n: sizes(n) for n in (3, 4, 5, 6, 7, 8, 9)} == {
        3: [3],
        4: [4],
        5: [5],
        6: [3, 3],
        7: [4, 3],
        8: [4, 4],
        9: [5, 4],
    }


def test_eighteen_holes_hold_72_in_fours_and_90_in_fives() -> None:
    """Derived from Competition Manual 2025, 1.06.G, H, I: one group per hole of a shotgun."""
    assert capacity(HOLES, size=4) == Capacity(18, 72)
    assert capacity(HOLES, size=5) == Capacity(18, 90)
    draw = draw_random(ranked(90), 1, places={1: 18})
    assert [len(group.members) for group in draw.groups] == [5] * 18
    with pytest.raises(TooManyGroups):
        place_shotgun([1] * 19, HOLES)


def test_a_second_group_tees_off_second_on_a_short_hole_after_a_long_one() -> None:
    """Competition Manual 2025, 1.06.I."""
    lengths = {5: 250, 6: 70}
    tees = [TeePosition(1, n, str(n), n, 3, lengths.get(n, 120)) for n in range(1, 19)]
    starts = place_shotgun([1] * 19, tees, second_allowed=True)
    assert [(start.position, start.second) for start in starts if start.second] == [(6, True)]


def test_the_first_round_of_a_smaller_event_abroad_may_mix_divisions() -> None:
    """Competition Manual 2025, 6.03.E: B and C, outside the United States and Canada, from 2 rounds on; the second
    round by score across divisions from 3 rounds on."""
    abroad = in_force(date(2025, 6, 1), "elsewhere")
    assert abroad.words("group.mixed_draw_tiers") == ("B", "C")
    assert [abroad.int(f"group.mixed_draw_rounds.round_{number}") for number in (1, 2)] == [2, 3]
    assert not in_force(date(2025, 6, 1), "north_america").has("group.mixed_draw_tiers")
    players = [*ranked(4), *(Candidate(key, "MA1", False, layout=1) for key in range(5, 9))]
    assert {group.divisions for group in draw_random_across(players, 1).groups} == {("MPO", "MA1")}
