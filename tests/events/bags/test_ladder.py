"""What calls come to: one penalty for one throw, the warning first, the dearest of several."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.bags.ladder import (
    ILLEGAL,
    KINDS,
    UNMARKED,
    CalledBefore,
    Earlier,
    Figures,
    propose,
)

FIGURES = Figures(illegal_throws=2, unmarked_throws=1, warnings=1)
WARNED = Earlier(UNMARKED, True, "3", 1)


def comes_to(kinds: tuple[str, ...], *earlier: Earlier) -> tuple[str, bool, int]:
    found = propose(kinds, earlier, FIGURES, hole="5", throw=2)
    return found.counted, found.warning, found.throws


def test_the_warning_comes_first_and_throws_each_time_after_it() -> None:
    assert comes_to((UNMARKED,)) == (UNMARKED, True, 0)
    assert comes_to((UNMARKED,), WARNED) == (UNMARKED, False, 1)
    assert comes_to((UNMARKED,), WARNED, Earlier(UNMARKED, False, "4", 1)) == (UNMARKED, False, 1)


def test_an_illegal_disc_has_no_warning_and_gives_none() -> None:
    assert comes_to((ILLEGAL,)) == (ILLEGAL, False, 2)
    assert comes_to((UNMARKED,), Earlier(ILLEGAL, False, "3", 1)) == (UNMARKED, True, 0)


@pytest.mark.parametrize("kinds", [(UNMARKED, ILLEGAL), (ILLEGAL, UNMARKED)])
def test_of_two_rules_in_one_throw_the_dearest_counts(kinds: tuple[str, ...]) -> None:
    found = propose(kinds, [WARNED], FIGURES, hole="5", throw=None)
    assert (found.counted, found.throws) == (ILLEGAL, 2)
    assert found.sentence == "Illegal disc thrown: 2 penalty throws. One throw has one penalty: the dearest."


@pytest.mark.parametrize(
    ("kinds", "first"), [((UNMARKED, ILLEGAL), UNMARKED), ((ILLEGAL, UNMARKED), ILLEGAL)]
)
def test_of_equal_ones_the_first_counts(kinds: tuple[str, ...], first: str) -> None:
    equal = Figures(illegal_throws=1, unmarked_throws=1, warnings=1)
    assert propose(kinds, [WARNED], equal, hole="5", throw=1).counted == first


def test_a_throw_is_called_once() -> None:
    with pytest.raises(
        CalledBefore, match=r"^Throw 1 on hole 3 was called already: one throw has one penalty.$"
    ):
        propose((ILLEGAL,), [WARNED], FIGURES, hole="3", throw=1)
    assert propose((ILLEGAL,), [WARNED], FIGURES, hole="3", throw=2).throws == 2
    unknown = Earlier(UNMARKED, True, "3", None)
    assert propose((ILLEGAL,), [unknown], FIGURES, hole="3", throw=None).throws == 2


@pytest.mark.parametrize("kinds", [(), ("dented",)])
def test_a_call_names_what_was_thrown(kinds: tuple[str, ...]) -> None:
    with pytest.raises(ValueError, match=r"^A call names an unmarked disc, an illegal disc, or both.$"):
        propose(kinds, [], FIGURES, hole="1", throw=1)


CALLS = st.lists(
    st.tuples(
        st.lists(st.sampled_from(KINDS), min_size=1, max_size=2, unique=True),
        st.sampled_from("123"),
        st.integers(1, 3),
    ),
    max_size=12,
)


@given(CALLS)
def test_each_throw_has_one_penalty_and_a_round_one_warning(calls) -> None:
    earlier: list[Earlier] = []
    for kinds, hole, throw in calls:
        try:
            found = propose(kinds, earlier, FIGURES, hole=hole, throw=throw)
        except CalledBefore:
            assert any((each.hole, each.throw) == (hole, throw) for each in earlier)
            continue
        assert found.throws == (2 if ILLEGAL in kinds else 0 if found.warning else 1)
        earlier.append(Earlier(found.counted, found.warning, hole, throw))
    assert len({(each.hole, each.throw) for each in earlier}) == len(earlier)
    assert sum(each.warning for each in earlier) == min(1, sum(each.counted == UNMARKED for each in earlier))
