"""Which components an emergency plan has: each counts by its own fields, and what is yearly by its date."""

from datetime import date

import pytest

from events.safety.emergency_fields import FIELDS, LONGEST, components, faults

DAY = date(2026, 6, 12)
WHOLE = {key: "2026-05-01" if field.day else "x" for key, field in FIELDS.items()}


def lacking(facts, updated_on=DAY):
    return [
        index
        for index, each in enumerate(components(facts, updated_on=updated_on, on=DAY), start=1)
        if each.lacks
    ]


def test_a_whole_plan_lacks_nothing():
    assert lacking(WHOLE) == []


def test_nothing_written_lacks_all_twelve():
    assert lacking({}, updated_on=None) == list(range(1, 13))


@pytest.mark.parametrize(
    ("key", "component"),
    [
        ("made_with", 2),
        ("given_on", 3),
        ("rehearsed_on", 4),
        ("lead", 6),
        ("deputy", 6),
        ("chain", 6),
        ("medical", 6),
        ("aed", 7),
        ("first_aid", 7),
        ("emergency_number", 8),
        ("address", 8),
        ("gates", 8),
        ("ambulance_gate", 8),
        ("documenting", 9),
        ("medical_review", 10),
        ("venue", 11),
        ("posted", 12),
    ],
)
def test_each_component_needs_its_fields(key, component):
    assert lacking(WHOLE | {key: " " if not FIELDS[key].day else ""}) == [component]


@pytest.mark.parametrize(
    ("day", "there"),
    [("2025-06-11", True), ("2025-06-10", False), ("2026-06-12", True), ("2026-06-13", False)],
)
def test_what_is_yearly_counts_for_a_year_before_the_event(day, there):
    assert (lacking(WHOLE | {"rehearsed_on": day}) == []) == there


def test_a_plan_of_last_season_is_not_up_to_date():
    found = components(WHOLE, updated_on=date(2024, 6, 1), on=DAY)[4]
    assert found.lacks == "last on 1 June 2024: over a year ago"


def test_what_is_missing_is_named():
    assert components({"aed": "desk"}, updated_on=DAY, on=DAY)[6].lacks == "missing: First-aid kits"


def test_faults_name_the_field():
    assert faults({"rehearsed_on": "last May", "aed": "x" * (LONGEST + 1), "colour": "red"}) == [
        "colour is no field of the plan.",
        "Last rehearsed on: write a date.",
        f"Defibrillator: {LONGEST + 1} characters; at most {LONGEST} fit.",
    ]
    assert faults(WHOLE) == []
