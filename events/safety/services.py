"""Writing notices: posted and taken down, never changed."""

from datetime import datetime

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.safety.models import Notice
from events.setup.models import Event


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
) -> Notice:
    """Post a notice on the board and the phones until it is taken down, or `until` has come.

    Raises NoticeRefused without a title, for a kind that is none, and for a time that is past.
    """
    title, text = title.strip(), text.strip()
    if not title:
        raise NoticeRefused("Write a title.")
    if kind not in Notice.Kind.values:
        raise NoticeRefused("A notice is a notice, a hazard or a delay.")
    if until is not None and until <= now:
        raise NoticeRefused("It would be over already: choose a later time.")
    notice = Notice.objects.create(
        event=event,
        kind=kind,
        title=title,
        text=text,
        until=until,
        posted_at=now,
        posted_by=actor.name[:150],
    )
    detail = {"kind": notice.get_kind_display(), "text": text}
    if until is not None:
        detail["until_at"] = until.isoformat()
    record(chain=event.slug, action=Action.NOTICE_POSTED, subject=title, actor=actor, now=now, detail=detail)
    return notice


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
