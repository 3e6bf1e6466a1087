"""Weather and lightning against what is published.

Heat index: National weather service, "Heat Index Equation" page and the heat-index chart; metpy 1.7 where it applies.
WBGT: Australian weather bureau's approximation, as quoted. Wind chill: weather service chart and equation of 2001.
Beaufort: the printed scale in knots, m/s, mph, km/h. Air: final rule 89 FR 16202 (2024). UV: public category table.
Lightning: severe-storms laboratory's 30-30 text; Mid-Event Suspension Policy of 12 Oct 2023; Competition Manual 2025,
1.07.B, D, E. Figures given to two places were computed with the published formula by another programme.
"""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import metpy.calc
import pytest
from metpy.units import units

from events.rulebook.loader import in_force
from events.safety.air import air_quality, air_rule
from events.safety.cold import cold_rule, formula, wind_chill
from events.safety.heat import heat_index, heat_index_f, heat_rule, vapour_pressure_hpa, wbgt, wbgt_rule
from events.safety.lightning import (
    Strike,
    Thunder,
    count_rule,
    flash_to_bang,
    judged,
    lead_distance,
    lightning_set,
)
from events.safety.restart import restart_clock, restart_rule, resume_calls, stop_calls
from events.safety.triggers import judge_value, limit_set
from events.safety.units import celsius, distance_m, fahrenheit, half_up, miles, speed_ms
from events.safety.uv import uv
from events.safety.wind import beaufort, wind_rule

pytestmark = pytest.mark.published

BOOK = in_force(date(2025, 6, 14), "north_america")
HEAT, WBGT, COLD = heat_rule(BOOK), wbgt_rule(BOOK), cold_rule(BOOK)
AIR, WIND = air_rule(BOOK), wind_rule(BOOK)
D = Decimal


# ---------------------------------------------------------------------- heat index


@pytest.mark.parametrize(
    ("t", "rh", "chart", "value", "branch"),
    [
        (70, 50, None, 69.05, "simple"),
        (75, 60, None, 75.02, "simple"),
        (80, 40, 80, 79.58, "simple"),
        (80, 80, 84, 84.23, "full"),
        (84, 90, 98, 98.34, "full, humid"),
        (88, 60, 95, 95.15, "full"),
        (90, 70, 106, 105.92, "full"),
        (92, 60, 105, 104.68, "full"),
        (96, 65, 121, 121.03, "full"),
        (100, 50, 118, 118.32, "full"),
        (100, 40, 109, 109.26, "full"),
        (110, 40, 136, 135.66, "full"),
        (95, 10, None, 89.45, "full, dry"),
        (100, 10, None, 94.12, "full, dry"),
        (85, 12, None, 81.70, "full, dry"),
        # The chart leaves the humid adjustment out: 87, 93, 103 and 108 there.
        (80, 100, None, 89.3, "full, humid"),
        (82, 95, None, 94.0, "full, humid"),
        (84, 100, None, 103.6, "full, humid"),
        (86, 95, None, 108.5, "full, humid"),
    ],
)
def test_heat_index(t, rh, chart, value, branch):
    """Heat Index Equation page: simple form, regression, both adjustments; chart cells where it has them."""
    found, used = heat_index_f(t, rh, HEAT)

    assert used == branch
    assert found == pytest.approx(value, abs=0.006 if round(value, 1) != value else 0.051)
    if chart is not None:
        assert half_up(found, D(1)) == chart


@pytest.mark.parametrize("rh", [5, 10, 12, 20, 40, 55, 70, 84, 90, 100])
def test_heat_index_agrees_with_metpy_from_80_f_on(rh):
    """metpy has the regression and both adjustments; below 80 °F its simple form is another one."""
    for t in range(82, 113):
        found, branch = heat_index_f(t, rh, HEAT)
        theirs = metpy.calc.heat_index(t * units.degF, rh * units.percent, mask_undefined=False)
        if branch != "simple":
            assert found == pytest.approx(theirs.to("degF").magnitude.item(), abs=0.01)


