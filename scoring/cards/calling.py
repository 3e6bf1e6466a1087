"""Keeping radio calls: what the desk heard of a group, until holes are known."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from scoring.cards.arithmetic import from_start
from scoring.cards.keeping import CardRefused, claim, count, place_of, refuse_locked, refuse_over
from scoring.cards.models import RadioCall
from scoring.cards.radio import Call, called_total


@transaction.atomic
def keep_call(*, round: Round, call: Call, key: UUID, actor: Actor, now: datetime) -> list[RadioCall]:
    """Keep a call for the players it names, in card order; the same key again is the call that is there.

    It counts in the standings as far as no holes are known and no other call says more of them, and never completes
    a round. Raises CardRefused for a
    group that is not on the sheet, another number of players, more holes than the layout has, fewer throws than
    holes, a verified card, and once the event is over.
    """
    locked, card = claim(round, call.group)
    held = list(RadioCall.objects.filter(key=key).order_by("pk"))
    if held:
        return held
    refuse_over(locked)
    refuse_locked(card)
    place = place_of(locked, call.group)
    names = [seat.entry.person.name for seat in place.seats]
    if len(call.to_par) != len(names):
        raise CardRefused(
            f"Group {call.group} has {len(names)} players and the call {len(call.to_par)}: "
            f"{', '.join(names)}. Write x for who was not called."
        )
    order = from_start(len(place.holes), place.start_index)
    pars = [place.holes[index].par for index in order]
    _check(call, names, pars)
    rows = [
        RadioCall(
            card=card,
            round=locked,
            entry_id=seat.entry_id,
            through=call.through,
            to_par=to_par,
            key=key,
            at=now,
            by=actor.name[:150],
        )
        for seat, to_par in zip(place.seats, call.to_par, strict=True)
        if to_par is not None
    ]
    if not rows:
        raise CardRefused("The call names nobody.")
    RadioCall.objects.bulk_create(rows)
    count(locked, [row.entry_id for row in rows])
    _log(Action.RADIO_CALLED, locked, call.group, rows, actor, now)
    return rows


def farther_call(round: Round, call: Call) -> RadioCall | None:
    """An earlier call of the group that says more holes than this one and stands: it counts, and this one does not
    (1 query)."""
    calls = RadioCall.objects.filter(
        round=round, card__group_number=call.group, through__gt=call.through, taken_back_at=None
    )
    return calls.order_by("-through", "-at").first()


@transaction.atomic
def take_back_call(*, round: Round, group_number: int, key: UUID, actor: Actor, now: datetime) -> None:
    """Let a call count no longer; it stays to be read. Raises CardRefused once the event is over."""
    locked, _ = claim(round, group_number)
    refuse_over(locked)
    rows = list(
        RadioCall.objects.filter(card__group_number=group_number, round=locked, key=key, taken_back_at=None)
    )
    if not rows:
        return
    RadioCall.objects.filter(pk__in=[row.pk for row in rows]).update(
        taken_back_at=now, taken_back_by=actor.name[:150]
    )
    count(locked, [row.entry_id for row in rows])
    _log(Action.RADIO_TAKEN_BACK, locked, group_number, rows, actor, now)


def _check(call: Call, names: Sequence[str], pars: Sequence[int]) -> None:
    if call.through > len(pars):
        raise CardRefused(f"{call.through} holes: the layout of group {call.group} has {len(pars)}.")
    for name, to_par in zip(names, call.to_par, strict=True):
        if to_par is not None and called_total(pars, call.through, to_par) < call.through:
            raise CardRefused(
                f"{name}: {to_par:+d} after {call.through} holes would be fewer throws than holes."
            )


def _log(
    action: Action, round: Round, group: int, rows: Sequence[RadioCall], actor: Actor, now: datetime
) -> None:
    record(
        chain=round.event.slug,
        action=action,
        subject=f"{round}, group {group}",
        actor=actor,
        now=now,
        detail={
            "round": round.number,
            "group": group,
            "through": rows[0].through,
            "to par": {str(row.entry_id): row.to_par for row in rows},
        },
    )
