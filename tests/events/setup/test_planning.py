"""Whole tables of the plan: all rows or none, and never over somebody else's change."""

from datetime import date, time

import pytest

import build
from build import ACTOR, NOW
from events.log.models import Act
from events.setup.models import AddOn, Event, Round
from events.setup.planning import (
    AddOnRow,
    DivisionRow,
    RoundRow,
    save_addons,
    save_divisions,
    save_rounds,
)
from events.setup.rows import InUse
from events.setup.services import NotThere, Stale, set_addon, set_division

pytestmark = pytest.mark.django_db
BY = {"actor": ACTOR, "now": NOW}
HELD = [DivisionRow("MA1", 4500, None, 0), DivisionRow("FA1", 4500, None, 1)]


def offered(event: Event) -> list[tuple[str, int, int | None]]:
    return list(event.divisions.order_by("order").values_list("code", "fee_cents", "cap"))


def test_divisions_are_added_changed_and_removed_at_once(event):
    rows = [DivisionRow("MA1", 5000, 40, 0), DivisionRow("MPO", 9000, None, 1)]

    changed = save_divisions(event=event, version=1, rows=rows, removed=["FA1"], **BY)

    assert changed == 3
    assert offered(event) == [("MA1", 5000, 40), ("MPO", 9000, None)]
    assert list(Act.objects.order_by("number").values_list("subject", flat=True)) == [
        "FA1 removed",
        "MA1",
        "MPO",
    ]


def test_one_row_that_cannot_be_saves_none(event):
    build.make_entry(event, "FA1")
    rows = [DivisionRow("MA1", 5000, 40, 0)]

    with pytest.raises(InUse):
        save_divisions(event=event, version=1, rows=rows, removed=["FA1"], **BY)

    assert offered(event) == [("MA1", 4500, None), ("FA1", 4500, None)]
    assert (Event.objects.get().version, Act.objects.count()) == (1, 0)


def test_no_change_needs_no_version(event):
    assert save_divisions(event=event, version=99, rows=HELD, removed=[], **BY) == 0
    assert Act.objects.count() == 0


def test_a_table_over_a_change_by_command_is_stale(event):
    set_division(event=event, code="MPO", fee_cents=9000, **BY)

    with pytest.raises(Stale, match="changed by Tester at 07:00"):
        save_divisions(event=event, version=1, rows=[], removed=["FA1"], **BY)
    assert event.divisions.count() == 3


def test_rounds_are_added_in_turn_and_removed_from_the_end(event):
    first = RoundRow(1, date(2026, 6, 12), "tee_times", time(8, 0), 9)
    third = RoundRow(3, date(2026, 6, 13), "shotgun", time(9, 0), 10)
    fourth = RoundRow(4, date(2026, 6, 13), "shotgun", time(13, 0), 10)
    second = RoundRow(2, date(2026, 6, 12), "shotgun", time(13, 0), 10)

    assert save_rounds(event=event, version=1, rows=[fourth, first, second, third], removed=[], **BY) == 3
    assert save_rounds(event=event, version=5, rows=[first, second], removed=[3, 4], **BY) == 2

    assert list(Round.objects.order_by("number").values_list("number", "start_type", "first_start")) == [
        (1, "tee_times", time(8, 0)),
        (2, "shotgun", time(13, 0)),
    ]


def test_addons_are_known_by_their_row(event):
    supper = set_addon(event=event, name="Supper", fee_cents=1200, **BY)
    lunch = set_addon(event=event, name="Lunch", fee_cents=800, **BY)
    rows = [
        AddOnRow(supper.pk, "Dinner", "extra", 1300, False),
        AddOnRow(None, "Greens", "greens", 200, True),
    ]

    assert save_addons(event=event, version=3, rows=rows, removed=[lunch.pk], **BY) == 3
    assert list(AddOn.objects.order_by("name").values_list("name", "fee_cents", "included")) == [
        ("Dinner", 1300, False),
        ("Greens", 200, True),
    ]


def test_an_addon_of_another_event_is_not_touched(event):
    other = build.make_event("other-event")
    theirs = set_addon(event=other, name="Supper", **BY)

    with pytest.raises(NotThere):
        save_addons(event=event, version=1, rows=[], removed=[theirs.pk], **BY)
    assert AddOn.objects.count() == 1