def test_heat_index_is_not_defined_outside_its_model():
    """Heat Index Equation page: not valid beyond the range of the model of 1979 (limits: our reading)."""
    assert heat_index(celsius(90), 70, HEAT).value == pytest.approx(celsius(105.92), abs=0.01)
    assert heat_index(19.9, 50, HEAT).value is None
    assert heat_index(celsius(113), 10, HEAT).value is None
    assert heat_index(celsius(110), 60, HEAT).value is None
    assert heat_index(celsius(110), 60, HEAT).at_least == pytest.approx(celsius(137))
    assert heat_index(30, 140, HEAT).value is None


@pytest.mark.parametrize(
    ("name", "f", "word"),
    [
        ("chart", 79, None),
        ("chart", 80, "caution"),
        ("chart", 89, "caution"),
        ("chart", 90, "extreme caution"),
        ("chart", 104, "extreme caution"),
        ("chart", 105, "danger"),
        ("chart", 129, "danger"),
        ("chart", 130, "extreme danger"),
        ("later", 103, "danger"),
        ("later", 124, "danger"),
        ("later", 125, "extreme danger"),
    ],
)
def test_heat_index_categories(name, f, word):
    """Heat-index chart: older print 80, 90, 105, 130; later text 80, 90, 103, 125 °F."""
    step = judge_value(celsius(f), limit_set(BOOK, "heat", name)).step

    assert (step.word if step else None) == word


# ---------------------------------------------------------------------- WBGT


@pytest.mark.parametrize(
    ("t", "rh", "hpa", "c", "f"),
    [
        (20, 50, 11.66, 19.86, 67.8),
        (25, 60, 18.95, 25.56, 78.0),
        (30, 50, 21.14, 29.26, 84.7),
        (30, 70, 29.60, 32.58, 90.6),
        (32, 60, 28.43, 33.26, 91.9),
        (35, 50, 28.01, 34.79, 94.6),
        (40, 30, 22.04, 35.28, 95.5),
    ],
)
def test_wbgt_approximation(t, rh, hpa, c, f):
    """The bureau's approximation with e in hPa: 30 °C and 50 % are 29.3, not the 21.8 of a print with kPa."""
    found = wbgt(t, rh, WBGT)

    assert vapour_pressure_hpa(t, rh, WBGT) == pytest.approx(hpa, abs=0.006)
    assert found.value == pytest.approx(c, abs=0.006)
    assert fahrenheit(found.value) == pytest.approx(f, abs=0.06)


def test_a_measured_wbgt_stands_before_the_approximation():
    """J Athl Train 2021;56(4):362-371: WBGT is to be measured on site."""
    found = wbgt(30, 50, WBGT, measured_c=27.1)

    assert (found.value, found.measured, found.formula) == (27.1, True, "WBGT, measured")


@pytest.mark.parametrize(
    ("name", "unit", "figure", "word"),
    [
        ("sports_medicine_new", "F", 82.0, None),
        ("sports_medicine_new", "F", 82.1, "limit"),
        ("sports_medicine_new", "F", 86.1, "stop"),
        ("sports_medicine_used", "F", 86.0, "care"),
        ("sports_medicine_used", "F", 90.0, "limit"),
        ("sports_medicine_used", "F", 90.1, "cancel"),
        ("high_school", "F", 81.9, None),
        ("high_school", "F", 82.0, "discretion"),
        ("high_school", "F", 87.0, "two hours"),
        ("high_school", "F", 92.0, "one hour"),
        ("high_school", "F", 92.1, "none outdoors"),
        ("children", "C", 23.9, None),
        ("children", "C", 25.9, "longer rests"),
        ("children", "C", 29.0, "those at risk stop"),
        ("children", "C", 29.1, "cancel"),
        ("japan", "C", 24.9, None),
        ("japan", "C", 28.0, "strict caution"),
        ("japan", "C", 31.0, "stop"),
    ],
)
def test_wbgt_limits(name, unit, figure, word):
    """Sports-medicine stand 2007, Table 3; US high-school table; pediatrics academy; Japanese guideline."""
    step = judge_value(celsius(figure) if unit == "F" else figure, limit_set(BOOK, "wbgt", name)).step

    assert (step.word if step else None) == word


# ---------------------------------------------------------------------- wind chill


