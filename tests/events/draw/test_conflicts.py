"""Meetings on a physical tee, over all layouts and pools."""

from events.draw.conflicts import Placed, conflicts


def test_seven_people_on_one_tee_are_found_under_different_labels() -> None:
    """36 physical holes as a 24-hole and a 12-hole layout that share tee 17 as hole 17 and hole 5S."""
    long = [Placed(str(n), "Long", str(n), n, 0, 4, tee_name=f"T{n}") for n in range(1, 25)]
    short = [Placed(f"S{n}", "Short", f"{n}S", 24 + n, 0, 3, tee_name=f"T{24 + n}") for n in range(1, 12)]
    stray = Placed("S12", "Short", "5S", 17, 0, 3, tee_name="T17")
    found = conflicts([*long, *short, stray])
    assert [(c.tee, c.players, c.intended) for c in found] == [(17, 7, False)]
    assert found[0].text == (
        "7 people on tee T17 at the same time: group 17 (Long, hole 17), group S12 (Short, hole 5S)"
    )


def test_a_tee_time_within_the_interval_meets_and_after_it_does_not() -> None:
    first = Placed("1", "Long", "1", 1, 100, 4, occupies=10)
    assert conflicts([first, Placed("2", "Short", "1S", 1, 110, 4, occupies=10)]) == []
    found = conflicts([Placed("2", "Short", "1S", 1, 109, 3, occupies=10), first])
    assert [c.text for c in found] == [
        "7 people on tee 1 within 9 minutes: group 1 (Long, hole 1), group 2 (Short, hole 1S)"
    ]


def test_tee_times_onto_a_shotgun_group() -> None:
    stands = Placed("A3", "Long", "3", 3, 60, 4)
    assert len(conflicts([stands, Placed("B1", "Short", "1S", 3, 55, 4, occupies=8)])) == 1
    assert len(conflicts([stands, Placed("B1", "Short", "1S", 3, 60, 4, occupies=8)])) == 1
    assert conflicts([stands, Placed("B1", "Short", "1S", 3, 68, 4, occupies=8)]) == []


def test_a_chain_is_one_conflict_with_all_its_groups() -> None:
    chain = [Placed(str(n), "Long", "1", 1, 5 * n, 4, occupies=8) for n in range(3)]
    found = conflicts(chain)
    assert [(len(c.placed), c.players) for c in found] == [(3, 12)]


def test_a_marked_second_group_is_intended_a_third_is_not() -> None:
    first = Placed("1", "Long", "7", 7, 0, 4)
    second = Placed("19", "Long", "7", 7, 0, 4, second=True)
    third = Placed("20", "Long", "7", 7, 0, 4, second=True)
    assert [c.intended for c in conflicts([second, first])] == [True]
    assert [c.intended for c in conflicts([first, second, third])] == [False]


def test_same_tee_at_another_time_of_day_is_no_conflict() -> None:
    assert conflicts([Placed("1", "Long", "7", 7, 0, 4), Placed("2", "Long", "7", 7, 300, 4)]) == []
