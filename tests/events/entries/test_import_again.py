"""Bringing lists in twice, in another order, in halves, and by two people at once: nobody is ever doubled."""

import json
import os
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from build import ACTOR, NOW
from events.entries.import_answers import Answers
from events.entries.importing import bring_in
from events.entries.models import Entry
from players.models import Person

SCRIPT = Path(__file__).with_name("lists_at_once.py")
HEAD = "First name;Last name;Number;Born;Division;Rating;Class;Paid;Entered at"
GIVEN = ("Ines", "Ødd", "さくら", "Åke", "")
FAMILY = ("Halvorsen", "van der Łoś", "森野", "O'Dunmore")

people = st.fixed_dictionaries(
    {
        "given": st.sampled_from(GIVEN),
        "family": st.sampled_from(FAMILY),
        "number": st.none() | st.integers(70_001, 70_040),
        "born": st.none() | st.integers(1960, 2000),
        "division": st.sampled_from(("MA1", "FA1")),
        "rating": st.none() | st.integers(600, 1000),
        "paid": st.sampled_from(("", "0", "45", "yes")),
    }
)


def without_twins(rows: list[dict[str, object]]) -> list[dict[str, object]]:
    """One row a number and a name: a list that names somebody twice is a question of its own."""
    kept: dict[object, dict[str, object]] = {}
    numbers: set[object] = set()
    for row in rows:
        name = (row["given"], row["family"])
        if name not in kept and row["number"] not in numbers:
            kept[name] = row
            numbers |= {row["number"]} - {None}
    return list(kept.values())


def as_list(rows: list[dict[str, object]]) -> bytes:
    lines = [
        ";".join(
            "" if row[key] is None else str(row[key])
            for key in ("given", "family", "number", "born", "division", "rating")
        )
        + f";am;{row['paid']};2026-05-01"
        for row in rows
    ]
    return "\n".join((HEAD, *lines)).encode()


def bring(event, rows):
    """Everybody in the base who could be meant is said to be somebody new."""
    answers = Answers(persons=dict.fromkeys(range(2, len(rows) + 2)))
    return bring_in(event=event, name="list.csv", data=as_list(rows), actor=ACTOR, now=NOW, answers=answers)


def state() -> list[tuple[object, ...]]:
    return list(
        Entry.objects.order_by("person__sort_name", "person__member_number").values_list(
            "person__given_name", "person__family_name", "person__member_number", "person__birth_year",
            "person__rating", "division__code", "status", "rating", "paid_elsewhere_cents",
        )
    )  # fmt: skip


@pytest.mark.django_db(transaction=False)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(people, min_size=1, max_size=8).map(without_twins), seed=st.integers(0, 99))
def test_a_list_again_in_any_order_and_in_parts_changes_nothing(event, rows, seed):
    Entry.objects.all().delete()
    Person.objects.all().delete()
    first = bring(event, rows)
    assert (first.new, first.updated) == (len(rows), 0)
    before = state()
    shuffled = random.Random(seed).sample(rows, len(rows))
    for part in (rows, shuffled, shuffled[: 1 + len(rows) // 2]):
        again = bring_in(event=event, name="list.csv", data=as_list(part), actor=ACTOR, now=NOW)
        assert (again.new, again.updated, again.unchanged) == (0, 0, len(part))
    assert state() == before


@pytest.fixture(scope="module")
def at_once(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What became of lists that several people brought in at the same moment."""
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {
        "STARTHORN_DATA": str(tmp_path_factory.mktemp("lists")),
        "DJANGO_SETTINGS_MODULE": "desk.settings",
    }
    done = subprocess.run(
        [sys.executable, str(SCRIPT)], env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return dict(json.loads(done.stdout))


def test_two_who_confirm_the_same_list_at_once_save_it_once(at_once):
    assert at_once["same file"] == {
        "said": {"saved": 1, "BroughtInAlready": 3}, "entries": 30, "persons": 30, "acts": 1,
    }  # fmt: skip


def test_lists_that_overlap_double_nobody_when_brought_in_at_once(at_once):
    assert at_once["overlapping"] == {"new": 40, "entries": 40, "persons": 40}


def test_the_log_is_whole_after_all_of_it(at_once):
    assert at_once["faults"] == 0