@pytest.mark.parametrize(
    ("t", "v", "chart"),
    [
        (40, 5, 36),
        (30, 10, 21),
        (20, 20, 4),
        (10, 15, -7),
        (0, 15, -19),
        (-10, 25, -37),
        (-20, 10, -41),
        (-45, 60, -98),
    ],
)
def test_wind_chill_chart(t, v, chart):
    """Weather service chart of 2001, °F and mph."""
    assert half_up(formula(t, v, COLD.fahrenheit), D(1)) == chart


@pytest.mark.parametrize(
    ("t", "v", "value"), [(0, 10, -3.31), (-10, 20, -17.86), (-20, 30, -32.57), (-30, 40, -47.50)]
)
def test_wind_chill_metric(t, v, value):
    """Equation of 2001, °C and km/h."""
    assert wind_chill(t, v / 3.6, COLD).value == pytest.approx(value, abs=0.006)


def test_both_forms_of_the_wind_chill_agree_over_the_chart():
    """All 18 temperatures and 12 winds of the chart: the forms differ by 0.05 °C (rounded), and metpy says the same."""
    for t in range(-45, 45, 5):
        for v in range(5, 65, 5):
            ours = formula(t, v, COLD.fahrenheit)
            metric = wind_chill(celsius(t), float(speed_ms(f"{v} mph")), COLD).value
            theirs = metpy.calc.windchill(t * units.degF, v * units.mph, mask_undefined=False)
            assert metric == pytest.approx(celsius(ours), abs=0.055)
            assert ours == pytest.approx(float(theirs.to("degF").magnitude), abs=0.1)


def test_wind_chill_needs_cold_air_and_wind():
    """Defined at 50 °F (10 °C) or below, and above 3 mph."""
    assert wind_chill(10, 5, COLD).value == formula(10, 18, COLD.celsius)
    assert wind_chill(10.1, 5, COLD).value is None
    assert wind_chill(0, float(speed_ms("3 mph")), COLD).value is None
    assert wind_chill(0, float(speed_ms("3.1 mph")), COLD).value is not None


@pytest.mark.parametrize(
    ("name", "c", "word"),
    [
        ("united_states", celsius(-17), None),
        ("united_states", celsius(-18), "frostbite in 30 minutes"),
        ("canada", -9, None),
        ("canada", -27, "risk of hypothermia"),
        ("canada", -28, "frostbite in 10 to 30 minutes"),
        ("canada", -39, "frostbite in 10 to 30 minutes"),
        ("canada", -40, "frostbite in 5 to 10 minutes"),
        ("canada", -48, "frostbite in 2 to 5 minutes"),
        ("canada", -55, "frostbite in less than 2 minutes"),
    ],
)
def test_wind_chill_classes(name, c, word):
    """Chart of 2001, band of 30 minutes; Canadian hazard table."""
    step = judge_value(c, limit_set(BOOK, "cold", name)).step

    assert (step.word if step else None) == word


# ---------------------------------------------------------------------- wind

SCALE = [  # (Beaufort, knots, mph, km/h): first and last whole figure of each
    (1, (1, 3), (1, 3), (1, 5)),
    (2, (4, 6), (4, 7), (6, 11)),
    (3, (7, 10), (8, 12), (12, 19)),
    (4, (11, 16), (13, 17), (20, 28)),
    (5, (17, 21), (19, 24), (29, 38)),
    (6, (22, 27), (25, 30), (39, 49)),
    (7, (28, 33), (32, 38), (50, 61)),
    (8, (34, 40), (39, 46), (62, 74)),
    (9, (41, 47), (47, 54), (75, 88)),
    (10, (48, 55), (55, 63), (89, 102)),
    (11, (56, 63), (64, 72), (103, 117)),
    (12, (64, 90), (73, 99), (118, 180)),
]
IN_MS = [
    (0, "0", "0.2"),
    (1, "0.3", "1.5"),
    (2, "1.6", "3.3"),
    (3, "3.5", "5.4"),
    (4, "5.5", "7.9"),
    (5, "8.0", "10.7"),
    (6, "10.8", "13.8"),
    (7, "13.9", "17.1"),
    (8, "17.2", "20.7"),
    (9, "20.8", "24.4"),
    (10, "24.5", "28.4"),
    (11, "28.5", "32.6"),
    (12, "32.7", "60"),
]


