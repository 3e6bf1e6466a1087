"""Discs, weighing and draws against what is published.

Limits: the published list of approved discs, export of July 2026 (read as data; no model is named here), and the
technical standards as restated. Weighing: ILAC-G8:09/2019, 4.2; ISO 14253-1:2017; JCGM 106:2012; OIML R 76-1, table 6;
Non-automatic Weighing Instruments Regulations 1995, Schedule 2. Draws: RFC 3797 (June 2004); individual draft
"A Verifiable Random Selection Process" (June 2023). Detection: scipy's hypergeometric distribution.
"""

import hashlib
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from scipy.integrate import quad
from scipy.stats import hypergeom, norm

from events.bags.detection import chance_over_rounds, chance_to_be_drawn, chance_to_find, sample_for
from events.bags.limits import formula_limit, limit_of
from events.bags.rules import error_rule_of, guard_factor, mass_rule
from events.bags.spot_draw import (
    bits_needed,
    bits_of_throws,
    commitment,
    commitment_holds,
    ranking,
    revealed,
    rfc3797,
    seed_string,
)
from events.bags.weighing import (
    Decision,
    ScaleFacts,
    Zone,
    decide,
    max_error,
    probability_within,
    uncertainty,
)
from events.rulebook.loader import in_force

D = Decimal
BOOK = in_force(date(2025, 6, 14), "north_america")
MASS = mass_rule(BOOK)
ERRORS = error_rule_of(BOOK)
GUARD = guard_factor(BOOK)


# ---------------------------------------------------------------------- limits


@pytest.mark.parametrize(
    ("diameter", "limit"),
    [
        ("21.0", "174.3"),
        ("21.1", "175.1"),
        ("21.2", "176.0"),
        ("21.3", "176.8"),
        ("21.4", "177.6"),
        ("21.5", "178.5"),
        ("21.6", "179.3"),
        ("21.7", "180.1"),
        ("21.8", "180.9"),
        ("21.9", "181.8"),
        ("22.0", "182.6"),
        ("22.5", "186.8"),
        ("23.5", "195.1"),
        ("24.0", "199.2"),
        ("24.1", "200.0"),
        ("27.6", "200.0"),
    ],
)
def test_listed_maxima_are_8_3_g_per_cm_rounded_half_up_with_a_cap(diameter: str, limit: str) -> None:
    """List of approved discs, July 2026: 2,389 of 2,399 maxima."""
    assert formula_limit(D(diameter), MASS) == D(limit)


def test_a_disc_at_exactly_its_listed_maximum_is_not_over_it() -> None:
    """21.2 cm: the bare product is 175.96, the listed maximum 176.0."""
    scale = _scale("class_iii", "0.1", "176.0")
    assert decide(D("176.0"), D("176.0"), scale, GUARD).zone is Zone.NOT_PROVEN
    assert limit_of(D("176.0"), D("21.2"), MASS).differs is False


@pytest.mark.parametrize(
    ("diameter", "listed", "formula"),
    [
        ("21.0", "176.0", "174.3"),
        ("21.1", "176.0", "175.1"),
        ("21.2", "176.3", "176.0"),
        ("21.4", "177.8", "177.6"),
        ("21.4", "176.8", "177.6"),
        ("21.8", "180.8", "180.9"),
        ("23.6", "195.6", "195.9"),
        ("21.1", "174.3", "175.1"),
    ],
)
def test_slips_of_the_list_are_judged_as_listed_and_pointed_out(
    diameter: str, listed: str, formula: str
) -> None:
    limit = limit_of(D(listed), D(diameter), MASS)
    assert (limit.listed_g, limit.formula_g, limit.differs) == (D(listed), D(formula), True)


# -------------------------------------------------------------------- weighing


def _scale(kind: str, step: str, load: str) -> ScaleFacts:
    return ScaleFacts(D(step), max_error(kind, D(step), D(load), ERRORS))


