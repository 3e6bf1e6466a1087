"""A list of approved discs on its way in: uploaded, looked at, then taken whole or not at all."""

import hashlib
from datetime import date, datetime

from django.db import transaction

from events.bags.lists import choose_list, refuse_over
from events.bags.models import ListFile
from events.log.services import Actor
from events.setup.models import Event
from players.approved import ListRefused, import_list, look_at
from players.approved_reading import ListRead
from players.models import ApprovedList

__all__ = ["ListRefused", "drop_file", "keep_file", "look", "take_file"]


@transaction.atomic
def keep_file(
    *, event: Event, content: bytes, file_name: str, as_of: date, actor: Actor, now: datetime
) -> ListFile:
    """Keep an upload until somebody has looked at it; the same one again is the one that waits.

    Raises `events.sheets.refusal.Refused` for a file that cannot be read, ListChoiceRefused once the event is over.
    """
    refuse_over(event)
    look_at(content=content, file_name=file_name, as_of=as_of)
    file, _ = ListFile.objects.get_or_create(
        event=event,
        sha256=hashlib.sha256(content).hexdigest(),
        as_of=as_of,
        taken=None,
        defaults={
            "name": file_name[-200:],  # its ending says how to read it
            "content": content,
            "kept_at": now,
            "kept_by": actor.name[:150],
        },
    )
    return file


def look(file: ListFile) -> ListRead:
    """What the file holds and what is wrong with it; nothing is written."""
    return look_at(content=bytes(file.content), file_name=file.name, as_of=file.as_of)


@transaction.atomic
def take_file(*, file: ListFile, use: bool, actor: Actor, now: datetime) -> ApprovedList:
    """Make a snapshot of the file, and with `use` let its event go by it; taken twice it is one snapshot.

    What comes in at an invented event stays with invented events. Raises ListRefused and then keeps nothing;
    ListChoiceRefused once the event is over.
    """
    file = ListFile.objects.select_for_update(of=("self",)).select_related("event", "taken").get(pk=file.pk)
    if file.taken is not None:
        return file.taken
    refuse_over(file.event)
    snapshot = import_list(
        content=bytes(file.content),
        file_name=file.name,
        as_of=file.as_of,
        invented=file.event.is_demo,
        actor=actor,
        now=now,
    )
    file.taken, file.content = snapshot, b""
    file.save(update_fields=["taken", "content"])
    if use:
        choose_list(event=file.event, approved=snapshot, actor=actor, now=now)
    return snapshot


@transaction.atomic
def drop_file(*, file: ListFile) -> None:
    """Forget an upload that waits; one that was taken stays. Nothing came of it, so no line of the log."""
    ListFile.objects.filter(pk=file.pk, taken=None).delete()
