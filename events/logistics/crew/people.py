"""Writing down who helps: facts, contact, certificates, hours.

The whole staff reads the log, so it gets names, roles and kinds of certificates; never a contact, an age or an hour.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.db import transaction

from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.crew.duties import CERTIFICATES, DUTIES
from events.logistics.crew.models import Certificate, FreeHours, Helper, HelperContact
from events.setup.models import Event


class CrewRefused(Exception):
    """It cannot be done as asked; the message is a sentence to show."""


class HasLeft(CrewRefused):
    """Somebody who is written down again was on the list and left; `helper` is the row to come back with."""

    def __init__(self, helper: Helper) -> None:
        self.helper = helper
        super().__init__(
            f"{helper.name} was on the list and has left: press “is back”, and the shifts are as they were."
        )


@transaction.atomic
def keep_helper(
    *,
    event: Event,
    helper: Helper | None,
    name: str,
    role: str,
    channel: str,
    duties: Sequence[str],
    entry: Entry | None,
    contact: Mapping[str, Any],
    actor: Actor,
    now: datetime,
) -> Helper:
    """Write somebody down, or change what is written (`helper`). `contact`: fields of HelperContact.

    Raises CrewRefused without a name, and for a player who is on the list already.
    """
    if not name.strip():
        raise CrewRefused("Write a name.")
    unknown = [code for code in duties if code not in DUTIES]
    if unknown:
        raise CrewRefused(f"{unknown[0]} is no duty: choose from the list.")
    Event.objects.select_for_update().get(pk=event.pk)
    others = Helper.objects.filter(event=event, entry=entry) if entry else Helper.objects.none()
    twin = (others.exclude(pk=helper.pk) if helper else others).first()
    if entry is not None and twin is not None and twin.left_at is not None:
        raise HasLeft(twin)
    if entry is not None and twin is not None:
        raise CrewRefused(f"{entry.person.name} is on the list already, as {twin.name}.")
    row = helper or Helper(event=event)
    row.name, row.role, row.channel = name.strip()[:80], role.strip()[:60], channel.strip()[:40]
    row.duties, row.entry = [code for code in DUTIES if code in set(duties)], entry
    row.save()
    HelperContact.objects.update_or_create(helper=row, defaults=dict(contact))
    detail = {"role": row.role, "duties": [DUTIES[code].label for code in row.duties]}
    _log(row, Action.HELPER_KEPT, detail, actor, now)
    return row


@transaction.atomic
def leave(*, helper: Helper, actor: Actor, now: datetime) -> None:
    """Off the list; the shifts count as free again, and come back with `come_back`. Raises CrewRefused."""
    if not Helper.objects.filter(pk=helper.pk, left_at__isnull=True).update(left_at=now):
        raise CrewRefused(f"{helper.name} has left already.")
    _log(helper, Action.HELPER_LEFT, {}, actor, now)


@transaction.atomic
def come_back(*, helper: Helper, actor: Actor, now: datetime) -> None:
    """Undo `leave`, with the shifts as they were. Raises CrewRefused for somebody who is here."""
    if not Helper.objects.filter(pk=helper.pk, left_at__isnull=False).update(left_at=None):
        raise CrewRefused(f"{helper.name} is on the list.")
    _log(helper, Action.HELPER_BACK, {}, actor, now)


@transaction.atomic
def keep_certificate(
    *, helper: Helper, kind: str, expires_on: date | None, actor: Actor, now: datetime
) -> Certificate:
    """Write down a certificate, or its new day of expiry. None: the day is not known, so it does not count yet.

    Raises CrewRefused for a kind that is none.
    """
    if kind not in CERTIFICATES:
        raise CrewRefused("Choose a certificate.")
    row, _ = Certificate.objects.update_or_create(
        helper=helper, kind=kind, defaults={"expires_on": expires_on}
    )
    _log(helper, Action.CERTIFICATE_KEPT, {"certificate": CERTIFICATES[kind]}, actor, now)
    return row


@transaction.atomic
def drop_certificate(*, helper: Helper, kind: str, actor: Actor, now: datetime) -> None:
    """Take a certificate off that was written by mistake. Raises CrewRefused where there is none."""
    gone, _ = Certificate.objects.filter(helper=helper, kind=kind).delete()
    if not gone:
        raise CrewRefused("This certificate is not there.")
    _log(helper, Action.CERTIFICATE_KEPT, {"taken off": CERTIFICATES[kind]}, actor, now)


@transaction.atomic
def keep_hours(
    *, helper: Helper, spans: Sequence[tuple[datetime, datetime]], actor: Actor, now: datetime
) -> None:
    """When somebody can come, all of it at once; none: nobody has asked. Raises CrewRefused where an end is not after
    its beginning."""
    if any(start >= end for start, end in spans):
        raise CrewRefused("The hours end before they begin: write the later time second.")
    helper.free_hours.all().delete()
    FreeHours.objects.bulk_create(
        FreeHours(helper=helper, starts_at=start, ends_at=end) for start, end in sorted(spans)
    )
    _log(helper, Action.FREE_HOURS_KEPT, {"spans": len(spans)}, actor, now)


def _log(helper: Helper, action: Action, detail: Mapping[str, object], actor: Actor, now: datetime) -> None:
    record(
        chain=helper.event.slug, action=action, subject=helper.name, actor=actor, now=now, detail=dict(detail)
    )
