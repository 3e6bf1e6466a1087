"""Stopping play and going on: the stop with its notice, where groups stood, what was sounded, when it restarts."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.safety.above import PLAYING, GroupStands
from events.safety.models import HornSound, Notice, Position, Suspension
from events.safety.restart import RESUME, STOP
from events.safety.services import post_notice
from events.safety.stopped import Stop, open_suspension, stop_of
from events.setup.models import Event
from events.setup.queries import rulebook_for

OLDEST_SIGNAL = timedelta(hours=12)
TITLE = "Play is suspended"


class SuspensionRefused(Exception):
    """It cannot be; the message is a sentence to show."""


class RestartTooEarly(SuspensionRefused):
    """Before the earliest restart: taken with a reason, as a house rule."""


@dataclass(frozen=True, slots=True)
class Cause:
    """What everybody is told by default, and where to go where no shelter of a hole is written down."""

    words: str
    where: str


MARK = "Stop at once. Mark your lie."
_CLOSED = "Closed building or closed car"
CAUSES: dict[str, Cause] = {
    "lightning": Cause(f"{MARK} Go to shelter. Picnic roofs, tents and trees are no shelter.", _CLOSED),
    "wind": Cause(f"{MARK} Leave the woods, keep clear of trees and tents.", "Open ground or a building"),
    "lines": Cause(f"{MARK} Keep far from the lines and from everything they touch.", "Tournament central"),
    "flood": Cause(f"{MARK} Cross no water, not even where you crossed it before.", "Higher ground"),
    "slopes": Cause(f"{MARK} Leave the slopes by the paths.", "Tournament central"),
    "fire": Cause(f"{MARK} Walk away from the smoke, across the wind.", "Tournament central"),
    "heat": Cause(f"{MARK} Go into the shade, drink, watch each other.", "Shade and water"),
    "cold": Cause(f"{MARK} Get warm and dry, watch each other.", "A heated building"),
    "air": Cause(f"{MARK} Go indoors, rest.", "Indoors"),
    "emergency": Cause(f"{MARK} Keep the paths free.", "Stay where you are"),
    "closure": Cause(f"{MARK} Leave the course.", "Tournament central"),
    "darkness": Cause(f"{MARK} Come in.", "Tournament central"),
    "other": Cause(MARK, "Tournament central"),
}


@transaction.atomic
def suspend(
    *,
    event: Event,
    cause: str,
    words: str,
    where_to_go: str,
    signalled_at: datetime,
    sounded: bool,
    groups: Sequence[GroupStands],
    actor: Actor,
    now: datetime,
) -> Suspension:
    """Stop play: post the notice, keep where each group stands as far as scores tell, start the clock.

    `sounded`: the signal was given at `signalled_at`; else the clock moves on to when it is. Nothing else is
    frozen. Raises SuspensionRefused: play is suspended already, a time to come, a cause that is none.
    """
    _refuse(event, cause, signalled_at, now)
    defaults = CAUSES[cause]
    suspension = Suspension.objects.create(
        event=event,
        cause=cause,
        words=(words.strip() or defaults.words)[:200],
        where_to_go=(where_to_go.strip() or defaults.where)[:600],
        signalled_at=signalled_at,
        by=actor.name[:150],
    )
    post_for(suspension, Notice.Kind.SUSPENSION, TITLE, suspension.words, None, actor, now)
    playing = [g for g in groups if g.state == PLAYING and not g.waited_at(signalled_at)]
    Position.objects.bulk_create(_position(suspension, group, actor, now) for group in playing)
    record(
        chain=event.slug,
        action=Action.PLAY_SUSPENDED,
        subject=suspension.get_cause_display(),
        actor=actor,
        now=now,
        detail={
            "signalled_at": signalled_at.isoformat(),
            "words": suspension.words,
            "where to go": suspension.where_to_go,
            "positions": {f"round {g.round.number}, group {g.number}": g.hole_label or None for g in playing},
        },
    )
    if sounded:
        write_sound(suspension, STOP, signalled_at, signalled_at, actor, now)
    return suspension


def _refuse(event: Event, cause: str, signalled_at: datetime, now: datetime) -> None:
    if event.over_at is not None:
        raise SuspensionRefused("The event is over: there is no play to suspend.")
    if cause not in CAUSES:
        raise SuspensionRefused("Choose why play stops.")
    if signalled_at > now:
        raise SuspensionRefused("The signal is still to come: leave the time empty, and sound it now.")
    if signalled_at < now - OLDEST_SIGNAL:
        raise SuspensionRefused("That is more than twelve hours ago: write the time as 14:05.")
    if open_suspension(event) is not None:
        raise SuspensionRefused("Play is suspended already.")


def _position(suspension: Suspension, group: GroupStands, actor: Actor, now: datetime) -> Position:
    return Position(
        suspension=suspension,
        round=group.round,
        group_number=group.number,
        hole_label=group.hole_label,
        holes_played=group.holes_played or None,
        source=Position.Source.SCORES,
        at=now,
        by=actor.name[:150],
    )


@transaction.atomic
def note_position(
    *, suspension: Suspension, group: GroupStands, hole_label: str, note: str, actor: Actor, now: datetime
) -> Position:
    """Where a group stood, by hand; it takes the place of what was known. Raises SuspensionRefused."""
    suspension = lasting(suspension)
    label = hole_label.strip()
    holes = {hole.casefold(): hole for hole in group.holes}
    if label.casefold() not in holes:
        raise SuspensionRefused(f"Group {group.number} plays no hole {label[:6] or '“”'}.")
    label = holes[label.casefold()]
    row = Position.objects.create(
        suspension=suspension,
        round=group.round,
        group_number=group.number,
        hole_label=label,
        holes_played=group.holes.index(label),
        note=note.strip()[:200],
        source=Position.Source.HAND,
        at=now,
        by=actor.name[:150],
    )
    record(
        chain=suspension.event.slug,
        action=Action.POSITION_NOTED,
        subject=f"Round {group.round.number}, group {group.number}",
        actor=actor,
        now=now,
        detail={"hole": label, "note": row.note},
    )
    return row


@transaction.atomic
def sound_horn(*, suspension: Suspension, signal: str, actor: Actor, now: datetime) -> HornSound:
    """A signal was sounded at this moment. The first stop signal is where the clock counts from.

    Raises SuspensionRefused for a signal that is none, for that of the restart (`resume` takes it down), and for
    the two minutes while the restart is further off.
    """
    suspension = lasting(suspension)
    stop = stop_for(suspension)
    call = next((call for call in stop.calls if call.signal == signal), None)
    if call is None or signal == RESUME:
        raise SuspensionRefused("Sound the stop, the stop again, or the two minutes.")
    if signal == HornSound.Signal.TWO_MINUTES and now < call.due - timedelta(minutes=1):
        raise SuspensionRefused(f"The two minutes are sounded at {call.due:%H:%M}, not before.")
    first = signal == STOP and not any(horn.signal == STOP for horn in stop.horns)
    if first and now > suspension.signalled_at:
        suspension.signalled_at = now
        suspension.save(update_fields=["signalled_at"])
    return write_sound(suspension, signal, now if signal == STOP else call.due, now, actor, now)


def write_sound(
    suspension: Suspension, signal: str, due: datetime, at: datetime, actor: Actor, now: datetime
) -> HornSound:
    horn = HornSound.objects.create(
        suspension=suspension, signal=signal, due_at=due, sounded_at=at, by=actor.name[:150]
    )
    record(
        chain=suspension.event.slug,
        action=Action.HORN_SOUNDED,
        subject=horn.get_signal_display(),
        actor=actor,
        now=now,
        detail={"due_at": due.isoformat(), "sounded_at": at.isoformat()},
    )
    return horn


@transaction.atomic
def name_restart(
    *, suspension: Suspension, restart_at: datetime, reason: str, actor: Actor, now: datetime
) -> Suspension:
    """The restart that everybody is told. Evidence that comes later still moves it.

    Raises RestartTooEarly before the earliest restart without a reason; SuspensionRefused for a time that is past.
    """
    suspension = lasting(suspension)
    stop = stop_for(suspension)
    reason = reason.strip()
    if restart_at <= now:
        raise SuspensionRefused("Name a time that is still to come.")
    early = restart_at < stop.clock.earliest
    if early and not reason:
        raise RestartTooEarly(too_early(stop))
    suspension.restart_at, suspension.restart_by = restart_at, actor.name[:150]
    suspension.restart_named_at, suspension.restart_reason = now, reason[:200] if early else ""
    suspension.save(update_fields=["restart_at", "restart_by", "restart_named_at", "restart_reason"])
    record(
        chain=suspension.event.slug,
        action=Action.RESTART_NAMED,
        subject=f"{suspension.event.local(restart_at):%H:%M}",
        actor=actor,
        now=now,
        detail={
            "restart_at": restart_at.isoformat(),
            "earliest": stop.clock.earliest.isoformat(),
            "before the earliest, the director decides": early,
        },
        reason=reason[:200],
    )
    return suspension


def too_early(stop: Stop) -> str:
    return (
        f"The earliest restart is {stop.clock.earliest:%H:%M}: {stop.clock.sentence} ({stop.clock.sources[0]})."
        " Only with a written reason, as a house rule of the director."
    )


def lasting(suspension: Suspension) -> Suspension:
    """The stop, locked until the transaction ends. Raises SuspensionRefused once it has ended."""
    found = Suspension.objects.select_for_update(of=("self",)).select_related("event").get(pk=suspension.pk)
    if found.ended_at is not None:
        raise SuspensionRefused(f"This stop has ended: {found.get_ended_display()}.")
    return found


def stop_for(suspension: Suspension) -> Stop:
    """The stop as it stands, with the rules of its event (4 queries)."""
    return stop_of(suspension.event, suspension, rulebook_for(suspension.event))


def post_for(
    suspension: Suspension,
    kind: str,
    title: str,
    text: str,
    until: datetime | None,
    actor: Actor,
    now: datetime,
) -> Notice:
    """A notice that belongs to the stop, on the board at once."""
    notice = post_notice(
        event=suspension.event, kind=kind, title=title, text=text, until=until, actor=actor, now=now
    )
    notice.suspension = suspension
    notice.save(update_fields=["suspension"])
    return notice