@pytest.mark.parametrize(("number", "knots", "mph", "kmh"), SCALE)
def test_beaufort_by_whole_figures(number, knots, mph, kmh):
    """The printed scale; 18 and 31 mph, on which two prints differ, are left out."""
    found = [
        beaufort(float(speed_ms(f"{figure} {unit}")), WIND, unit).value
        for unit, ends in (("kn", knots), ("mph", mph), ("km/h", kmh))
        for figure in ends
    ]

    assert found == [number] * 6


@pytest.mark.parametrize(("number", "first", "last"), IN_MS)
def test_beaufort_in_metres_per_second(number, first, last):
    """The printed scale; 3.4 m/s, on which two prints differ, is left out."""
    assert [beaufort(float(each), WIND).value for each in (first, last)] == [number, number]


@pytest.mark.parametrize("unit", ["kn", "mph", "km/h"])
def test_less_than_one_is_calm(unit):
    """The printed scale: Beaufort 0 is less than 1 knot, mph or km/h."""
    assert beaufort(float(speed_ms(f"0.9 {unit}")), WIND, unit).value == 0


def test_wind_limits():
    """Common practice, no source: tents down at Beaufort 6, wooded holes closed at 8."""
    limits = limit_set(BOOK, "wind")

    words = [
        (t.step.word if t.step else None) for t in (judge_value(v, limits) for v in (10.7, 10.8, 17.1, 17.2))
    ]
    assert words == [None, "Beaufort 6", "Beaufort 6", "Beaufort 8"]


# ---------------------------------------------------------------------- air


@pytest.mark.parametrize(
    ("pm25", "index"),
    [
        ("0", 0),
        ("4.5", 25),
        ("9.0", 50),
        ("9.1", 51),
        ("12.0", 56),
        ("20", 71),
        ("35.4", 100),
        ("35.49", 100),
        ("35.5", 101),
        ("35.9", 102),
        ("45", 124),
        ("55.5", 151),
        ("90", 175),
        ("100", 182),
        ("125.5", 201),
        ("150", 225),
        ("225.5", 301),
        ("300", 449),
        ("325.4", 500),
    ],
)
def test_air_quality_index(pm25, index):
    """89 FR 16202 (6 Mar 2024), PM2.5 breakpoints; the concentration is cut to 0.1, the index rounded."""
    assert air_quality(D(pm25), AIR).value == index


def test_beyond_the_last_breakpoint_there_is_no_index():
    found = air_quality(D("325.5"), AIR)

    assert (found.value, found.at_least) == (None, 500)


@pytest.mark.parametrize(
    ("index", "word"),
    [
        (100, None),
        (101, "sensitive groups"),
        (150, "sensitive groups"),
        (151, "unhealthy"),
        (200, "unhealthy"),
        (201, "very unhealthy"),
    ],
)
def test_air_and_scheduled_sporting_events(index, word):
    """EPA-456/F-11-005 (Nov 2011), row "scheduled sporting events"."""
    step = judge_value(index, limit_set(BOOK, "air")).step

    assert (step.word if step else None) == word


# ---------------------------------------------------------------------- UV


@pytest.mark.parametrize(
    ("index", "word"),
    [
        ("0", "low"),
        ("2.4", "low"),
        ("2.5", "moderate"),
        ("5", "moderate"),
        ("5.5", "high"),
        ("7", "high"),
        ("8", "very high"),
        ("10", "very high"),
        ("10.5", "extreme"),
        ("11", "extreme"),
    ],
)
def test_uv_classes(index, word):
    """Public UV-index categories: 0–2, 3–5, 6–7, 8–10, 11 and more; whole numbers, so rounded first."""
    assert uv(D(index), limit_set(BOOK, "uv")).remarks[0] == f"Class: {word}."


# ---------------------------------------------------------------------- lightning

DAY = datetime(2025, 6, 14, tzinfo=UTC)
RULE = restart_rule(BOOK)


def at(clock: str) -> datetime:
    hour, minute = clock.split(":")
    return DAY.replace(hour=int(hour), minute=int(minute))


def strike(clock: str, far: str) -> Strike:
    return Strike(at(clock), float(distance_m(far)))


