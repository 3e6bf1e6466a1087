"""Prizes against published figures and worked examples: what each was read from stands beside it."""

from datetime import date
from fractions import Fraction

import pytest

from events.rulebook.deadlines import business_days_after, claimed_until
from events.rulebook.loader import in_force
from events.setup.apportioning import apportion
from scoring.prizes.curve import curve
from scoring.prizes.depth import places_at_least, trophies_for
from scoring.prizes.examples import EXAMPLES
from scoring.prizes.ladder import by_table
from scoring.prizes.place_tables import PlaceTable, read_table
from scoring.prizes.purse import DivisionMoney, Passed, added_shares, net_entry, pack_each, purse
from scoring.prizes.shares import percent_of
from scoring.prizes.splitting import Finisher, split

pytestmark = pytest.mark.published

DAY = date(2025, 6, 7)
HERE, THERE = in_force(DAY, "north_america"), in_force(DAY, "elsewhere")
EIGHT = (30, 21, 16, 12, 9, 6, 4, 2)  # a ball-golf club's row for eight places


def example(name: str) -> PlaceTable:
    found = EXAMPLES[name]
    read = read_table(found.data())
    assert read.problems == ()
    return PlaceTable(found.name, found.source, read.rows)


# Competition Manual 2025, 5.05 (North America) and 6.03 (elsewhere); rows of the tier tables as published.
@pytest.mark.parametrize(
    ("book", "key", "value"),
    [
        (HERE, "prize.pro_percent.major", 125),
        (HERE, "prize.pro_percent.elite", 100),
        (HERE, "prize.pro_percent.A", 100),
        (HERE, "prize.pro_percent.B", 100),
        (HERE, "prize.pro_percent.C", 85),
        (HERE, "prize.am_percent.A", 110),
        (HERE, "prize.am_percent.B", 100),
        (HERE, "prize.am_percent.C", 85),
        (HERE, "prize.am_percent.major", 125),
        (HERE, "prize.added_cents.elite", 3_000_000),
        (HERE, "prize.added_cents.A", 300_000),
        (HERE, "prize.added_cents.B", 75_000),
        (HERE, "prize.added_cents.C", 0),
        (HERE, "prize.added_percent.major", 25),
        (HERE, "prize.pack_cents.A", 2_500),
        (HERE, "prize.pack_cents.B", 1_000),
        (HERE, "prize.pro_depth_percent.C", 40),
        (HERE, "prize.am_depth_percent.C", 45),
        (THERE, "prize.pro_percent.A", 75),
        (THERE, "prize.am_percent.B", 50),
        (THERE, "prize.pro_percent.C", 33),
        (THERE, "prize.pro_depth_percent.A", 25),
        (THERE, "prize.am_depth_percent.B", 20),
        (THERE, "prize.pro_purse_cents.A", 500_000),
        (THERE, "prize.pro_purse_cents.B", 150_000),
        (THERE, "prize.pro_purse_cents.C", 25_000),
    ],
)
def test_tier_table(book, key, value):
    assert book.int(key) == value


def test_net_entry_of_a_c_tier():
    """Competition Manual 2025, 5.04.A and 5.05; the sum is worked by hand."""
    fees = [
        Passed("per-player fee", "player_fee", 300),
        Passed("greens", "greens", 500),
        Passed("toilet", "restroom", 200),
        Passed("series", "series", 200),
        Passed("TD", "td_fee", 300),
    ]

    found = net_entry(6000, fees, per_player_limit=HERE.int("tier.per_player_fee_cents.C"))

    assert (found.net, found.problems) == (4500, ())
    money = DivisionMoney(
        players=20, net=20 * found.net, share=85, minimum=HERE.int("prize.pro_percent.C"), professional=True
    )
    assert (purse(money).cents, purse(money).required) == (76_500, 76_500)


@pytest.mark.parametrize(
    ("percent", "places"),
    [
        (40, {1: 1, 2: 1, 3: 2, 5: 2, 7: 3, 8: 4, 11: 5, 20: 8, 21: 9, 72: 29}),
        (45, {3: 2, 5: 3, 10: 5, 11: 5, 12: 6, 20: 9, 21: 10, 40: 18, 72: 33}),
        (25, {5: 2, 21: 6}),
        (20, {11: 3}),
    ],
)
def test_depth(percent, places):
    """Competition Manual 2025, 5.04.B and 6.03: "at least", worked by hand and rounded up."""
    assert {players: places_at_least(players, percent) for players in places} == places


@pytest.mark.parametrize(
    ("fees", "shares"),
    [
        ((150_000, 40_000, 60_000), (45_000, 12_000, 18_000)),
        ((143_000, 39_000, 61_000), (44_136, 12_037, 18_827)),
    ],
)
def test_added_cash_by_the_fees_each_division_brought(fees, shares):
    """Competition Manual 2025, 1.10.C; 750.00 split, worked by hand."""
    codes = ("MPO", "FPO", "MP40")

    assert added_shares(75_000, dict(zip(codes, fees, strict=True))) == dict(zip(codes, shares, strict=True))


def test_largest_remainder_of_a_textbook():
    """A mathematics textbook's exercise on apportionment: quotas 78.26, 17.39, 4.35 of 100."""
    assert apportion(100, (Fraction(7826, 100), Fraction(1739, 100), Fraction(435, 100))) == (78, 18, 4)
    assert apportion(10_000, (1, 1, 1)) == (3334, 3333, 3333)


