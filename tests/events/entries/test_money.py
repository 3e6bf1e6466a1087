"""Taking money at the table: never twice, never more than is owed."""

import pytest

import build
from build import ACTOR, NOW
from events.entries.ledger import ledger_of
from events.entries.models import EntryAddOn, Payment, Status
from events.entries.services import EntryRefused, MoneyMoved, money_of, take_payment, undo_payment
from events.setup.models import AddOn

pytestmark = pytest.mark.django_db


def owing(event, owed=4500):
    return build.make_entry(event, paid_elsewhere_cents=4500 - owed)


def take(entry, cents, **options):
    return take_payment(
        entry=entry, amount_cents=cents, method=Payment.Method.CASH, actor=ACTOR, now=NOW, **options
    )


def test_the_second_desk_is_told_who_took_the_money_and_when(event):
    entry = owing(event)
    take(entry, 4500, owed_seen=4500)
    with pytest.raises(MoneyMoved, match=r"Tester took \$45 at 07:00\. .* owes nothing\."):
        take(entry, 4500, owed_seen=4500)


def test_a_part_that_was_taken_in_between_is_told_with_what_is_left(event):
    entry = owing(event)
    take(entry, 2000)
    with pytest.raises(MoneyMoved, match=r"now owes \$25"):
        take(entry, 2000, owed_seen=4500)


@pytest.mark.parametrize(
    ("cents", "message"), [(0, "more than zero"), (-5, "more than zero"), (4501, r"owes \$45")]
)
def test_amounts_that_cannot_be_are_refused(event, cents, message):
    with pytest.raises(EntryRefused, match=message):
        take(owing(event), cents)


def test_money_paid_back_is_not_undone_as_a_payment(event):
    entry = owing(event, 0)
    back = Payment.objects.create(entry=entry, amount_cents=-500, method="cash", at=NOW, by="Tester")
    with pytest.raises(EntryRefused, match="take it again"):
        undo_payment(payment=back, actor=ACTOR, now=NOW)


def test_somebody_on_the_waitlist_by_the_payment_is_applied_again_when_it_is_undone(event):
    event.divisions.filter(code="MA1").update(cap=0)
    entry = build.make_entry(event, status=Status.APPLIED, paid_elsewhere_cents=0)
    payment = take(entry, 4500)
    entry.refresh_from_db()
    assert entry.status == Status.WAITLISTED
    undo_payment(payment=payment, actor=ACTOR, now=NOW)
    entry.refresh_from_db()
    assert entry.status == Status.APPLIED


def test_the_ledger_adds_up_to_what_is_owed(event):
    entry = owing(event, 2500)
    for name, cents, included in (("ace pot", 500, False), ("greens", 300, True)):
        addon = AddOn.objects.create(event=event, name=name, fee_cents=cents, included=included)
        EntryAddOn.objects.create(entry=entry, addon=addon)
    undo_payment(payment=take(entry, 1000), actor=ACTOR, now=NOW)
    take(entry, 700)
    ledger = ledger_of(entry)
    assert [(line.words, line.charged, line.paid) for line in ledger.lines] == [
        ("entry fee MA1", 4500, None),
        ("ace pot", 500, None),
        ("greens, part of the fee", 0, None),
        ("paid before, as the list says", None, 2000),
        ("taken, cash", None, 1000),
        ("undone, cash", None, -1000),
        ("taken, cash", None, 700),
    ]
    assert ledger.owed == money_of(entry).owed == 2300
