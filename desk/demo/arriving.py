"""The demo's people come to the table: they pay what is due, sign, take their pack."""

from collections.abc import Sequence
from datetime import timedelta

from desk.demo.making import ACTOR, Demo
from events.entries.models import Entry, Payment, Status
from events.entries.queries import entries_of
from events.entries.services import check_in, set_conduct_signed, set_guardian, set_pack_given, take_payment


def check_everybody_in(demo: Demo, *, share: float) -> None:
    """`share` of the field, in the order in which it happens to come, within 70 minutes."""
    event = demo.event
    moment = event.checkin_opens_at or event.rounds.get(number=1).first_start_at - timedelta(hours=2)
    entries: Sequence[Entry] = list(entries_of(event).filter(status__in=[Status.CONFIRMED, Status.APPLIED]))
    order = demo.rng.sample(entries, len(entries))
    step = timedelta(minutes=70) / max(1, len(order))
    for entry in order[: round(len(order) * share)]:
        moment += step
        at = demo.at(moment)
        owed = entry.owed  # type: ignore[attr-defined]
        if owed > 0:
            method = demo.rng.choice([Payment.Method.CASH, Payment.Method.CASH, Payment.Method.CARD])
            take_payment(entry=entry, amount_cents=owed, method=method, actor=ACTOR, now=at)
            entry.refresh_from_db(fields=["status"])
        if entry.status != Status.CONFIRMED:
            continue  # paid, but the division is full: on the waitlist now
        if entry.division.code.startswith("MJ") and not entry.guardian:
            set_guardian(entry=entry, guardian=f"Guardian {entry.person.family_name}", actor=ACTOR, now=at)
        set_conduct_signed(entry=entry, signed=True, actor=ACTOR, now=at)
        check_in(entry=entry, actor=ACTOR, now=at)
        set_pack_given(entry=entry, given=True, actor=ACTOR, now=at)
