"""From fees to the purse, and who takes a prize."""

from datetime import date
from fractions import Fraction

import pytest

from events.rulebook.deadlines import business_days_after
from events.rulebook.divisions import division
from events.rulebook.loader import in_force
from scoring.prizes.ladder import NoLadder, by_curve, by_table
from scoring.prizes.place_tables import PlaceTable
from scoring.prizes.purse import DivisionMoney, Passed, added_shares, net_entry, pack_each, purse
from scoring.prizes.taking import Answer, DivisionFacts, Kind, PlayerFacts, taking
from scoring.prizes.working import Choices, Working, fee_lines, work_out

HERE = in_force(date(2025, 6, 7), "north_america")
THERE = in_force(date(2025, 6, 7), "elsewhere")
TABLE = PlaceTable("own", "typed", {1: (Fraction(100),), 2: (Fraction(60), Fraction(40))})


def test_a_fee_of_another_kind_stays_in_the_net_entry_and_is_said():
    found = net_entry(
        4500, [Passed("ace pot", "extra", 500), Passed("greens", "greens", 200)], per_player_limit=300
    )

    assert (found.net, [fee.name for fee in found.passed]) == (4300, ["greens"])
    assert found.problems == ("ace pot may not pass through the entry fee: it stays in the net entry.",)


def test_a_td_fee_passes_up_to_the_per_player_fee():
    found = net_entry(4500, [Passed("TD fee", "td_fee", 500)], per_player_limit=300)

    assert found.net == 4200
    assert "above the tier's per-player fee of 3.00" in found.problems[0]
    assert net_entry(4500, [Passed("TD fee", "td_fee", 500)], per_player_limit=None).net == 4000


def test_whoever_plays_free_has_no_negative_entry():
    assert net_entry(0, [Passed("greens", "greens", 200)], per_player_limit=300).net == 0


def test_added_cash_without_fees_goes_to_nobody():
    assert added_shares(75_000, {"MPO": 0, "FPO": 0}) == {"MPO": 0, "FPO": 0}
    assert added_shares(75_000, {}) == {}


def money(**facts):
    return DivisionMoney(
        **{"players": 10, "net": 45_000, "share": 85, "minimum": 85, "professional": True} | facts
    )


@pytest.mark.parametrize(
    ("facts", "cents", "short"),
    [
        ({}, 38_250, 0),
        ({"added": 10_000, "extra": 500}, 48_750, 0),
        ({"packs": 9_000}, 38_250, 0),
        ({"packs": 9_000, "professional": False}, 29_250, 0),
        ({"packs": 90_000, "professional": False}, 0, 0),
        ({"share": 80}, 36_000, 2_250),
        ({"fixed": 30_000, "added": 10_000}, 30_000, 8_250),
        ({"minimum": None}, 38_250, 0),
        ({"players": 0, "net": 0}, 0, 0),
    ],
)
def test_the_purse_and_what_is_missing_to_the_least(facts, cents, short):
    found = purse(money(**facts))

    assert (found.cents, found.short) == (cents, short)


def test_packs_that_no_player_gets_cost_nothing():
    assert pack_each(24_000, 0) == 0


def worked(code="MPO", *, choices=None, fees=(4_500,) * 20, tier="C", added=0, book=HERE) -> Working:
    passed = (Passed("per-player fee", "player_fee", 300),)
    return work_out(
        division(book, code),
        choices or Choices(method="curve"),
        fee_lines(list(fees), passed, 300),
        tier=tier,
        added=added,
        book=book,
    )


def test_a_division_follows_its_tier_unless_told_otherwise():
    found = worked()

    assert (found.gross, found.passed, found.money.net) == (90_000, 6_000, 84_000)
    assert (found.money.share, found.places, found.purse.cents) == (85, 8, 71_400)
    assert sum(found.ladder.prizes) == 71_400
    assert found.warnings == ()


@pytest.mark.parametrize(
    ("code", "tier", "book", "share", "places"),
    [
        ("MPO", "B", HERE, 100, 8),
        ("MPO", "major", HERE, 100, 8),
        ("MA1", "A", HERE, 110, 9),
        ("MA1", "C", HERE, 85, 9),
        ("MPO", "A", THERE, 75, 5),
        ("MPO", "B", THERE, 50, 4),
        ("MA1", "C", THERE, 33, 4),
        ("MPO", "league", HERE, 100, 0),
    ],
)
def test_shares_and_depth_by_tier_class_and_region(code, tier, book, share, places):
    found = worked(code, tier=tier, book=book)

    assert (found.money.share, found.places) == (share, places)


def test_choices_below_the_rules_are_taken_and_said():
    found = worked(choices=Choices(method="curve", share=50, places=3))

    assert (found.places, found.least_places) == (3, 8)
    assert [words.partition(" below ")[0] for words in found.warnings] == [
        "The purse is 294.00",
        "3 places are paid; 40 % are 8 (Competition Manual 2025, 5.04.B).",
    ]


def test_packs_below_the_tier_are_said():
    assert "Each pack is to be worth 10.00" in worked("MA1", tier="B").warnings[0]
    assert worked("MA1", tier="B", choices=Choices(method="curve", pack=1_000)).warnings == ()


def test_true_amateurs_have_trophies_only():
    found = worked("MA1", choices=Choices(true_amateur=True))

    assert (found.trophies, found.purse.cents, found.places, found.ladder.prizes) == (3, 0, 0, ())
    assert found.problem == ""
    assert worked("MPO", choices=Choices(true_amateur=True, method="curve")).purse.cents > 0


