from datetime import timedelta

import pytest

import build
from build import ACTOR, NOW
from events.entries.models import Entry, Payment, Status
from events.entries.queries import desk_counts, entries_of, waitlists
from events.entries.services import (
    AlreadyEntered,
    EntryRefused,
    NotEligible,
    add_entry,
    check_in,
    money_of,
    set_pack_given,
    take_payment,
    undo_check_in,
    undo_payment,
)
from events.log.models import Act
from events.setup.models import AddOn
from events.setup.queries import rulebook_for

pytestmark = pytest.mark.django_db
CASH = Payment.Method.CASH


def enter(event, division="MA1", *, paid=4500, minutes=0, person=None, **facts) -> Entry:
    return add_entry(
        event=event,
        person=person or build.make_person(),
        division=event.divisions.get(code=division),
        received_at=NOW + timedelta(minutes=minutes),
        paid_cents=paid,
        actor=ACTOR,
        now=NOW,
        **facts,
    )


def test_a_paid_entry_is_confirmed_and_an_unpaid_one_only_applied(event):
    assert enter(event).status == Status.CONFIRMED
    assert enter(event, paid=4499).status == Status.APPLIED


def test_the_payment_at_the_desk_confirms_and_sets_the_order_of_entry(event):
    entry = enter(event, paid=0)
    later = NOW + timedelta(hours=1)
    take_payment(entry=entry, amount_cents=4500, method=CASH, actor=ACTOR, now=later)
    entry.refresh_from_db()
    assert (entry.status, entry.received_at) == (Status.CONFIRMED, later)


def test_a_full_division_puts_the_next_on_its_list_in_order(event):
    event.divisions.filter(code="MA1").update(cap=1)
    first, second, third = enter(event), enter(event, minutes=2), enter(event, minutes=1)
    assert [entry.status for entry in (first, second, third)] == ["confirmed", "waitlisted", "waitlisted"]
    (entries,) = waitlists(event, rulebook_for(event)).values()
    assert list(entries) == [third, second]


def test_addons_are_owed_unless_they_are_part_of_the_fee(event):
    AddOn.objects.create(event=event, name="greens", kind="greens", fee_cents=300, included=True)
    side = AddOn.objects.create(event=event, name="ace pot", fee_cents=500)
    entry = enter(event, addons=tuple(AddOn.objects.filter(event=event)))
    assert money_of(entry).owed == side.fee_cents
    assert entries_of(event).get().owed == 500


def test_the_rules_refuse_and_a_recorded_approval_lets_in(event):
    man = build.make_person(may_enter_f=False)
    with pytest.raises(NotEligible):
        enter(event, "FA1", person=man)
    entry = enter(event, "FA1", person=man, exception="approved by the governing body, 3 May")
    assert entry.exception_by == ACTOR.name


def test_nobody_is_entered_twice(event):
    person = build.make_person()
    enter(event, person=person)
    with pytest.raises(AlreadyEntered):
        enter(event, "FA1", person=person)


def test_check_in_twice_is_once_and_can_be_undone(event):
    entry = enter(event)
    check_in(entry=entry, actor=ACTOR, now=NOW)
    check_in(entry=entry, actor=ACTOR, now=NOW + timedelta(minutes=5))
    entry.refresh_from_db()
    assert entry.checked_in_at == NOW
    undo_check_in(entry=entry, actor=ACTOR, now=NOW)
    entry.refresh_from_db()
    assert entry.checked_in_at is None
    assert list(Act.objects.filter(action__startswith="checkin").values_list("action", flat=True)) == [
        "checkin.in",
        "checkin.undone",
    ]


def test_only_the_confirmed_are_checked_in(event):
    with pytest.raises(EntryRefused, match="the fee is not paid"):
        check_in(entry=enter(event, paid=0), actor=ACTOR, now=NOW)


def test_a_payment_is_undone_by_its_opposite_and_only_once(event):
    entry = enter(event, paid=0)
    payment = take_payment(entry=entry, amount_cents=2000, method=CASH, actor=ACTOR, now=NOW)
    undo_payment(payment=payment, actor=ACTOR, now=NOW)
    assert money_of(entry).paid == 0
    with pytest.raises(EntryRefused, match="undone already"):
        undo_payment(payment=payment, actor=ACTOR, now=NOW)


@pytest.mark.parametrize("count", [1, 3])
def test_the_counts_cost_two_queries(event, count, django_assert_num_queries):
    for _ in range(count):
        entry = enter(event, paid=0)
        take_payment(entry=entry, amount_cents=4000, method=CASH, actor=ACTOR, now=NOW)
    set_pack_given(entry=entry, given=True, actor=ACTOR, now=NOW)
    with django_assert_num_queries(2):
        counts = desk_counts(event)
    assert (counts.applied, counts.owed_cents, counts.packs_given) == (count, 500 * count, 1)
    assert [(sum_.method, sum_.cents) for sum_ in counts.taken] == [("cash", 4000 * count)]


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_one_query(event, count, django_assert_num_queries):
    for _ in range(count):
        enter(event)
    with django_assert_num_queries(1):
        assert [entry.person.name for entry in entries_of(event)] == ["Ines Halvorsen"] * count
