"""Who stands best by distance."""

from scoring.games.marks import Measured, in_order, leaders, places

MARKS = [
    Measured(1, 7, 340),
    Measured(2, 8, 120),
    Measured(3, 7, 120),
    Measured(4, 9, 500),
    Measured(5, 8, 90),
]


def test_each_player_stands_with_the_best_throw():
    assert [(each.entry, each.cm) for each in in_order(MARKS, longest=False)] == [(8, 90), (7, 120), (9, 500)]
    assert [(each.entry, each.cm) for each in in_order(MARKS, longest=True)] == [(9, 500), (7, 340), (8, 120)]


def test_equal_throws_share_a_place_and_all_of_them_lead():
    equal = MARKS[:4]
    assert places(in_order(equal, longest=False)) == [1, 1, 3]
    assert [each.entry for each in leaders(equal, longest=False)] == [8, 7]
    assert places([]) == []
