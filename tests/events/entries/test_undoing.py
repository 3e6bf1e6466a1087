from datetime import timedelta

import pytest

import build
from build import ACTOR, NOW
from events.entries.models import Payment, Status
from events.entries.services import (
    check_in,
    money_of,
    set_conduct_signed,
    set_pack_given,
    take_payment,
    undo_check_in,
)
from events.entries.undoing import NothingToUndo, last_act, undo_last

pytestmark = pytest.mark.django_db
CASH = Payment.Method.CASH


def facts(minutes=0, desk="mine"):
    return {"actor": ACTOR, "now": NOW + timedelta(minutes=minutes), "desk": desk}


def undo(event, desk="mine", **options):
    return undo_last(event=event, desk=desk, actor=ACTOR, now=NOW + timedelta(hours=1), **options)


def test_acts_are_taken_back_one_by_one_from_the_newest(event):
    entry = build.make_entry(event, status=Status.APPLIED, paid_elsewhere_cents=0)
    take_payment(entry=entry, amount_cents=4500, method=CASH, **facts(1))
    check_in(entry=entry, **facts(2))
    set_conduct_signed(entry=entry, signed=True, **facts(3))
    set_pack_given(entry=entry, given=True, **facts(4))
    name = entry.person.name
    undone = [undo(event).words for _ in range(4)]
    assert undone == [
        f"{name}, pack given",
        f"{name}, conduct note signed",
        f"{name}, checked in",
        f"$45 from {name}",
    ]
    entry.refresh_from_db()
    assert (entry.pack_given_at, entry.conduct_signed_at, entry.checked_in_at) == (None, None, None)
    assert (entry.status, entry.received_at, money_of(entry).owed) == (Status.APPLIED, NOW, 4500)
    with pytest.raises(NothingToUndo):
        undo(event)


def test_the_acts_of_another_desk_are_left_alone_also_of_the_same_account(event):
    entry = build.make_entry(event)
    check_in(entry=entry, **facts(desk="theirs"))
    assert last_act(event, "mine") is None
    with pytest.raises(NothingToUndo):
        undo(event)
    entry.refresh_from_db()
    assert entry.checked_in_at == NOW


def test_what_somebody_else_undid_is_passed_over(event):
    first, second = build.make_entry(event), build.make_entry(event)
    check_in(entry=first, **facts(1))
    check_in(entry=second, **facts(2))
    undo_check_in(entry=second, **facts(3, desk="theirs"))
    found = last_act(event, "mine")
    assert found is not None
    assert found.entry == first


def test_an_act_that_was_done_again_by_somebody_else_is_not_mine_to_undo(event):
    entry = build.make_entry(event)
    check_in(entry=entry, **facts(1))
    undo_check_in(entry=entry, **facts(2, desk="theirs"))
    check_in(entry=entry, **facts(3, desk="theirs"))
    assert last_act(event, "mine") is None


def test_only_the_act_that_was_offered_is_undone(event):
    first, second = build.make_entry(event), build.make_entry(event)
    check_in(entry=first, **facts(1))
    check_in(entry=second, **facts(2))
    offered = last_act(event, "mine")
    undo_check_in(entry=second, **facts(3, desk="theirs"))
    with pytest.raises(NothingToUndo, match="Nothing else was touched"):
        undo(event, number=offered.number)
    first.refresh_from_db()
    assert first.checked_in_at == NOW + timedelta(minutes=1)


def test_undoing_a_payment_leaves_in_who_is_checked_in(event):
    entry = build.make_entry(event, status=Status.APPLIED, paid_elsewhere_cents=0)
    take_payment(entry=entry, amount_cents=4500, method=CASH, **facts(1))
    check_in(entry=entry, **facts(2, desk="theirs"))
    undo(event)
    entry.refresh_from_db()
    assert (entry.status, money_of(entry).owed) == (Status.CONFIRMED, 4500)


def test_undoing_a_part_that_did_not_let_anybody_in_changes_no_status(event):
    entry = build.make_entry(event, paid_elsewhere_cents=4000)
    take_payment(entry=entry, amount_cents=500, method=CASH, **facts(1))
    undo(event)
    entry.refresh_from_db()
    assert (entry.status, money_of(entry).owed) == (Status.CONFIRMED, 500)


@pytest.mark.parametrize("count", [1, 3])
def test_the_last_act_costs_three_queries(event, count, django_assert_num_queries):
    for number in range(count):
        entry = build.make_entry(event, paid_elsewhere_cents=0)
        take_payment(entry=entry, amount_cents=4500, method=CASH, **facts(number))
        check_in(entry=entry, **facts(number))
    with django_assert_num_queries(3):
        assert last_act(event, "mine").action == "checkin.in"
