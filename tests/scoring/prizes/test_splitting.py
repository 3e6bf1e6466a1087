"""The purse is always paid out to the last cent: by any table, any ties, any declines."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.setup.apportioning import apportion
from scoring.prizes.curve import CurveRefused, curve
from scoring.prizes.shares import percent_of, percent_up, percent_words
from scoring.prizes.splitting import Finisher, Split, split

PURSES = st.integers(0, 5_000_000)
UNITS = st.sampled_from([1, 100, 500])
WEIGHTS = st.lists(st.fractions(0, 100, max_denominator=1000), min_size=1, max_size=40)


@st.composite
def fields(draw: st.DrawFn) -> list[Finisher]:
    """A final order with ties (1, 2, 2, 4) of which some take no prize."""
    sizes = draw(st.lists(st.integers(1, 5), max_size=20))
    passed = draw(st.lists(st.booleans(), min_size=sum(sizes), max_size=sum(sizes)))
    field, place = [], 1
    for size in sizes:
        field += [
            Finisher(place + at - 1, place, "declined" if passed[place + at - 1] else "")
            for at in range(size)
        ]
        place += size
    return field


@st.composite
def ladders(draw: st.DrawFn) -> tuple[int, ...]:
    weights = sorted(draw(WEIGHTS), reverse=True)
    if not sum(weights):
        weights[0] = Fraction(1)
    return apportion(draw(PURSES), weights)


@given(PURSES, WEIGHTS, UNITS)
def test_parts_sum_to_the_whole_and_are_close_to_it(total, weights, unit):
    if not sum(weights):
        weights[0] = Fraction(1)

    parts = apportion(total, weights, unit=unit)

    assert sum(parts) == total
    exact = [total * weight / sum(weights) for weight in weights]
    assert all(abs(part - share) < 2 * unit for part, share in zip(parts, exact, strict=True))


@given(PURSES, WEIGHTS)
def test_a_larger_weight_never_gets_less(total, weights):
    weights = sorted(weights, reverse=True)
    if not sum(weights):
        weights[0] = Fraction(1)

    parts = apportion(total, weights)

    assert list(parts) == sorted(parts, reverse=True)


def takers(field: list[Finisher]) -> list[Finisher]:
    return [each for each in field if not each.passed]


@given(ladders(), fields(), UNITS)
def test_every_cent_is_paid_carried_or_kept(ladder, field, unit):
    found = split(ladder, field, unit=unit)

    assert (
        sum(share.cents for share in found.shares) + found.carried + found.kept == found.purse == sum(ladder)
    )
    assert all(share.cents > 0 for share in found.shares)


@given(ladders(), fields(), UNITS)
def test_nothing_is_kept_while_somebody_can_take_it(ladder, field, unit):
    found = split(ladder, field, unit=unit)

    paid = ladder[: len(takers(field))]
    assert found.kept == sum(ladder) - sum(paid)


@given(ladders(), fields(), UNITS)
def test_only_cents_that_cannot_be_divided_are_carried(ladder, field, unit):
    """And only where no place is held by one player alone, or would overtake the place before it."""
    found = split(ladder, field, unit=unit)

    assert found.carried < max(1, len(takers(field)))
    first = min((each.place for each in takers(field)), default=0)
    if sum(each.place == first for each in takers(field)) == 1:
        assert found.carried == 0


@given(ladders(), fields(), UNITS)
def test_tied_players_are_equal_and_no_place_beats_a_better_one(ladder, field, unit):
    found = split(ladder, field, unit=unit)

    by_place: dict[int, set[int]] = {}
    for each in takers(field):
        share = found.of(each.key)
        by_place.setdefault(each.place, set()).add(share.cents if share else 0)
    assert all(len(amounts) == 1 for amounts in by_place.values())
    amounts = [by_place[place].pop() for place in sorted(by_place)]
    assert amounts == sorted(amounts, reverse=True)


@given(ladders(), fields(), UNITS, st.randoms())
def test_the_order_of_the_list_does_not_matter(ladder, field, unit, random):
    shuffled = list(field)
    random.shuffle(shuffled)

    def shares(found: Split) -> set[tuple[object, int]]:
        return {(share.key, share.cents) for share in found.shares}

    assert shares(split(ladder, shuffled, unit=unit)) == shares(split(ladder, field, unit=unit))


@given(ladders(), fields())
def test_whoever_takes_no_prize_gets_none(ladder, field):
    found = split(ladder, field)

    assert not {share.key for share in found.shares} & {each.key for each in field if each.passed}
    assert all(slide.why == "declined" for slide in found.slides)


def test_a_decliner_inside_a_tie_leaves_the_tie_and_moves_the_rest():
    """Three tied for 2nd, one declines: the other two share prizes 2 and 3, and the 5th gets prize 4."""
    field = [
        Finisher("a", 1),
        Finisher("b", 2),
        Finisher("c", 2, "declined"),
        Finisher("d", 2),
        Finisher("e", 5),
    ]

    found = split((4000, 3000, 2000, 1000), field)

    assert {share.key: share.cents for share in found.shares} == {"a": 4000, "b": 2500, "d": 2500, "e": 1000}
    assert [(slide.key, slide.rung) for slide in found.slides] == [("c", 2)]


def test_left_over_cents_go_to_the_best_place_held_alone():
    tied = [Finisher(key, 1) for key in "ab"] + [Finisher("c", 3)]

    found = split((101, 100, 50), tied)

    assert {share.key: (share.cents, share.extra) for share in found.shares} == {
        "a": (100, 0), "b": (100, 0), "c": (51, 1),
    }  # fmt: skip
    assert (found.left, found.carried) == (1, 0)


def test_co_winners_alone_carry_what_cannot_be_divided():
    found = split((101, 100), [Finisher("a", 1), Finisher("b", 1)])

    assert ([share.cents for share in found.shares], found.left, found.carried) == ([100, 100], 1, 1)


def test_a_prize_that_passed_everybody_is_kept():
    found = split((300, 200, 100), [Finisher("a", 1), Finisher("b", 2, "declined")])

    assert ([share.cents for share in found.shares], found.kept) == ([300], 300)
    assert found.kept_words == "passed everybody"


def test_a_prize_without_a_finisher_passed_nobody():
    found = split((300, 200, 100), [Finisher("a", 1), Finisher("b", 2)])

    assert (found.kept, found.kept_words) == (100, "no finisher for it")


def test_where_whole_units_cannot_be_paid_out_cents_are_paid():
    """Two pairs: fives would leave money that no place held alone could take."""
    field = [Finisher("a", 1), Finisher("b", 1), Finisher("c", 3), Finisher("d", 3)]

    found = split((30_700, 20_000, 15_000, 10_800), field, unit=500)

    assert (found.unit, found.carried, found.purse) == (1, 0, 76_500)
    assert [share.cents for share in found.shares] == [25_350, 25_350, 12_900, 12_900]


@pytest.mark.parametrize("ladder", [(100, 200), (100, -1)])
def test_a_ladder_that_rises_or_is_negative_is_refused(ladder):
    with pytest.raises(ValueError, match="no place gets more"):
        split(ladder, [])


@pytest.mark.parametrize(("total", "weights", "unit"), [(-1, (1,), 1), (1, (-1,), 1), (1, (1,), 0)])
def test_negative_figures_are_refused(total, weights, unit):
    with pytest.raises(ValueError, match="not negative"):
        apportion(total, weights, unit=unit)


def test_money_without_anybody_is_refused():
    with pytest.raises(ValueError, match="nobody"):
        apportion(1, (0, 0))


def test_what_is_less_than_a_unit_goes_to_the_first_part():
    assert apportion(1_250, (1, 1), unit=500) == (750, 500)


@given(st.integers(1, 3_000_000), st.integers(2, 60), st.integers(1, 99), st.integers(0, 20_000))
def test_a_curve_falls_and_sums_to_the_purse_or_is_refused(total, places, percent, last):
    first = total * percent // 100
    fits = last < first and total <= places * first and first + (places - 1) * last < total
    try:
        found = curve(total, first=first, last=last, places=places)
    except CurveRefused:
        assert not fits
        return

    assert fits
    assert sum(found.prizes) == total
    assert list(found.prizes) == sorted(found.prizes, reverse=True)
    assert all(prize >= last for prize in found.prizes)


@given(st.integers(1, 3_000_000), st.integers(2, 60), st.integers(0, 20_000))
def test_a_curve_without_a_first_prize_falls_as_one_half_third(total, places, last):
    try:
        found = curve(total, first=None, last=last, places=places)
    except CurveRefused:
        assert total <= places * last
        return

    assert sum(found.prizes) == total
    over = [prize - last for prize in found.prizes]
    assert all(abs(each * place - over[0]) <= 2 * place for place, each in enumerate(over, start=1))


@pytest.mark.parametrize(
    ("first", "last", "places", "words"),
    [
        (1_000, 1_000, 3, "raise the first or lower the last"),
        (1_000, 0, 3, "raise the first prize or pay more places"),
        (9_900, 500, 3, "lower the first or the last prize"),
        (9_900, 0, 0, "At least one place"),
        (None, 4_000, 3, "lower the last prize or pay fewer places"),
    ],
)
def test_a_curve_that_cannot_be_says_the_mend(first, last, places, words):
    with pytest.raises(CurveRefused, match=words):
        curve(10_000, first=first, last=last, places=places)


def test_one_place_takes_it_all_by_any_curve():
    assert curve(10_000, first=1, last=5_000, places=1).prizes == (10_000,)


def test_percentages():
    assert percent_up(85, 1) == 1
    assert percent_up(85, 90_000) == 76_500
    assert percent_of(1, 0) is None
    assert [percent_words(each) for each in (None, Fraction(175, 10), Fraction(55), Fraction(-1, 2))] == [
        "–", "17.5\N{NO-BREAK SPACE}%", "55\N{NO-BREAK SPACE}%", "−0.5\N{NO-BREAK SPACE}%",
    ]  # fmt: skip
