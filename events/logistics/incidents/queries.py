"""Reading incidents: all of them for the desk, their own for whoever wrote one."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from events.log.actions import Action
from events.log.models import Act
from events.logistics.incidents.hashing import digest_of
from events.logistics.incidents.models import Addition, Incident
from events.logistics.incidents.services import facts_of
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class Told:
    """An incident with what was added. `as_written`: everything is still as the log has its digest."""

    incident: Incident
    additions: tuple[Addition, ...]
    as_written: bool


def incidents_of(event: Event) -> QuerySet[Incident]:
    return Incident.objects.filter(event=event).prefetch_related("additions").order_by("-number")


def written_by(event: Event, account: int | None) -> QuerySet[Incident]:
    """Those that this account wrote: whoever writes one may read it again, and no other."""
    return incidents_of(event).filter(writer_id=account, writer_id__isnull=False)


def told(event: Event, incidents: Sequence[Incident]) -> list[Told]:
    """Each held against the log (1 query more than `incidents` took)."""
    acts = Act.objects.filter(
        chain_id=event.slug, action__in=[Action.INCIDENT_WRITTEN, Action.INCIDENT_ADDED]
    )
    logged: dict[str, Counter[str]] = {}
    for subject, digest in acts.values_list("subject", "detail__sha256"):
        logged.setdefault(subject, Counter())[digest] += 1
    return [_told(incident, logged.get(str(incident), Counter())) for incident in incidents]


def _told(incident: Incident, logged: Counter[str]) -> Told:
    """The log must hold exactly these digests: one too many is an addition that is gone."""
    additions = tuple(sorted(incident.additions.all(), key=lambda each: (each.written_at, each.pk)))
    digests = Counter([digest_of(facts_of(incident))])
    digests.update(digest_of({"addition": addition.text}) for addition in additions)
    return Told(incident, additions, digests == logged)


def gone_numbers(event: Event, incidents: Sequence[Incident]) -> list[int]:
    """Incidents that the log or a later number knows, and that are not there any more (1 query). `incidents`: all of
    the event's."""
    acts = Act.objects.filter(chain_id=event.slug, action=Action.INCIDENT_WRITTEN)
    there = {incident.number for incident in incidents}
    logged = [int(subject.split()[-1]) for subject in acts.values_list("subject", flat=True)]
    return [number for number in range(1, max([*there, *logged], default=0) + 1) if number not in there]
