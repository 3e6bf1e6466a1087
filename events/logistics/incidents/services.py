"""Writing an incident, and adding to it. The log gets a number and a digest: the whole staff reads the log."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max

from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.incidents.hashing import WRITTEN, digest_of
from events.logistics.incidents.models import Addition, Incident
from events.setup.models import Event


class IncidentRefused(Exception):
    """It cannot be written so; the message is a sentence to show."""


@transaction.atomic
def write_incident(*, event: Event, facts: Mapping[str, Any], actor: Actor, now: datetime) -> Incident:
    """Write down what happened; it gets the next number. `facts`: fields of Incident from kind to done_by.

    Raises IncidentRefused without what and where, and for a moment that has not come yet.
    """
    kept: dict[str, Any] = {
        name: value.strip() if isinstance(value, str) else value for name, value in facts.items()
    }
    if not kept.get("what") or not kept.get("place"):
        raise IncidentRefused("Say what happened and where.")
    if kept.get("kind") not in Incident.Kind.values:
        raise IncidentRefused("Choose what kind it is.")
    if kept["happened_at"] > now:
        raise IncidentRefused("This moment has not come yet: write when it happened.")
    Event.objects.select_for_update().get(pk=event.pk)  # one number after the other
    last = Incident.objects.filter(event=event).aggregate(last=Max("number"))["last"] or 0
    incident = Incident.objects.create(
        event=event,
        number=last + 1,
        **kept,
        written_at=now,
        written_by=actor.name[:150],
        writer_id=actor.id,
    )
    _log(incident, Action.INCIDENT_WRITTEN, facts_of(incident), actor, now)
    return incident


@transaction.atomic
def add_to(*, incident: Incident, text: str, actor: Actor, now: datetime) -> Addition:
    """What was learned or done later. What stands above is never changed. Raises IncidentRefused without a word."""
    if not text.strip():
        raise IncidentRefused("Write what is added.")
    addition = Addition.objects.create(
        incident=incident, text=text.strip(), written_at=now, written_by=actor.name[:150]
    )
    _log(incident, Action.INCIDENT_ADDED, {"addition": addition.text}, actor, now)
    return addition


def facts_of(incident: Incident) -> dict[str, object]:
    return {name: getattr(incident, name) for name in WRITTEN}


def _log(
    incident: Incident, action: Action, facts: Mapping[str, object], actor: Actor, now: datetime
) -> None:
    record(
        chain=incident.event.slug,
        action=action,
        subject=str(incident),
        actor=actor,
        now=now,
        detail={"sha256": digest_of(facts)},
    )
