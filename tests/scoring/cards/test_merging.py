"""Bringing together what phones say: the order in which it arrives never matters."""

from hypothesis import given
from hypothesis import strategies as st

from scoring.cards.merging import Merged, Said, laid, merged

CELL = (1, "5")


def said(key: str, device: int, seq: int, throws: int | None, *over: str) -> Said:
    return Said(key, device, seq, 1, "5", throws, over)


def only(*entries: Said) -> Merged:
    return merged(entries)[CELL]


def test_the_later_of_one_phone_holds():
    found = only(said("b", 1, 2, 4), said("a", 1, 1, 3))

    assert (found.throws, found.differs, [each.key for each in found.said]) == (4, False, ["b"])


def test_two_phones_that_agree_are_one_figure():
    assert only(said("a", 1, 1, 3), said("b", 2, 1, 3)) == Merged(
        3, False, (said("a", 1, 1, 3), said("b", 2, 1, 3))
    )


def test_two_phones_that_differ_are_no_figure():
    found = only(said("a", 1, 1, 3), said("b", 2, 1, 4))

    assert (found.throws, found.differs) == (None, True)


def test_who_looked_at_both_overrules_the_other():
    found = only(said("a", 1, 1, 3), said("b", 2, 1, 4), said("c", 1, 2, 3, "b"))

    assert (found.throws, found.differs) == (3, False)


def test_an_overruled_phone_that_speaks_again_is_heard():
    found = only(said("a", 1, 1, 3), said("b", 2, 1, 4), said("c", 1, 2, 3, "b"), said("d", 2, 2, 5))

    assert (found.throws, found.differs) == (None, True)


def test_two_who_overrule_each_other_differ():
    found = only(said("a", 1, 1, 3), said("b", 2, 1, 4), said("c", 1, 2, 3, "b"), said("d", 2, 2, 4, "a"))

    assert found.differs


def test_a_figure_that_was_taken_away_says_nothing():
    assert only(said("a", 1, 1, 3), said("b", 1, 2, None)).throws is None
    assert only(said("a", 1, 1, 3), said("b", 1, 2, None), said("c", 2, 1, 4)).throws == 4


def test_a_typed_figure_stands_before_a_phones_and_blanks_are_filled():
    cells = merged([said("a", 1, 1, 3), Said("b", 1, 2, 1, "6", 4), Said("c", 2, 1, 1, "6", 5)])

    assert laid(1, ("5", "6", "7"), (2, None, None), cells).throws == (2, None, None)
    assert laid(1, ("5", "6", "7"), (2, None, None), cells).differs == ("5", "6")
    assert laid(1, ("5", "6", "7"), (3, 4, None), cells).differs == ("6",)
    assert laid(1, ("5", "6", "7"), None, cells).throws == (3, None, None)


ENTRIES = st.lists(
    st.builds(
        lambda device, seq, throws, over: Said(
            f"{device}-{seq}", device, seq, 1, "5", throws, tuple(f"{a}-{b}" for a, b in over)
        ),
        st.integers(1, 3),
        st.integers(1, 4),
        st.one_of(st.none(), st.integers(1, 9)),
        st.lists(st.tuples(st.integers(1, 3), st.integers(1, 4)), max_size=2),
    ),
    unique_by=lambda each: each.key,
    min_size=1,
    max_size=10,
)


@given(ENTRIES, st.randoms(use_true_random=False))
def test_any_order_and_any_repetition_ends_the_same(entries, random):
    again = [*entries, *random.sample(entries, random.randint(0, len(entries)))]
    random.shuffle(again)

    assert merged(again) == merged(entries)


@given(ENTRIES)
def test_a_figure_was_said_by_somebody_and_differing_figures_are_none(entries):
    found = merged(entries)[CELL]

    assert found.throws is None or found.throws in {each.throws for each in entries}
    assert not (found.differs and found.throws is not None)
    assert {each.key for each in found.said} <= {each.key for each in entries}