@pytest.mark.parametrize(
    ("unit", "prizes"),
    [
        (1, (22_950, 16_065, 12_240, 9_180, 6_885, 4_590, 3_060, 1_530)),
        (100, (22_900, 16_100, 12_200, 9_200, 6_900, 4_600, 3_100, 1_500)),
        (500, (23_000, 16_000, 12_500, 9_000, 7_000, 4_500, 3_000, 1_500)),
    ],
)
def test_the_ladder_of_765_in_cents_whole_units_and_fives(unit, prizes):
    """A ball-golf club's published row for eight places; the roundings are worked by hand."""
    assert apportion(76_500, EIGHT, unit=unit) == prizes
    field = [Finisher(place, place) for place in range(1, 9)]
    shares = split(apportion(76_500, EIGHT), field, unit=unit).shares
    assert tuple(share.cents for share in shares) == prizes


@pytest.mark.parametrize(
    ("places", "tied", "each", "left"),
    [
        ((1, 2, 3, 3, 3, 6, 7, 8), 3, 9_435, 0),
        ((1, 2, 3, 4, 5, 6, 7, 8, 8, 8, 8), 8, 382, 2),
        ((1, 1, 3, 4, 5, 6, 7, 8), 1, 19_507, 1),
    ],
)
def test_ties_share_the_places_spanned(places, tied, each, left):
    """Competition Manual 2025, 1.09.E on the ladder of 765.00; worked by hand."""
    ladder = apportion(76_500, EIGHT)

    found = split(ladder, [Finisher(at, place) for at, place in enumerate(places)])

    assert {share.cents for share in found.shares if share.place == tied} == {each}
    assert found.left == left
    assert sum(share.cents for share in found.shares) == 76_500


def test_a_declined_prize_moves_every_prize_below_it():
    """Competition Manual 2025, 1.10.E: five places paid, the third declines, the sixth is paid."""
    ladder = (5_000, 4_000, 3_000, 2_000, 1_000)
    field = [Finisher(place, place, "declined" if place == 3 else "") for place in range(1, 8)]

    found = split(ladder, field)

    assert {share.key: share.cents for share in found.shares} == {
        1: 5_000, 2: 4_000, 4: 3_000, 5: 2_000, 6: 1_000,
    }  # fmt: skip


def test_amateurs_of_a_b_tier():
    """Competition Manual 2025, 5.04.B, C and 5.05; 40 players, packs of 12.00, worked by hand."""
    money = DivisionMoney(
        players=40,
        net=40 * 3_000,
        share=100,
        minimum=HERE.int("prize.am_percent.B"),
        professional=False,
        packs=40 * 1_200,
    )

    assert (purse(money).cents, purse(money).required) == (72_000, 72_000)
    assert places_at_least(40, HERE.int("prize.am_depth_percent.B")) == 18


def test_shares_of_the_entry_that_a_federation_prints():
    """A national federation's table of 2018: of an entry of 40, 8 for the organiser and 10 for the pack."""
    assert percent_of(40 - 8 - 10, 40) == 55
    assert percent_of(40 - 8, 40) == 80


@pytest.mark.parametrize(
    ("name", "places", "row"),
    [
        ("sevenths", 2, "70 30"),
        ("sevenths", 5, "42 24 17 11 6"),
        ("sevenths", 8, "30 21 16 12 9 6 4 2"),
        ("sevenths", 9, "30 20 15 10 8 6 5 4 2"),
        ("thirds", 3, "50 30 20"),
        ("thirds", 6, "25 20 17.5 15 12.5 10"),
        ("thirds", 7, "23 19 16.5 14 11.5 9 7"),
        ("thirds", 10, "20 17 14 12 10 8 5.5 5 4.5 4"),
    ],
)
def test_ball_golf_tables(name, places, row):
    """A Swedish club's and an American association's published tables; every row sums to 100."""
    table = example(name)

    assert table.rows[places] == tuple(Fraction(figure) for figure in row.split())
    assert all(sum(found) == 100 for found in table.rows.values())
    assert by_table(76_500, table, places).percents == table.rows[places]


@pytest.mark.parametrize(
    ("total", "first", "last", "places", "alpha", "prizes"),
    [
        (
            76_500, 19_125, 4_500, 8, "0.97722",
            (19_125, 11_929, 9_498, 8_274, 7_534, 7_039, 6_684, 6_417),
        ),
        (
            100_000, 25_000, 2_000, 10, "0.82374",
            (25_000, 14_994, 11_305, 9_342, 8_109, 7_257, 6_630, 6_148, 5_764, 5_451),
        ),
    ],
)  # fmt: skip
def test_curve(total, first, last, places, alpha, prizes):
    """The formula of a paper on tournament payouts (arXiv:1601.04203, from memory), worked apart from this code."""
    found = curve(total, first=first, last=last, places=places)

    assert (str(found.alpha), found.prizes) == (alpha, prizes)


def test_trophies_and_packs_of_true_amateurs():
    """Competition Manual 2025, 2.06 with its example of six players and 240."""
    rows = HERE.rows("prize.trophies")

    assert [trophies_for(players, rows) for players in (0, 1, 2, 4, 5, 12, 13, 90)] == [
        0, 0, 1, 1, 2, 2, 3, 3,
    ]  # fmt: skip
    assert pack_each(24_000, 6) == 4_000


def test_deadlines():
    """Competition Manual 2025, 1.10.G: two business days, 30 days; counted on a calendar."""
    sunday = date(2026, 6, 14)

    assert business_days_after(sunday, HERE.int("prize.electronic_days")) == date(2026, 6, 16)
    assert business_days_after(date(2026, 6, 12), 2) == date(2026, 6, 16)
    assert claimed_until(sunday, HERE.int("prize.claimed_days")) == date(2026, 7, 14)
