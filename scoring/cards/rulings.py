"""Rulings: penalties decided beside the card. They count on top of what a group wrote unless it wrote them too."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import Q

from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.figures import clock_text
from events.setup.models import Event, Round
from events.setup.queries import is_over
from scoring.cards.models import Ruling
from scoring.cards.restanding import NothingLeft, restand

NEEDS_NOBODY = "own or official’s call"  # in place of who confirmed it (Official Rules 2025, 801.02)


def written_before(what: str) -> str:
    """What is said to a page that comes again with another ruling or warning than it has written."""
    return f"This page had written another {what} already, which stands: look at the list, and write this one again."


def confirmed_words(confirmer: str) -> str:
    """ "confirmed by Oyelaran", "own or official’s call", "" where nobody is written."""
    return f"confirmed by {confirmer}" if confirmer and confirmer != NEEDS_NOBODY else confirmer


class RulingRefused(Exception):
    """The ruling cannot be; the message is a sentence."""


class StandsAlready(RulingRefused):
    """One like it stands: whoever books it says first that it happened twice."""


def rulings_of(round: Round, entries: Iterable[int]) -> list[Ruling]:
    """Every ruling on these players' round, also those taken back, oldest first (1 query)."""
    return list(
        Ruling.objects.filter(round=round, entry__in=list(entries))
        .select_related("entry__person")
        .order_by("pk")
    )


@transaction.atomic
def make_ruling(
    *,
    entry: Entry,
    round: Round,
    hole_label: str,
    throws: int,
    rule: str,
    what: str,
    caller: str,
    confirmer: str,
    origin: str,
    actor: Actor,
    now: datetime,
    twice: bool = True,
) -> Ruling:
    """Book throws on a hole ("" is the round's total). The same origin again is the ruling that is there.

    Raises RulingRefused for 0 throws, for more throws off than are written, for an origin that has written another
    ruling, and once the event is over. Unless `twice`, StandsAlready where the same throws stand there already by the
    same rule or in the same words, as when two people write down one call.
    """
    round = _locked(round)
    held = Ruling.objects.filter(origin=origin).first()
    if held is not None:
        said = (entry.pk, round.pk, hole_label, throws, rule[:200], what[:200])
        if (held.entry_id, held.round_id, held.hole_label, held.throws, held.rule, held.what) != said:
            raise RulingRefused(written_before("ruling"))
        return held
    _refuse_over(round.event)
    if throws == 0:
        raise RulingRefused("A ruling of 0 throws changes nothing.")
    if not twice:
        _refuse_twin(
            entry, round, hole_label, throws, Q(rule__iexact=rule[:200]) | Q(what__iexact=what[:200])
        )
    ruling = Ruling.objects.create(
        round=round,
        entry=entry,
        hole_label=hole_label,
        throws=throws,
        rule=rule[:200],
        what=what[:200],
        caller=caller[:120],
        confirmer=confirmer[:120],
        origin=origin,
        at=now,
        by=actor.name[:150],
    )
    _count_again(ruling)
    _log(Action.RULING_MADE, ruling, actor, now)
    return ruling


def _refuse_twin(entry: Entry, round: Round, hole_label: str, throws: int, alike: Q) -> None:
    """(1 query)"""
    there = Ruling.objects.filter(entry=entry, round=round, hole_label=hole_label, throws=throws)
    twin = there.filter(alike, taken_back_at=None).order_by("pk").first()
    if twin is not None:
        where = f"hole {hole_label}" if hole_label else "the round total"
        raise StandsAlready(
            f"{entry.person.name}, {where}: the same ruling, {twin.what}, stands since"
            f" {clock_text(round.event.local(twin.at))} by {twin.by}. Tick that it happened twice to book it again."
        )


@transaction.atomic
def say_in_card(*, ruling: Ruling, in_card: bool | None, actor: Actor, now: datetime) -> Ruling:
    """Whether the group wrote this penalty into its figures: then it counts once, there."""
    ruling = _claim(ruling)
    if ruling.in_card != in_card:
        ruling.in_card = in_card
        ruling.save(update_fields=["in_card"])
        _count_again(ruling)
        _log(Action.RULING_CHANGED, ruling, actor, now)
    return ruling


@transaction.atomic
def take_back_ruling(*, ruling: Ruling, reason: str, actor: Actor, now: datetime) -> Ruling:
    """Count it no longer; it stays to be read. Raises RulingRefused without a reason."""
    ruling = _claim(ruling)
    if not reason.strip():
        raise RulingRefused("Write why it is taken back.")
    if ruling.taken_back_at is None:
        ruling.taken_back_at, ruling.taken_back_by = now, actor.name[:150]
        ruling.taken_back_reason = reason.strip()[:200]
        ruling.save(update_fields=["taken_back_at", "taken_back_by", "taken_back_reason"])
        _count_again(ruling)
        _log(Action.RULING_CHANGED, ruling, actor, now, reason=ruling.taken_back_reason)
    return ruling


def _claim(ruling: Ruling) -> Ruling:
    _locked(ruling.round)
    found = Ruling.objects.select_for_update(of=("self",)).select_related("round__event", "entry__person")
    ruling = found.get(pk=ruling.pk)
    _refuse_over(ruling.round.event)
    return ruling


def _locked(round: Round) -> Round:
    """The round, locked as saving a card locks it: a card that is being saved counts this ruling or waits for it."""
    return Round.objects.select_for_update(of=("self",)).select_related("event").get(pk=round.pk)


def _refuse_over(event: Event) -> None:
    if is_over(event):
        raise RulingRefused("The event is over: cards stay as they are.")


def _count_again(ruling: Ruling) -> None:
    """Bring what stands up to date; without a line the next card that is saved does."""
    try:
        restand(ruling.round, [ruling.entry_id])
    except NothingLeft:
        raise RulingRefused(
            f"{ruling.entry.person.name}: {ruling.throws:+d} takes off more throws than are written."
        ) from None


def _log(action: Action, ruling: Ruling, actor: Actor, now: datetime, reason: str = "") -> None:
    detail = {
        "round": ruling.round.number,
        "hole": ruling.hole_label or "round total",
        "throws": ruling.throws,
        "rule": ruling.rule,
        "what": ruling.what,
        "caller": ruling.caller,
        "confirmer": ruling.confirmer,
        "in card": ruling.in_card,
        "taken back": ruling.taken_back_at is not None,
    }
    record(
        chain=ruling.round.event.slug,
        action=action,
        subject=ruling.entry.person.name,
        actor=actor,
        now=now,
        detail=detail,
        reason=reason,
    )
