"""Writing notices: posted and taken down, never changed."""

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any, TypedDict

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.safety.models import Notice
from events.setup.models import Event

LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
LONGEST_TITLE, LONGEST_TEXT = 60, 300


class OtherWords(TypedDict):
    """A notice in another language."""

    title: str
    text: str


class NoticeRefused(Exception):
    """The notice cannot be posted or taken down; the message is a sentence to show."""


@transaction.atomic
def post_notice(
    *,
    event: Event,
    kind: str,
    title: str,
    text: str,
    until: datetime | None,
    actor: Actor,
    now: datetime,
    valid_from: datetime | None = None,
    in_other_words: Mapping[str, OtherWords] | None = None,
    replaces: Notice | None = None,
) -> Notice:
    """Post a notice on the board and the phones until it is taken down, or `until` has come.

    `valid_from`: it shows from then on, None from now. `in_other_words`: language tag → title and text in it.
    `replaces`: a notice that hangs out; it goes down at the same moment and stays readable as the version before.
    Raises NoticeRefused without a title, for a kind or a language that is none, for a time that is past, and for
    a notice that is down or replaced already.
    """
    title, text = title.strip(), text.strip()
    words = _checked_words(in_other_words or {})
    if not title:
        raise NoticeRefused("Write a title.")
    if kind not in Notice.Kind.values:
        raise NoticeRefused("Choose a kind of notice.")
    if until is not None and until <= max(now, valid_from or now):
        raise NoticeRefused("It would be over already: choose a later time.")
    before = _taken_down(event, replaces, now) if replaces is not None else None
    notice = Notice.objects.create(
        event=event,
        kind=kind,
        title=title,
        text=text,
        in_other_words=words,
        valid_from=valid_from if valid_from is not None and valid_from > now else None,
        until=until,
        replaces=before,
        posted_at=now,
        posted_by=actor.name[:150],
    )
    detail: dict[str, Any] = {"kind": notice.get_kind_display(), "text": text}
    if until is not None:
        detail["until_at"] = until.isoformat()
    if notice.valid_from is not None:
        detail["from_at"] = notice.valid_from.isoformat()
    if words:
        detail["languages"] = sorted(words)
    if before is not None:
        detail["before"] = {"title": before.title, "text": before.text}
    action = Action.NOTICE_POSTED if before is None else Action.NOTICE_REPLACED
    record(chain=event.slug, action=action, subject=title, actor=actor, now=now, detail=detail)
    return notice


def _checked_words(words: Mapping[str, OtherWords]) -> dict[str, dict[str, str]]:
    """Each language with its title and text, trimmed; a language without a title says nothing and is refused."""
    found: dict[str, dict[str, str]] = {}
    for tag, said in words.items():
        if not LANGUAGE.fullmatch(tag):
            raise NoticeRefused(f"{tag[:20]!r} is not a language: write it as es, or pt-BR.")
        title, text = said["title"].strip(), said["text"].strip()
        if not title:
            raise NoticeRefused(f"Write a title in {tag}.")
        if len(title) > LONGEST_TITLE or len(text) > LONGEST_TEXT:
            raise NoticeRefused(
                f"In {tag} it is too long: {LONGEST_TITLE} letters for the title, {LONGEST_TEXT} below."
            )
        found[tag] = {"title": title, "text": text}
    return found


def _taken_down(event: Event, replaced: Notice, now: datetime) -> Notice:
    """The notice that a new version takes the place of, taken down at this moment."""
    before = Notice.objects.select_for_update().filter(pk=replaced.pk, event=event).first()
    if before is None or before.withdrawn_at is not None or Notice.objects.filter(replaces=replaced).exists():
        raise NoticeRefused(f"“{replaced.title}” is down or replaced already. Look again.")
    before.withdrawn_at = now
    before.save(update_fields=["withdrawn_at"])
    return before


@transaction.atomic
def withdraw_notice(*, notice: Notice, actor: Actor, now: datetime) -> Notice:
    """Take a notice down. Raises NoticeRefused when it is down already."""
    notice = Notice.objects.select_for_update().select_related("event").get(pk=notice.pk)
    if notice.withdrawn_at is not None or (notice.until is not None and notice.until <= now):
        raise NoticeRefused(f"“{notice.title}” is down already.")
    notice.withdrawn_at = now
    notice.save(update_fields=["withdrawn_at"])
    record(
        chain=notice.event.slug,
        action=Action.NOTICE_WITHDRAWN,
        subject=notice.title,
        actor=actor,
        now=now,
    )
    return notice