def test_the_packs_of_true_amateurs_carry_the_whole_value():
    """85 % of 840.00 is 714.00: 35.70 for each of twenty."""
    short = worked("MA1", choices=Choices(true_amateur=True, pack=3_000))

    assert "worth 714.00 at retail, 35.70 each" in short.warnings[0]
    assert worked("MA1", choices=Choices(true_amateur=True, pack=3_570)).warnings == ()


def test_amateurs_of_a_major_have_packs_and_trophies_only():
    assert "packs and trophies only at this tier" in worked("MA1", tier="major").warnings[0]
    assert "packs and trophies" not in " ".join(worked("MPO", tier="major").warnings)


def test_trophies_alone_are_not_for_professionals():
    assert "the purse is paid" in worked(choices=Choices(method="curve", true_amateur=True)).warnings[0]


def test_a_division_without_a_way_says_so():
    found = worked(choices=Choices())

    assert (found.ladder, found.problem) == (None, "Choose a table or a curve: none is chosen.")
    assert worked(choices=Choices(), fees=(4_500,)).ladder.prizes == (3_570,)
    assert worked(choices=Choices(), fees=()).problem == ""


def test_a_table_that_is_too_short_says_the_mend():
    assert (
        "rows for up to 2 places, and 8 are paid"
        in worked(choices=Choices(method="table", table=TABLE)).problem
    )
    with pytest.raises(NoLadder, match="pay another number of places"):
        by_table(10_000, TABLE, 3)
    assert by_table(10_000, TABLE, 2).prizes == (6_000, 4_000)
    assert by_table(10_000, TABLE, 0).prizes == ()


def test_a_curve_without_money_pays_nothing_and_one_that_cannot_be_says_the_mend():
    assert by_curve(0, first_percent=Fraction(30), last=0, places=3).prizes == (0, 0, 0)
    assert by_curve(100, first_percent=Fraction(30), last=0, places=0).prizes == ()
    assert by_curve(11_000, first_percent=None, last=0, places=3).prizes == (6_000, 3_000, 2_000)
    assert "α = 1" in by_curve(11_000, first_percent=None, last=0, places=3).words
    with pytest.raises(NoLadder, match="raise the first prize or pay more places"):
        by_curve(10_000, first_percent=Fraction(30), last=0, places=2)


PRO_B = DivisionFacts(professional=True, league=False, merchandise_for_amateurs=True)
PRO_A = DivisionFacts(professional=True, league=False, merchandise_for_amateurs=False)
LEAGUE = DivisionFacts(professional=True, league=True, merchandise_for_amateurs=True)
AM = DivisionFacts(professional=False, league=False, merchandise_for_amateurs=True)
AM_LEAGUE = DivisionFacts(professional=False, league=True, merchandise_for_amateurs=True)


@pytest.mark.parametrize(
    ("number", "amateur", "answer", "rules", "kind", "passed"),
    [
        (1, False, "", PRO_B, Kind.CASH, ""),
        (1, None, "", PRO_B, Kind.CASH, ""),
        (1, False, "voucher", PRO_B, Kind.VOUCHER, ""),
        (1, False, "declined", PRO_B, Kind.TROPHY, "declined"),
        (1, False, "no_cash", PRO_B, Kind.TROPHY, "declined cash: trophy only"),
        (None, False, "", PRO_B, Kind.TROPHY, "no member number: trophy only"),
        (None, False, "cash", PRO_B, Kind.TROPHY, "no member number: trophy only"),
        (None, False, "", LEAGUE, Kind.CASH, ""),
        (1, True, "", PRO_B, Kind.TROPHY, "amateur: trophy only"),
        (1, True, "", LEAGUE, Kind.CASH, ""),
        (1, True, "cash", PRO_B, Kind.CASH, ""),
        (1, True, "merchandise", PRO_B, Kind.MERCHANDISE, ""),
        (1, True, "merchandise", PRO_A, Kind.TROPHY, "amateur: trophy only"),
        (1, True, "voucher", PRO_A, Kind.TROPHY, "amateur: trophy only"),
        (None, True, "", AM, Kind.MERCHANDISE, ""),
        (None, True, "voucher", AM, Kind.VOUCHER, ""),
        (1, True, "cash", AM, Kind.MERCHANDISE, ""),
        (1, True, "cash", AM_LEAGUE, Kind.CASH, ""),
        (1, True, "declined", AM, Kind.TROPHY, "declined"),
    ],
)
def test_who_takes_what(number, amateur, answer, rules, kind, passed):
    found = taking(PlayerFacts(number, amateur, Answer(answer)), rules)

    assert (found.kind, found.passed) == (kind, passed)


def test_an_amateur_among_professionals_is_asked_by_tier():
    amateur = PlayerFacts(1, True)

    assert "or give merchandise" in taking(amateur, PRO_B).asked
    assert taking(amateur, PRO_A).asked.endswith("which makes a professional")
    assert taking(PlayerFacts(1, True, Answer.NO_CASH), PRO_A).asked == ""


def test_business_days_leave_the_weekend_out():
    assert business_days_after(date(2026, 6, 14), 0) == date(2026, 6, 14)
    assert business_days_after(date(2026, 6, 13), 1) == date(2026, 6, 15)
