"""The end of a stop: play goes on, goes on another day, or the round is not finished."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from django.db import transaction

from events.draw.delaying import move_planned
from events.draw.models import Sheet
from events.draw.moving import publish_moved
from events.draw.placing import DrawRefused
from events.log.actions import Action
from events.log.services import Actor, record
from events.safety.above import FINISHED, GroupStands
from events.safety.models import Notice, Position, Suspension
from events.safety.restart import RESUME
from events.safety.stopped import positions_of
from events.safety.suspending import (
    RestartTooEarly,
    SuspensionRefused,
    lasting,
    post_for,
    stop_for,
    too_early,
    write_sound,
)
from events.setup.models import Round

MOVE_TIMES, AS_YOU_WERE = "move_times", "as_you_were"
MODES = {
    MOVE_TIMES: "Groups go on from where they stood; tee times still to come move by the delay",
    AS_YOU_WERE: "Groups go on from where they stood; tee times still to come stay, none before the restart",
}
NOTICE_STAYS = timedelta(minutes=60)
ONE_MINUTE = timedelta(minutes=1)


@transaction.atomic
def resume(
    *,
    suspension: Suspension,
    mode: str,
    sounded: bool,
    reason: str,
    groups: Sequence[GroupStands],
    actor: Actor,
    now: datetime,
) -> list[Sheet]:
    """Play goes on now: a new published version of each sheet in play, the stop's notice down, the restart's up.

    Cards, scores and positions stay as they are. `sounded`: the long blast was given. Raises RestartTooEarly before
    the restart that stands, without a reason; SuspensionRefused.
    """
    suspension = lasting(suspension)
    if mode not in MODES:
        raise SuspensionRefused("Choose how play goes on.")
    stop, reason = stop_for(suspension), reason.strip()[:200]
    early = now < stop.restart
    if early and not reason:
        raise RestartTooEarly(too_early(stop))
    if sounded:
        write_sound(suspension, RESUME, stop.restart, now, actor, now)
    sheets = _move(suspension, mode, now, groups, actor, now)
    planned = _move_planned(suspension, now, actor, now) if mode == MOVE_TIMES else []
    _end(suspension, Suspension.Ended.RESUMED, actor, now)
    clock = f"{suspension.event.local(now):%H:%M}"
    text = f"Since {clock}, each group from where it stood."
    post_for(suspension, Notice.Kind.RESUMPTION, "Play goes on", text, now + NOTICE_STAYS, actor, now)
    _record(
        suspension,
        Action.PLAY_RESUMED,
        {
            "mode": MODES[mode],
            "earliest": stop.clock.earliest.isoformat(),
            "restart that stood": stop.restart.isoformat(),
            "before it, the director decides": early,
            "sheets": [str(sheet) for sheet in sheets],
            "planned rounds moved": [str(round_) for round_ in planned],
        },
        reason,
        actor,
        now,
    )
    return sheets


@transaction.atomic
def end_for_today(
    *,
    suspension: Suspension,
    restart_at: datetime,
    reason: str,
    groups: Sequence[GroupStands],
    actor: Actor,
    now: datetime,
) -> list[Sheet]:
    """The round goes on another day at `restart_at`; partial scores and positions are kept. Raises SuspensionRefused.

    Groups that have not started start as long after the restart as they would have after the stop.
    """
    suspension = lasting(suspension)
    local = suspension.event.local(restart_at)
    if restart_at <= now or local.date() <= suspension.event.local(suspension.signalled_at).date():
        raise SuspensionRefused("Name the day and time at which the round goes on: a later day.")
    if local.date() > suspension.event.ends_on:
        raise SuspensionRefused(
            f"Nobody has to come back after the last day, {suspension.event.ends_on:%A %d %B}"
            " (Competition Manual 2025, 1.09.D)."
        )
    sheets = _move(suspension, MOVE_TIMES, restart_at, groups, actor, now)
    _end(suspension, Suspension.Ended.NEXT_DAY, actor, now)
    when = f"{local:%A} {local.day} {local:%B}, {local:%H:%M}"
    text = f"The round goes on {when}, each group from where it stood. Scores so far are kept."
    post_for(suspension, Notice.Kind.DELAY, "Play has ended for today", text, restart_at, actor, now)
    detail = {"restart_at": restart_at.isoformat(), "sheets": [str(sheet) for sheet in sheets]}
    _record(suspension, Action.PLAY_ENDED, detail, reason.strip()[:200], actor, now)
    return sheets


@transaction.atomic
def cancel_round(*, suspension: Suspension, reason: str, actor: Actor, now: datetime) -> Suspension:
    """The round will not be finished; what counts is chosen for each division. Raises SuspensionRefused."""
    suspension = lasting(suspension)
    reason = reason.strip()[:200]
    if not reason:
        raise SuspensionRefused("Say why the round is not finished.")
    _end(suspension, Suspension.Ended.CANCELLED, actor, now)
    text = "The round is not finished. What counts is announced here for each division."
    post_for(suspension, Notice.Kind.CANCELLED, "No more play in this round", text, None, actor, now)
    _record(suspension, Action.PLAY_ENDED, {"round": "not finished"}, reason, actor, now)
    return suspension


def _end(suspension: Suspension, how: str, actor: Actor, now: datetime) -> None:
    suspension.ended, suspension.ended_at, suspension.ended_by = how, now, actor.name[:150]
    suspension.save(update_fields=["ended", "ended_at", "ended_by"])
    Notice.objects.filter(
        suspension=suspension, kind=Notice.Kind.SUSPENSION, withdrawn_at__isnull=True
    ).update(withdrawn_at=now)


def _move(
    suspension: Suspension,
    mode: str,
    restart: datetime,
    groups: Sequence[GroupStands],
    actor: Actor,
    now: datetime,
) -> list[Sheet]:
    """A new version of the sheet of each round that is in play."""
    reason = _reason(suspension, restart)
    stood = positions_of(suspension)
    by_round: dict[Round, list[GroupStands]] = defaultdict(list)
    for group in groups:
        by_round[group.round].append(group)
    sheets = []
    for round_, members in by_round.items():
        if all(group.state == FINISHED for group in members):
            continue
        starts = {
            group.number: new
            for group in members
            if (new := new_start(group, mode, suspension.signalled_at, restart)) != group.starts_at
        }
        notes = [_sentence(group, stood.get((round_.pk, group.number))) for group in members]
        head = f"{reason[0].upper()}{reason[1:]}."
        try:
            sheets.append(
                publish_moved(
                    round=round_,
                    starts=starts,
                    notes=[head, *(note for note in notes if note)],
                    reason=reason,
                    actor=actor,
                    now=now,
                )
            )
        except DrawRefused as refused:
            raise SuspensionRefused(str(refused)) from refused
    return sheets


def _move_planned(suspension: Suspension, restart: datetime, actor: Actor, now: datetime) -> list[Round]:
    """The rounds of the day that are only planned start later by the delay, as tee times that were to come do."""
    try:
        return move_planned(
            event=suspension.event,
            since=suspension.signalled_at,
            by=_delay(suspension.signalled_at, restart),
            reason=_reason(suspension, restart),
            actor=actor,
            now=now,
        )
    except DrawRefused as refused:
        raise SuspensionRefused(str(refused)) from refused


def _reason(suspension: Suspension, restart: datetime) -> str:
    event = suspension.event
    since, until = event.local(suspension.signalled_at), event.local(restart)
    day = "" if until.date() == since.date() else f"{until:%a} "
    return f"play suspended {since:%H:%M}–{day}{until:%H:%M}: {suspension.get_cause_display()}"


def _delay(signal: datetime, restart: datetime) -> timedelta:
    """In whole minutes, as nobody starts at a second."""
    return -(-(restart - signal) // ONE_MINUTE) * ONE_MINUTE


def new_start(group: GroupStands, mode: str, signal: datetime, restart: datetime) -> datetime:
    """When a group starts after a stop. Whoever had started keeps the start; the hole never changes.

    A start still to come moves by the delay, in whole minutes; with `AS_YOU_WERE` only one that would lie before
    the restart moves, onto it.
    """
    if not group.waited_at(signal):
        return group.starts_at
    if mode == AS_YOU_WERE:
        return max(group.starts_at, _whole_minute(restart))
    return group.starts_at + _delay(signal, restart)


def _whole_minute(moment: datetime) -> datetime:
    floor = moment.replace(second=0, microsecond=0)
    return floor if floor == moment else floor + ONE_MINUTE


def _sentence(group: GroupStands, stood: Position | None) -> str:
    if stood is None:
        return ""
    note = f" ({stood.note})" if stood.note else ""
    if not stood.hole_label:
        return f"Group {group.number} goes on from where it stood, which is not written down{note}."
    return f"Group {group.number} goes on from hole {stood.hole_label}{note}."


def _record(
    suspension: Suspension,
    action: Action,
    detail: Mapping[str, object],
    reason: str,
    actor: Actor,
    now: datetime,
) -> None:
    record(
        chain=suspension.event.slug,
        action=action,
        subject=suspension.get_cause_display(),
        actor=actor,
        now=now,
        detail={"signalled_at": suspension.signalled_at.isoformat(), **detail},
        reason=reason,
    )
