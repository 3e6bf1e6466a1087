"""Sets of limits side by side, the sentence of a trigger, and figures that a formula does not have."""

from datetime import date
from decimal import Decimal

import pytest

from events.rulebook.loader import in_force
from events.safety.air import air_quality, air_rule
from events.safety.cold import cold_rule, wind_chill
from events.safety.heat import heat_index, heat_rule, wbgt, wbgt_rule
from events.safety.triggers import FIRST, KINDS, UnknownSet, judge, judge_value, limit_set, set_keys
from events.safety.units import celsius
from events.safety.wind import beaufort, wind_rule

BOOK = in_force(date(2026, 6, 14), "north_america")


def test_the_sets_that_an_event_can_choose_of():
    assert {kind: set_keys(BOOK, kind) for kind in (*KINDS, "lightning")} == {
        "heat": ("chart", "later"),
        "wbgt": ("children", "high_school", "japan", "sports_medicine_new", "sports_medicine_used"),
        "cold": ("canada", "united_states"),
        "wind": ("practice",),
        "air": ("schools",),
        "uv": ("index",),
        "lightning": ("sport", "sport_and_thunder", "thirty_thirty"),
    }


@pytest.mark.parametrize("kind", KINDS)
def test_every_set_is_in_order_and_says_where_it_stands(kind):
    assert limit_set(BOOK, kind).key == FIRST[kind]
    for key in set_keys(BOOK, kind):
        limits = limit_set(BOOK, kind, key)
        starts = [step.start for step in limits.steps]
        assert starts == sorted(starts, reverse=limits.downward)
        assert limits.source
        assert all("safe" not in f"{limits.title} {step.word} {step.means}" for step in limits.steps)


def test_an_unknown_set_is_named_with_those_that_there_are():
    with pytest.raises(UnknownSet, match="heat: no set is called 'mine'; there are chart, later"):
        limit_set(BOOK, "heat", "mine")


def test_the_sentence_of_a_trigger_names_figure_class_and_set():
    trigger = judge(heat_index(celsius(100), 50, heat_rule(BOOK)), limit_set(BOOK, "heat", "chart"))

    assert trigger.met
    assert trigger.sentence == (
        "Trigger met: 118 °F is “danger” (Heat index, older chart): consider suspending; shorter play, shade and water"
        " at every wait."
    )


def test_no_trigger_met_says_that_and_where_the_set_begins():
    warm = judge_value(20.0, limit_set(BOOK, "wbgt", "japan"))
    cool = judge_value(-9.4, limit_set(BOOK, "cold", "canada"))

    assert (warm.met, warm.sentence) == (
        False,
        "No trigger met: 20.0 °C; WBGT, Japanese sports begins from 25.0 °C.",
    )
    assert cool.sentence == "No trigger met: −9 °C; Wind chill, Canada begins at or below −10 °C."


def test_a_figure_is_rounded_as_its_set_is_printed():
    limits = limit_set(BOOK, "heat", "chart")

    assert judge_value(celsius(104.49), limits).step.word == "extreme caution"
    assert judge_value(celsius(104.5), limits).step.word == "danger"


def test_where_no_formula_holds_no_class_is_guessed():
    cold = wind_chill(12, 5, cold_rule(BOOK))
    trigger = judge(cold, limit_set(BOOK, "cold"))

    assert (cold.value, cold.reason) == (None, "not defined here: above 10 °C wind is no chill by it")
    assert (trigger.met, trigger.sentence) == (
        False,
        "No class: wind chill is not defined here: above 10 °C wind is no chill by it.",
    )


def test_beyond_the_upper_end_the_highest_class_is_not_lost():
    heat = judge(heat_index(celsius(110), 60, heat_rule(BOOK)), limit_set(BOOK, "heat", "chart"))
    air = judge(air_quality(Decimal(400), air_rule(BOOK)), limit_set(BOOK, "air"))

    assert (heat.step.word, air.step.word) == ("extreme danger", "very unhealthy")
    assert heat.sentence == (
        "Trigger met: beyond the scale, so “extreme danger” at least (Heat index, older chart): suspend."
    )


def test_every_result_says_what_it_rests_on():
    found = heat_index(32, 60, heat_rule(BOOK))

    assert found.inputs_words == "air 32.0 °C, humidity 60 %"
    assert found.formula == "Heat index, full form"
    assert found.source == "National weather service, Heat Index Equation, regression"
    assert found.remarks[0] == "Computed, not measured."


def test_a_missing_reading_is_not_zero():
    found = wbgt(None, 60, wbgt_rule(BOOK))

    assert (found.value, found.inputs_words) == (None, "air not read, humidity 60 %")
    assert found.reason == "not defined here: air and humidity are both needed, or a measured WBGT"


def test_beaufort_in_another_unit_than_there_is():
    with pytest.raises(KeyError):
        beaufort(5.0, wind_rule(BOOK), "ft/s")