@pytest.mark.parametrize(
    ("kind", "step", "u", "guard"),
    [
        ("household", "1", "0.7071", "1.163"),
        ("class_iii", "0.1", "0.1225", "0.2015"),
        ("class_ii", "0.1", "0.0707", "0.116"),
        ("checked", "0.1", "0.0707", "0.116"),
    ],
)
def test_uncertainty_of_scales_in_service(kind: str, step: str, u: str, guard: str) -> None:
    """OIML R 76-1, table 6, doubled in service; resolution d/(2√3) at zero and at load; error MPE/√3."""
    found = uncertainty(_scale(kind, step, "176"))
    assert found.quantize(D("0.0001")) == D(u)
    assert (GUARD * found).quantize(D(guard)) == D(guard)


@pytest.mark.parametrize(
    ("kind", "step", "reading", "p", "zone"),
    [
        ("household", "1", "174", 0.9977, Zone.ACCEPT),
        ("household", "1", "175", 0.9214, Zone.NOT_PROVEN),
        ("household", "1", "176", 0.5000, Zone.NOT_PROVEN),
        ("household", "1", "177", 0.0786, Zone.NOT_PROVEN),
        ("household", "1", "178", 0.0023, Zone.REJECT),
        ("class_iii", "0.1", "175.7", 0.9928, Zone.ACCEPT),
        ("class_iii", "0.1", "175.8", 0.9488, Zone.NOT_PROVEN),
        ("class_iii", "0.1", "176.0", 0.5000, Zone.NOT_PROVEN),
        ("class_iii", "0.1", "176.2", 0.0512, Zone.NOT_PROVEN),
        ("class_iii", "0.1", "176.3", 0.0072, Zone.REJECT),
    ],
)
def test_readings_at_a_limit_of_176(kind: str, step: str, reading: str, p: float, zone: Zone) -> None:
    decision = decide(D(reading), D("176.0"), _scale(kind, step, reading), GUARD)
    assert (round(decision.probability or 0, 4), decision.zone) == (p, zone)


def _edges(decision: Decision, places: str) -> tuple[Decimal, Decimal]:
    assert decision.accept_to_g is not None
    assert decision.reject_from_g is not None
    return decision.accept_to_g.quantize(D(places)), decision.reject_from_g.quantize(D(places))


def test_the_edges_at_176() -> None:
    decision = decide(D("176.0"), D("176.0"), _scale("class_iii", "0.1", "176"), GUARD)
    assert _edges(decision, "0.0001") == (D("175.7985"), D("176.2015"))


@pytest.mark.parametrize(
    ("limit", "accept", "reject"),
    [
        ("174.3", "174.098", "174.502"),
        ("175.1", "174.898", "175.302"),
        ("178.5", "178.298", "178.702"),
        ("180.9", "180.698", "181.102"),
        # 199.798 and 200.202 elsewhere; 200 g are 2,000 steps, still the middle band of class III
        ("200.0", "199.798", "200.202"),
    ],
)
def test_edges_at_other_limits(limit: str, accept: str, reject: str) -> None:
    decision = decide(D(limit), D(limit), _scale("class_iii", "0.1", limit), GUARD)
    assert _edges(decision, "0.001") == (D(accept), D(reject))


def test_edges_of_a_one_gram_scale() -> None:
    decision = decide(D("174"), D("174.3"), _scale("household", "1", "174"), GUARD)
    assert _edges(decision, "0.001") == (D("173.137"), D("175.463"))


def test_probability_of_conforming_by_jcgm_106() -> None:
    """The diode example, from memory: upper limit −5.40 V, reading −5.47 V, u = 0.05 V: Φ(1.40) = 0.919."""
    assert round(probability_within(D("-5.47"), D("-5.40"), D("0.05")), 3) == 0.919


