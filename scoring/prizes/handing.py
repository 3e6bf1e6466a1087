"""What players say of their prizes, and prizes that change hands."""

from datetime import datetime

from django.db import transaction

from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from scoring.prizes.awards import Due, awards_of
from scoring.prizes.models import Forfeit, HandOver, PrizeAnswer
from scoring.prizes.services import PrizesRefused
from scoring.prizes.taking import Kind

_METHODS = {
    Kind.CASH: (HandOver.Method.CASH, HandOver.Method.CHEQUE, HandOver.Method.ELECTRONIC),
    Kind.MERCHANDISE: (HandOver.Method.GOODS,),
    Kind.VOUCHER: (HandOver.Method.VOUCHER, HandOver.Method.ELECTRONIC),
    Kind.TROPHY: (HandOver.Method.GOODS,),
}


def methods_for(kind: Kind) -> tuple[HandOver.Method, ...]:
    """The ways in which a prize of this kind changes hands, the usual one first."""
    return _METHODS[kind]


@transaction.atomic
def answer_prize(*, entry: Entry, said: str, reason: str, actor: Actor, now: datetime) -> PrizeAnswer:
    """Keep what was said for a player's prize; "" takes back what was said before.

    Raises PrizesRefused for a word that is none, where it was said already, and after the prize was handed out.
    """
    held = Entry.objects.select_for_update(of=("self",)).select_related("event", "person").get(pk=entry.pk)
    if said not in PrizeAnswer.Said.values:
        raise PrizesRefused("Choose one of the answers.")
    last = PrizeAnswer.objects.filter(entry=held).order_by("-at", "-pk").first()
    if said == (last.said if last is not None else ""):
        raise PrizesRefused(f"That is what is written for {held.person.name} already.")
    if HandOver.objects.filter(entry=held, taken_back_at=None).exists():
        raise PrizesRefused(f"{held.person.name} has the prize already: undo the handing out first.")
    if Forfeit.objects.filter(entry=held, taken_back_at=None).exists():
        raise PrizesRefused(f"The prize of {held.person.name} is forfeited: undo that first.")
    answer = PrizeAnswer.objects.create(
        entry=held, said=said, reason=reason.strip()[:200], at=now, by=actor.name[:150]
    )
    record(
        chain=held.event.slug,
        action=Action.PRIZE_ANSWERED,
        subject=held.person.name,
        actor=actor,
        now=now,
        detail={"said": answer.get_said_display()},
        reason=answer.reason,
    )
    return answer


@transaction.atomic
def hand_over(
    *, entry: Entry, method: str, expected_cents: int, note: str, actor: Actor, now: datetime
) -> HandOver:
    """Hand out what is open of a player's prize; `expected_cents` is what the page showed.

    Raises PrizesRefused where nothing is open, where the amount is another by now, and for a way in which a prize of
    its kind is not handed out.
    """
    held = (
        Entry.objects.select_for_update(of=("self",))
        .select_related("event", "person", "division")
        .get(pk=entry.pk)
    )
    due = awards_of(held.event).due_of(held.pk)
    if due is None or not due.waits:
        gone = "forfeited: undo that first" if due is not None and due.forfeit else "handed out already"
        raise PrizesRefused(f"Nothing is open for {held.person.name}: it is {gone}.")
    if due.open != expected_cents:
        raise PrizesRefused(f"The prize of {held.person.name} is another by now: look again.")
    return _hand(held, due, method, note, actor, now)


def _hand(entry: Entry, due: Due, method: str, note: str, actor: Actor, now: datetime) -> HandOver:
    kind = due.award.kind
    if method not in _METHODS[kind]:
        ways = " or ".join(way.label for way in _METHODS[kind])
        raise PrizesRefused(f"A prize of {kind} is handed out as {ways}.")
    row = HandOver.objects.create(
        entry=entry,
        division=entry.division,
        place=due.award.place,
        cents=due.open,
        kind=kind.value,
        method=method,
        note=note.strip()[:200],
        at=now,
        by=actor.name[:150],
    )
    detail = {"division": entry.division.code, "place": row.place, "prize_cents": row.cents}
    record(
        chain=entry.event.slug,
        action=Action.PRIZE_HANDED_OUT,
        subject=entry.person.name,
        actor=actor,
        now=now,
        detail={**detail, "kind": row.kind, "method": row.get_method_display()},
        reason=row.note,
    )
    return row


@transaction.atomic
def take_back(*, row: HandOver, actor: Actor, now: datetime) -> HandOver:
    """Undo a handing out: a wrong name, a wrong envelope. Raises PrizesRefused when it was undone already."""
    held = (
        HandOver.objects.select_for_update(of=("self",))
        .select_related("entry__event", "entry__person")
        .get(pk=row.pk)
    )
    name = held.entry.person.name
    if held.taken_back_at is not None:
        raise PrizesRefused(f"The handing out to {name} was undone already.")
    held.taken_back_at, held.taken_back_by = now, actor.name[:150]
    held.save(update_fields=["taken_back_at", "taken_back_by"])
    record(
        chain=held.entry.event.slug,
        action=Action.PRIZE_TAKEN_BACK,
        subject=name,
        actor=actor,
        now=now,
        detail={"prize_cents": held.cents, "method": held.get_method_display()},
    )
    return held
