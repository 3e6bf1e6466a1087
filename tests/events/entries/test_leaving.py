from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

import build
from build import ACTOR, NOW
from events.entries.leaving import (
    NobodyWaits,
    disqualify,
    mark_did_not_finish,
    mark_did_not_play,
    promote,
    refund_for,
    reinstate,
    withdraw,
)
from events.entries.models import Entry, Status
from events.entries.services import EntryRefused, money_of
from events.log.models import Act
from events.setup.queries import rulebook_for

pytestmark = pytest.mark.django_db


def days_before(days: float):
    return NOW.replace(hour=9) - timedelta(days=days)


def refunds(entry, days):
    found = refund_for(entry, received_at=days_before(days), rulebook=rulebook_for(entry.event))
    return [(option.cents, option.pack) for option in found.options]


def test_the_refund_follows_the_day_and_shows_both_choices(event):
    event.handling_fee_cents = 500
    event.save()
    entry = build.make_entry(event, pack="M")
    assert refunds(entry, 30) == [(4000, False)]
    assert refunds(entry, 20) == [(2250, False), (0, True)]
    assert refunds(entry, 10) == [(1125, False), (0, True)]
    assert refunds(entry, 1) == [(0, False)]


def test_a_withdrawal_pays_the_chosen_option_back(event):
    entry = build.make_entry(event, pack="M")
    found = refund_for(entry, received_at=days_before(20), rulebook=rulebook_for(event))
    withdraw(entry=entry, received_at=days_before(20), option=found.options[0], actor=ACTOR, now=NOW)
    entry.refresh_from_db()
    assert (entry.status, money_of(entry).paid) == (Status.WITHDRAWN, 2250)
    assert list(Act.objects.values_list("action", flat=True)) == ["entry.withdrawn", "payment.refunded"]


def test_the_right_person_is_promoted_and_the_place_counts_as_filled(event):
    event.divisions.filter(code="MA1").update(cap=1)
    gone = build.make_entry(event)
    later = build.make_entry(event, status="waitlisted", received_at=NOW + timedelta(minutes=2))
    first = build.make_entry(event, status="waitlisted", received_at=NOW + timedelta(minutes=1))
    with pytest.raises(NobodyWaits):
        promote(event=event, actor=ACTOR, now=NOW)
    withdraw(entry=gone, received_at=days_before(20), actor=ACTOR, now=NOW)
    with pytest.raises(EntryRefused, match=f"{first.person} is next"):
        promote(event=event, entry=later, actor=ACTOR, now=NOW)
    assert promote(event=event, actor=ACTOR, now=NOW).pk == first.pk
    gone.refresh_from_db()
    assert gone.filled_by_id == first.pk
    with pytest.raises(NobodyWaits):
        promote(event=event, actor=ACTOR, now=NOW)


def test_somebody_else_is_promoted_only_with_a_reason(event):
    event.divisions.filter(code="MA1").update(cap=1)
    build.make_entry(event)
    waiting = build.make_entry(event, status="waitlisted")
    promoted = promote(event=event, entry=waiting, reason="volunteer's place", actor=ACTOR, now=NOW)
    assert promoted.status == Status.CONFIRMED
    assert Act.objects.get(action="entry.promoted").reason == "volunteer's place"


def test_each_way_out_has_its_word(event):
    played, absent, rude = (build.make_entry(event) for _ in range(3))
    mark_did_not_finish(entry=played, actor=ACTOR, now=NOW, reason="knee")
    mark_did_not_play(entry=absent, actor=ACTOR, now=NOW)
    disqualify(entry=rude, actor=ACTOR, now=NOW, reason="alcohol between signal and card")
    assert list(Entry.objects.order_by("pk").values_list("status", flat=True)) == [
        "did_not_finish",
        "did_not_play",
        "disqualified",
    ]
    with pytest.raises(EntryRefused, match="cannot be marked did not finish: did not play"):
        mark_did_not_finish(entry=absent, actor=ACTOR, now=NOW)


def test_a_disqualification_without_reason_is_refused_by_service_and_database(event):
    entry = build.make_entry(event)
    with pytest.raises(EntryRefused, match="needs its reason"):
        disqualify(entry=entry, actor=ACTOR, now=NOW, reason=" ")
    with pytest.raises(IntegrityError), transaction.atomic():
        Entry.objects.filter(pk=entry.pk).update(status="disqualified")


def test_who_withdrew_comes_back_only_to_a_free_place(event):
    event.divisions.filter(code="MA1").update(cap=1)
    gone = build.make_entry(event)
    withdraw(entry=gone, received_at=NOW, actor=ACTOR, now=NOW)
    build.make_entry(event)
    reinstate(entry=gone, actor=ACTOR, now=NOW)
    gone.refresh_from_db()
    assert gone.status == Status.WAITLISTED