@pytest.mark.parametrize(
    ("kind", "step", "guarded", "passed", "refused"),
    [
        ("household", "1", False, 0.0132, 0.0251),
        ("household", "1", True, 0.0431, 0.0012),
        ("class_iii", "0.1", False, 0.0030, 0.0034),
        ("class_iii", "0.1", True, 0.0119, 0.0002),
    ],
)
def test_shares_of_wrong_decisions_over_a_field(
    kind: str, step: str, guarded: bool, passed: float, refused: float
) -> None:
    """Discs assumed N(173, 2²) g; our own integration with scipy, to a hundredth of a percent."""
    u = float(uncertainty(_scale(kind, step, "176")))
    edge = 176.0 + (float(GUARD) * u if guarded else 0.0)
    field = norm(173, 2)
    over = quad(lambda m: field.pdf(m) * norm.cdf((edge - m) / u), 176, 186)[0]
    sound = quad(lambda m: field.pdf(m) * norm.sf((edge - m) / u), 160, 176, points=[175.0])[0]
    assert (over, sound) == pytest.approx((passed, refused), abs=1e-4)


# ----------------------------------------------------------------------- draws

RFC_SEED = "9319./2.5.8.10.12./9.18.26.34.41.45./"
RFC_ROWS = [
    ("990DD0A5692A029A98B5E01AA28F3459", 25, 16, 17),
    ("3691E55CB63FCC37914430B2F70B5EC6", 24, 6, 7),
    ("FE814EDF564C190AC1D25753979990FA", 23, 1, 2),
    ("1863CCACEB568C31D7DDBDF1D4E91387", 22, 13, 16),
    ("F4AB33DF4889F0AF29C513905BE1D758", 21, 20, 25),
    ("13EAEB529F61ACFB9A29D0BA3A60DE4A", 20, 18, 23),
    ("992DB77C382CA2BDB9727001F3CDCCD9", 19, 5, 8),
    ("63AB4258ECA922976811C7F55C383CE7", 18, 17, 24),
    ("DFBC5AC97CED01B3A6E348E3CC63F40D", 17, 13, 19),
    ("31CB111C4A4EBE9287CEAE16FE51B909", 16, 9, 13),
    ("07FA46C122F164C215BBC72793B189A3", 15, 14, 22),
]


def test_rfc_3797_section_6() -> None:
    seed = seed_string([[9319], [2, 5, 12, 8, 10], [9, 18, 26, 34, 41, 45]])
    assert seed == RFC_SEED
    rows = rfc3797(seed, 25, 11)
    assert [(row.digest, row.left, row.index, row.number) for row in rows] == RFC_ROWS


@pytest.mark.parametrize(
    ("pool", "bits"),
    [(20, 18), (25, 22), (30, 25), (35, 28), (40, 30), (50, 34), (60, 37), (75, 40), (100, 44), (120, 47)],
)
def test_rfc_3797_section_3_3_bits_for_ten(pool: int, bits: int) -> None:
    assert bits_needed(pool, 10) == bits


def test_sixteen_dice_hold_enough_for_eight_of_seventy_two() -> None:
    """log2 C(72, 8) = 33.5; sixteen dice in their order hold 41.4 bits."""
    assert (bits_needed(72, 8), bits_of_throws(6, 16)) == (34, 41)


OWN_SEED = "3.17.22.40.41./1.2.2.4.6.6./"


def test_one_withdrawal_changes_a_whole_rfc_draw() -> None:
    """Own vector, worked out apart from this code."""
    assert [row.number for row in rfc3797(OWN_SEED, 72, 8)] == [34, 38, 25, 18, 66, 15, 50, 54]
    assert [row.number for row in rfc3797(OWN_SEED, 71, 8)] == [30, 39, 22, 60, 53, 67, 38, 29]


SECRET = "director secret, round 2"
LABELS = [f"P{number:02}" for number in range(1, 73)]


def test_a_withdrawal_leaves_the_others_of_a_keyed_draw_where_they_are() -> None:
    """Own vector: 72 labels; with P65 withdrawn the other seven stand and P18 joins."""
    assert commitment(SECRET)[:8] == "fb5766c8"
    assert commitment(SECRET)[-6:] == "bfcb1b"
    assert (revealed(SECRET)[:8], revealed(SECRET)[-8:]) == ("cb38a281", "9f1ded8d")
    assert commitment_holds(commitment(SECRET), revealed(SECRET))
    drawn = [each.label for each in ranking(LABELS, revealed(SECRET), OWN_SEED)][:8]
    assert drawn == ["P67", "P16", "P65", "P70", "P59", "P30", "P41", "P36"]
    without = [label for label in LABELS if label != "P65"]
    again = [each.label for each in ranking(without, revealed(SECRET), OWN_SEED)][:8]
    assert again == ["P67", "P16", "P70", "P59", "P30", "P41", "P36", "P18"]


