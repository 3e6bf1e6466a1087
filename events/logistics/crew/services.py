"""Writing shifts and who stands them."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.crew.asking import asked_of
from events.logistics.crew.filling import obstacles
from events.logistics.crew.models import Helper, Need, Post
from events.logistics.crew.needing import Asked, split_of
from events.logistics.crew.people import CrewRefused
from events.logistics.crew.playing import OutOf, nobody_out
from events.logistics.crew.roster import Roster, limits_of, roster_of
from events.setup.models import Event


@transaction.atomic
def work_out_shifts(*, event: Event, actor: Actor, now: datetime) -> tuple[int, int]:
    """Write a shift for everything that the plan asks for and that has none yet: how many are new, how many went.

    What somebody changed or dropped stays as it is. A shift that nothing asks for any more and that nobody stands
    goes; one that somebody stands stays, so that nobody is sent home by a layout that was changed. A post of which a
    shift is stood is not parted otherwise.
    """
    Event.objects.select_for_update().get(pk=event.pk)
    rows = Need.objects.filter(event=event).exclude(key="")
    here = set(rows.values_list("key", flat=True))
    kept = set(
        rows.filter(Q(posts__isnull=False) | Q(dropped_at__isnull=False)).values_list("key", flat=True)
    )
    plan = asked_of(event, limits_of(event).in_one_go)
    asked = {each.key: each for each in plan if not _parted_otherwise(each, kept)}
    new = [
        Need(
            event=event,
            duty=each.duty,
            place=each.place,
            layout_hole_id=each.layout_hole,
            round_id=each.round_id,
            from_anchor=each.hours.from_anchor,
            from_minutes=each.hours.from_minutes,
            to_anchor=each.hours.to_anchor,
            to_minutes=each.hours.to_minutes,
            people=each.people,
            task=each.task,
            road=each.road,
            key=each.key,
        )
        for each in asked.values()
        if each.key not in here
    ]
    Need.objects.bulk_create(new)
    stray = Need.objects.filter(
        event=event, posts__isnull=True, dropped_at__isnull=True, key__in=here - asked.keys()
    )
    gone = stray.count()
    stray.delete()
    _log(event, Action.SHIFTS_WORKED_OUT, "roster", {"new": len(new), "gone": gone}, actor, now)
    return len(new), gone


def _parted_otherwise(asked: Asked, kept: Iterable[str]) -> bool:
    """A shift of this post that somebody stands, or dropped, was parted in another way."""
    post, count = split_of(asked.key)
    return any(of == post and parts != count for of, parts in map(split_of, kept))


@transaction.atomic
def keep_need(
    *, event: Event, need: Need | None, facts: Mapping[str, Any], actor: Actor, now: datetime
) -> Need:
    """Write a shift, or change one. `facts`: fields of Need. Raises CrewRefused with what cannot be."""
    row = need or Need(event=event)
    for name, value in facts.items():
        setattr(row, name, value)
    try:
        row.full_clean()
    except ValidationError as problem:
        raise CrewRefused(" ".join(problem.messages)) from problem
    row.save()
    detail = {"people": row.people, "hours": _hours_words(row)}
    _log(event, Action.SHIFT_KEPT, str(row), detail, actor, now)
    return row


def _hours_words(need: Need) -> str:
    if need.starts_at and need.ends_at:
        return f"{need.starts_at.isoformat()} – {need.ends_at.isoformat()}"
    first = f"{need.get_from_anchor_display()} {need.from_minutes:+d}"
    return f"{need.round}: {first} to {need.get_to_anchor_display()} {need.to_minutes:+d}"


@transaction.atomic
def drop_need(*, need: Need, actor: Actor, now: datetime) -> None:
    """The shift is not stood; it is not worked out again, and can be taken back in. Raises CrewRefused."""
    if not Need.objects.filter(pk=need.pk, dropped_at__isnull=True).update(dropped_at=now):
        raise CrewRefused(f"{need} is dropped already.")
    _log(need.event, Action.SHIFT_DROPPED, str(need), {}, actor, now)


@transaction.atomic
def take_need_back(*, need: Need, actor: Actor, now: datetime) -> None:
    """Undo `drop_need`, with those who stood it. Raises CrewRefused."""
    if not Need.objects.filter(pk=need.pk, dropped_at__isnull=False).update(dropped_at=None):
        raise CrewRefused(f"{need} is in the roster.")
    _log(need.event, Action.SHIFT_BACK, str(need), {}, actor, now)


@transaction.atomic
def put(*, need: Need, helper: Helper, actor: Actor, now: datetime, out_of: OutOf = nobody_out) -> list[str]:
    """Somebody stands a shift. Answers what speaks against it, in words: the director decides. The log keeps who stands
    where, and never what speaks against it, which may tell of somebody's age.

    Raises CrewRefused for somebody who left or stands it already, and for a shift that is dropped.
    """
    event = need.event
    Event.objects.select_for_update().get(pk=event.pk)
    if not Helper.objects.filter(pk=helper.pk, event=event, left_at__isnull=True).exists():
        raise CrewRefused(f"{helper.name} is not on the list any more.")
    if not Need.objects.filter(pk=need.pk, dropped_at__isnull=True).exists():
        raise CrewRefused(f"{need} is dropped: take it back in first.")
    if Post.objects.filter(need=need, helper=helper).exists():
        raise CrewRefused(f"{helper.name} stands this shift already.")
    against = against_of(roster_of(event, now, out_of=out_of), need.pk, helper.pk)
    Post.objects.create(need=need, helper=helper, made_at=now, made_by=actor.name[:150])
    _log(event, Action.SHIFT_MANNED, str(need), {"who": helper.name}, actor, now)
    return against


def against_of(roster: Roster, need_id: int, helper_id: int) -> list[str]:
    """What speaks against somebody on a shift, as the roster stands; empty for a shift whose hours are not known."""
    task = next((task for task in roster.tasks if task.id == need_id), None)
    person = next((person for person in roster.people if person.id == helper_id), None)
    if task is None or person is None:
        return []
    crew = roster.crew
    work = [other for other in roster.tasks if other.id != need_id and helper_id in crew[other.id]]
    there = [one for one in roster.people if one.id in crew[need_id] and one.id != helper_id]
    grown_up = any(one.minor is False for one in there)
    return obstacles(person, task, work, grown_up_there=grown_up, limits=roster.limits)


@transaction.atomic
def take_off(*, post: Post, actor: Actor, now: datetime) -> None:
    """Somebody does not stand a shift after all. Raises CrewRefused when that is done already."""
    gone, _ = Post.objects.filter(pk=post.pk).delete()
    if not gone:
        raise CrewRefused(f"{post.helper} is off this shift already.")
    _log(post.need.event, Action.SHIFT_LEFT, str(post.need), {"who": post.helper.name}, actor, now)


@transaction.atomic
def seen(*, post: Post, there: bool, actor: Actor, now: datetime) -> None:
    """Somebody was seen at the post, or that was a slip. Raises CrewRefused when it is so already."""
    changed = Post.objects.filter(pk=post.pk, there_at__isnull=there).update(there_at=now if there else None)
    if not changed:
        raise CrewRefused(f"{post.helper}: that is marked already.")
    detail = {"who": post.helper.name, "there": there}
    _log(post.need.event, Action.POST_SEEN, str(post.need), detail, actor, now)


@transaction.atomic
def take_suggestion(
    *,
    event: Event,
    pairs: Sequence[tuple[int, int]],
    batch: UUID,
    actor: Actor,
    now: datetime,
    out_of: OutOf = nobody_out,
) -> tuple[int, list[str]]:
    """Write the suggested pairs of shift and helper: how many, and a sentence for each that no longer fits.

    Each pair is looked at again in the roster as it stands by now, the ones before it included. The same batch sent
    twice is written once.
    """
    Event.objects.select_for_update().get(pk=event.pk)
    if Post.objects.filter(batch=batch, need__event=event).exists():
        return 0, []
    roster = roster_of(event, now, out_of=out_of)
    written, left = 0, []
    for need_id, helper_id in pairs:
        shift = next((shift for shift in roster.shifts if shift.id == need_id), None)
        helper = roster.helpers.get(helper_id)
        if shift is None or helper is None:
            left.append("A shift or a helper of the suggestion is gone: ask for a new one.")
            continue
        against = against_of(roster, need_id, helper_id)
        if not shift.missing:
            against = ["it is full", *against]
        if shift.span is not None and shift.span.ends <= now:
            against = ["it is over"]
        if against:
            left.append(f"{helper.name}, {shift.label} at {shift.place}: {', '.join(against)}.")
            continue
        Post.objects.create(
            need_id=need_id, helper_id=helper_id, batch=batch, made_at=now, made_by=actor.name[:150]
        )
        written += 1
        roster = roster.with_post(need_id, helper_id)
    _log(event, Action.SHIFTS_FILLED, "roster", {"shifts": written, "left out": len(left)}, actor, now)
    return written, left


@transaction.atomic
def take_back_suggestion(*, event: Event, batch: UUID, actor: Actor, now: datetime) -> int:
    """Undo a suggestion as a whole: how many shifts are free again. Raises CrewRefused where nothing is left of it."""
    gone, _ = Post.objects.filter(batch=batch, need__event=event).delete()
    if not gone:
        raise CrewRefused("Nothing is left of this suggestion.")
    _log(event, Action.SHIFTS_EMPTIED, "roster", {"shifts": gone}, actor, now)
    return gone


def _log(
    event: Event, action: Action, subject: str, detail: Mapping[str, object], actor: Actor, now: datetime
) -> None:
    record(chain=event.slug, action=action, subject=subject, actor=actor, now=now, detail=dict(detail))
