"""The orders the draw deals by: total, published tie steps, rating, divisions."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.draw.candidates import Candidate
from events.draw.ordering import by_rating, by_score, division_key


def player(
    key: int,
    *,
    totals: tuple[int | None, ...] = (),
    number: int | None = None,
    surname: str = "",
    rating: int | None = None,
) -> Candidate:
    return Candidate(key, "MA1", False, rating, number, surname, "", totals)


def keys(line: list[Candidate]) -> list[int]:
    return [one.key for one in line]


def test_total_is_none_when_a_card_is_missing_or_no_round_is_over() -> None:
    assert player(1, totals=(54, None)).total is None
    assert player(1).total is None
    assert player(1, totals=(54, 60)).total == 114


def test_missing_card_sorts_after_the_worst_total() -> None:
    line = [player(1, totals=(None, 50)), player(2, totals=(99, 99)), player(3, totals=(50, None))]
    assert keys(by_score(line)) == [2, 1, 3]


def test_unrated_sort_last_and_equal_ratings_by_number() -> None:
    line = [player(1, number=5), player(2, rating=900, number=9), player(3, rating=900, number=8)]
    line.append(player(4, rating=950))
    assert keys(by_rating(line)) == [4, 3, 2, 1]


def test_accented_surname_sorts_among_its_plain_letters() -> None:
    line = [player(1, surname="Ezra"), player(2, surname="Élan"), player(3, surname="Edam")]
    assert keys(by_score(line)) == [3, 2, 1]


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        (player(1, totals=(50,)), player(2, totals=(51,))),
        (player(1, totals=(50,)), player(2, totals=(None,))),
        (player(1, totals=(52, 50)), player(2, totals=(50, 52))),
        (player(1, number=7), player(2)),
        (player(1, surname="Arb"), player(2, surname="Bra")),
        (player(1), player(2)),
    ],
)
def test_each_step_of_the_published_order_decides_in_turn(better: Candidate, worse: Candidate) -> None:
    assert keys(by_score([worse, better])) == [1, 2]


def test_divisions_stand_in_the_order_of_the_sheet() -> None:
    codes = ["MJ12", "ZZ", "FA1", "MA50", "MA1", "FPO", "MP40", "MPO", "FJ10"]
    ordered = ["MPO", "MP40", "FPO", "MA1", "MA50", "FA1", "MJ12", "FJ10", "ZZ"]
    assert sorted(codes, key=division_key) == ordered


figures = st.none() | st.integers(40, 42)
fields = st.lists(
    st.builds(
        lambda totals, number, surname: (totals, number, surname),
        st.tuples(figures, figures),
        st.none() | st.integers(1, 3),
        st.sampled_from(["Arb", "Bra", "Élan"]),
    ),
    max_size=12,
)


@settings(deadline=None, max_examples=60)
@given(fields, st.randoms(use_true_random=False))
def test_order_of_input_never_shows(
    rows: list[tuple[tuple[int | None, ...], int | None, str]], chance
) -> None:  # type: ignore[no-untyped-def]
    line = [player(key, totals=t, number=n, surname=s) for key, (t, n, s) in enumerate(rows)]
    mixed = list(line)
    chance.shuffle(mixed)
    assert keys(by_score(mixed)) == keys(by_score(line))
    assert keys(by_rating(mixed)) == keys(by_rating(line))