def test_the_published_example_of_the_keyed_draw() -> None:
    """Draft of June 2023: secret hashed ten times, randomness three times `1.2.3.4.5.6./`."""
    secret = "totally not a bikeshed"
    assert commitment(secret, 10)[:8] == "950ea08d"
    assert commitment(secret, 10)[-8:] == "b8f8c488"
    assert (revealed(secret, 10)[:8], revealed(secret, 10)[-6:]) == ("5346f2ef", "9f2456")
    first = ranking(["lavenderblush", "blue", "darkgoldenrod"], revealed(secret, 10), "1.2.3.4.5.6./" * 3)
    assert [(each.label, each.digest[:12]) for each in first] == [
        ("lavenderblush", "002ed527ae0a"),
        ("blue", "03f710be2b61"),
        ("darkgoldenrod", "08bab81380d7"),
    ]


def test_a_hash_anybody_can_make_by_hand_is_the_commitment() -> None:
    assert commitment("abc", 1) == hashlib.sha256(b"abc").hexdigest()


# ------------------------------------------------------------------- detection


@pytest.mark.parametrize("pool", [36, 72, 90, 120])
@pytest.mark.parametrize("offenders", [1, 3, 5])
def test_detection_agrees_with_scipy(pool: int, offenders: int) -> None:
    for sample in range(0, pool + 1, 5):
        expected = 1 - hypergeom(pool, offenders, sample).pmf(0)
        assert float(chance_to_find(pool, sample, offenders)) == pytest.approx(expected, abs=1e-12)


DETECTION = {
    (36, 1): (18, 29, 33, 35),
    (36, 3): (8, 15, 19, 23),
    (36, 5): (5, 10, 13, 16),
    (72, 1): (36, 58, 65, 69),
    (72, 3): (15, 30, 39, 45),
    (72, 5): (10, 20, 26, 32),
    (90, 1): (45, 72, 81, 86),
    (90, 3): (19, 37, 48, 57),
    (90, 5): (12, 25, 33, 40),
    (120, 1): (60, 96, 108, 114),
    (120, 3): (25, 50, 64, 76),
    (120, 5): (16, 33, 44, 54),  # 43 find 89.6 %; the approximate formula gives 43
}


@pytest.mark.parametrize(("pool", "offenders"), list(DETECTION))
def test_samples_for_a_wanted_chance(pool: int, offenders: int) -> None:
    wanted = [Fraction(percent, 100) for percent in (50, 80, 90, 95)]
    assert tuple(sample_for(pool, offenders, chance) for chance in wanted) == DETECTION[pool, offenders]


def test_eight_of_seventy_two() -> None:
    def percent(chance: Fraction) -> float:
        return round(float(chance) * 100, 1)

    assert percent(chance_to_find(72, 8, 1)) == 11.1
    assert percent(chance_to_find(72, 8, 3)) == 30.1
    assert percent(chance_to_be_drawn(72, 8, 3)) == 29.8
    assert percent(chance_to_be_drawn(72, 8, 4)) == 37.6
    assert percent(chance_over_rounds(72, 8, 1, 3)) == 29.8


def test_weighing_part_of_a_bag_finds_little() -> None:
    """20 discs with one bad: 5 weighed find it in 25 %, 10 in 50 %."""
    assert (chance_to_find(20, 5, 1), chance_to_find(20, 10, 1)) == (Fraction(1, 4), Fraction(1, 2))


def test_thirteen_of_seventy_two_as_iso_2859_would_take() -> None:
    """ISO 2859-1, level II, code E: 13 of 51 to 90; what that finds of lone offenders and of three."""
    found = [round(float(chance_to_find(72, 13, offenders)) * 100, 1) for offenders in (1, 3)]
    assert found == [18.1, 45.5]