@pytest.mark.parametrize(
    ("seconds", "by_miles", "by_km", "true_km"),
    [
        (5, "1.0", "1.7", 1.72),
        (10, "2.0", "3.3", 3.43),
        (15, "3.0", "5.0", 5.15),
        (20, "4.0", "6.7", 6.86),
        (30, "6.0", "10.0", 10.29),
        (40, "8.0", "13.3", 13.7),
        (50, "10.0", "16.7", 17.2),
        (75, "15.0", "25.0", 25.7),
    ],
)
def test_flash_to_bang(seconds, by_miles, by_km, true_km):
    """30-30 text and handbook guideline 1D: 5 s a mile, about 3 s a kilometre; 343 m/s is the speed of sound."""
    found = flash_to_bang(D(seconds), count_rule(BOOK))

    assert found.value / 1000 == pytest.approx(true_km, abs=0.06)
    assert found.remarks[0] == f"By 5 s a mile {by_miles} miles; by 3 s a kilometre {by_km} km."


@pytest.mark.parametrize(
    ("key", "evidence", "counts"),
    [
        ("sport", strike("14:00", "15 mi"), True),
        ("sport", strike("14:00", "15.1 mi"), False),
        ("sport", Thunder(at("14:00"), 5), False),
        ("sport_and_thunder", Thunder(at("14:00"), 75), True),
        ("thirty_thirty", Thunder(at("14:00"), 30), True),
        ("thirty_thirty", Thunder(at("14:00"), 31), False),
        ("thirty_thirty", Thunder(at("14:00")), True),
        ("thirty_thirty", strike("14:00", "6 mi"), True),
    ],
)
def test_what_suspends(key, evidence, counts):
    """Policy of 2023: any strike within 15 miles. Slogan rule: any thunder. 30-30 text: a count of 30 s or less."""
    assert judged(evidence, lightning_set(BOOK, key)).counts == counts


STRIKES = [strike("13:58", "9 mi"), strike("14:07", "12 mi"), strike("14:21", "18 mi")]


@pytest.mark.parametrize(
    ("key", "evidence", "earliest", "warning"),
    [
        ("sport", STRIKES, "14:37", "14:35"),
        ("sport", [*STRIKES, Thunder(at("14:24"))], "14:37", "14:35"),
        ("sport_and_thunder", [*STRIKES, Thunder(at("14:24"))], "14:54", "14:52"),
        ("thirty_thirty", [Thunder(at("14:24"), 50)], "14:54", "14:52"),
        ("sport", [], "14:30", "14:28"),
        ("sport", [strike("13:58", "9 mi")], "14:30", "14:28"),
    ],
)
def test_the_restart_clock(key, evidence, earliest, warning):
    """Policy of 2023 and Competition Manual 2025, 1.07.B, D, E: the later of signal + 30 and last event + 30."""
    clock = restart_clock(at("14:00"), evidence, lightning_set(BOOK, key), RULE)

    assert (clock.earliest, clock.warning) == (at(earliest), at(warning))


def test_the_horn():
    """Competition Manual 2025, 1.07.A and E: three blasts, again after 60 s; two, and two minutes later one long."""
    calls = [(c.signal, c.due, c.blasts, c.long) for c in stop_calls(at("14:00"), RULE)]
    calls += [(c.signal, c.due, c.blasts, c.long) for c in resume_calls(at("14:54"), RULE)]

    assert calls == [
        ("stop", at("14:00"), 3, False),
        ("stop_again", at("14:00") + timedelta(seconds=60), 3, False),
        ("two_minutes", at("14:52"), 2, False),
        ("resume", at("14:54"), 1, True),
    ]


@pytest.mark.parametrize(
    ("storm", "walk", "far"),
    [("30 mph", 15, 13.5), ("30 mph", 20, 16.0), ("20 mph", 15, 11.0), ("40 mph", 10, 12.7)],
)
def test_lead_distance(storm, walk, far):
    """Common practice, no source: 6 miles and what the storm comes nearer during the walk."""
    found = lead_distance(float(distance_m("6 mi")), float(speed_ms(storm)), walk)

    assert miles(found.value) == pytest.approx(far, abs=0.04)
