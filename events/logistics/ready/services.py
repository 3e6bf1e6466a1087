"""Saying that work on a hole is done, or open after all; photos; own work; the address of the walk."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import IO
from uuid import UUID

from django.db import transaction
from django.db.models import F

from events.course.models import Hole
from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.physical import physical_holes
from events.logistics.ready.models import HolePhoto, OwnWork, WalkLink, WorkAct
from events.logistics.ready.preparing import Task, tasks_of
from events.logistics.ready.queries import own_tasks
from events.paper.pictures import PictureRefused, small_picture
from events.setup.models import Event

MOST_ACTS = 60
MOST_PHOTOS = 12  # of one hole


class ReadyRefused(Exception):
    """It cannot be done as asked; the message is a sentence to show."""


@dataclass(frozen=True, slots=True)
class Said:
    """One tap: `key` makes it one act however often it is sent."""

    key: UUID
    hole: int
    task: str
    done: bool
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """`refused` empty: it is kept, now or before."""

    key: UUID
    refused: str = ""


@transaction.atomic
def say_work(*, event: Event, said: Sequence[Said], actor: Actor, now: datetime) -> list[Answer]:
    """Keep each act once, in the order in which it came. An act for work that the hole does not ask for is refused
    by a sentence, and the others are kept. Raises ReadyRefused for more acts than one request holds, and once the
    event is over."""
    if len(said) > MOST_ACTS:
        raise ReadyRefused(f"At most {MOST_ACTS} acts at once.")
    _refuse_over(_one_at_a_time(event))
    known = set(WorkAct.objects.filter(key__in=[each.key for each in said]).values_list("key", flat=True))
    asked = _asked(event)
    answers = []
    for each in said:
        task = asked.get((each.hole, each.task))
        if each.key in known:
            answers.append(Answer(each.key))
        elif task is None:
            answers.append(Answer(each.key, "The hole does not ask for this work any more."))
        else:
            known.add(each.key)
            _keep(event, each, task, actor, now)
            answers.append(Answer(each.key))
    return answers


def _asked(event: Event) -> dict[tuple[int, str], Task]:
    own = own_tasks(event)
    return {
        (hole.id, task.key): task
        for hole in physical_holes(event)
        for task in tasks_of(hole, own.of(hole.id))
    }


def _keep(event: Event, said: Said, task: Task, actor: Actor, now: datetime) -> None:
    act = WorkAct.objects.create(
        key=said.key,
        hole_id=said.hole,
        task=said.task,
        words=task.words[:240],
        done=said.done,
        said_at=said.said_at,
        at=now,
        by=actor.name[:150],
    )
    action = Action.HOLE_WORK_DONE if said.done else Action.HOLE_WORK_OPEN
    _log(event, action, task.words, actor, now, hole=said.hole, act=str(act.key))


@transaction.atomic
def keep_photo(
    *, hole: Hole, key: UUID, file: IO[bytes], size: int | None, actor: Actor, now: datetime
) -> HolePhoto:
    """Keep a picture of the hole; the same key again is the same photo. `size` in bytes. Raises ReadyRefused."""
    event = _one_at_a_time(hole.event)
    _refuse_over(event)
    before = HolePhoto.objects.filter(key=key).first()
    if before is not None:
        return before
    if HolePhoto.objects.filter(hole=hole, taken_back_at=None).count() >= MOST_PHOTOS:
        raise ReadyRefused(f"The hole has {MOST_PHOTOS} photos already: put one away first.")
    try:
        picture = small_picture(file, size)
    except PictureRefused as refused:
        raise ReadyRefused(str(refused)) from None
    photo = HolePhoto.objects.create(
        key=key,
        hole=hole,
        image=picture.content,
        width=picture.width,
        height=picture.height,
        at=now,
        by=actor.name[:150],
    )
    _log(event, Action.HOLE_PHOTO_KEPT, str(hole), actor, now, photo=photo.pk, bytes=len(picture.content))
    return photo


@transaction.atomic
def put_photo_away(*, photo: HolePhoto, away: bool, actor: Actor, now: datetime) -> None:
    """For a picture of something else; it is kept and no longer shown. `away` False: shown again."""
    event = _one_at_a_time(photo.hole.event)
    HolePhoto.objects.filter(pk=photo.pk).update(taken_back_at=now if away else None)
    action = Action.HOLE_PHOTO_AWAY if away else Action.HOLE_PHOTO_KEPT
    _log(event, action, str(photo.hole), actor, now, photo=photo.pk)


@transaction.atomic
def add_own_work(*, event: Event, hole: Hole | None, words: str, actor: Actor, now: datetime) -> OwnWork:
    """Work for one hole, or for every hole. Raises ReadyRefused without a word, and for what is there already."""
    _one_at_a_time(event)
    named = " ".join(words.split())[:120]
    if not named:
        raise ReadyRefused("Say what is to be done.")
    if OwnWork.objects.filter(event=event, hole=hole, words__iexact=named, dropped_at=None).exists():
        raise ReadyRefused(f"“{named}” is asked for already.")
    work = OwnWork.objects.create(event=event, hole=hole, words=named)
    _log(event, Action.HOLE_WORK_ADDED, named, actor, now, hole=hole.pk if hole else None)
    return work


@transaction.atomic
def drop_own_work(*, work: OwnWork, dropped: bool, actor: Actor, now: datetime) -> None:
    """Ask for it no more, or again."""
    event = _one_at_a_time(work.event)
    OwnWork.objects.filter(pk=work.pk).update(dropped_at=now if dropped else None)
    action = Action.HOLE_WORK_DROPPED if dropped else Action.HOLE_WORK_BACK
    _log(event, action, work.words, actor, now)


@transaction.atomic
def withdraw_link(*, event: Event, actor: Actor, now: datetime) -> int:
    """From now on only a new address opens the walk; its number is answered."""
    _one_at_a_time(event)
    link, _ = WalkLink.objects.get_or_create(event=event)
    WalkLink.objects.filter(pk=link.pk).update(number=F("number") + 1)
    _log(event, Action.WALK_LINK_WITHDRAWN, "walk", actor, now, number=link.number + 1)
    return link.number + 1


def _refuse_over(event: Event) -> None:
    if event.over_at is not None:
        raise ReadyRefused("The event is over: the walk keeps nothing any more.")


def _one_at_a_time(event: Event) -> Event:
    return Event.objects.select_for_update().get(pk=event.pk)


def _log(event: Event, action: Action, subject: str, actor: Actor, now: datetime, **detail: object) -> None:
    record(chain=event.slug, action=action, subject=subject[:200], actor=actor, now=now, detail=detail)
