"""Reading notices."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Case, IntegerField, Q, QuerySet, Value, When

from events.safety.models import Notice
from events.setup.models import Event

CAUTION = "Local authorities and emergency services come first."
# How long the pages that showed a notice say that it was withdrawn (common practice, no source).
SAID_WITHDRAWN = timedelta(minutes=30)
# The gravest first; what is not named here comes after them.
_GRAVEST = (
    Notice.Kind.SUSPENSION,
    Notice.Kind.CANCELLED,
    Notice.Kind.RESUMPTION,
    Notice.Kind.HAZARD,
    Notice.Kind.WEATHER,
    Notice.Kind.DELAY,
    Notice.Kind.COURSE,
)

_ORDER = Case(
    *(When(kind=kind, then=Value(place)) for place, kind in enumerate(_GRAVEST)),
    default=Value(len(_GRAVEST)),
    output_field=IntegerField(),
)


def notices_now(event: Event, now: datetime) -> QuerySet[Notice]:
    """What hangs out at this moment: the gravest kinds first, of one kind the newest (1 query)."""
    hanging = Q(withdrawn_at__isnull=True) & (Q(until__isnull=True) | Q(until__gt=now))
    begun = Q(valid_from__isnull=True) | Q(valid_from__lte=now)
    return Notice.objects.filter(hanging & begun, event=event).order_by(_ORDER, "-posted_at", "-pk")


def notices_to_come(event: Event, now: datetime) -> QuerySet[Notice]:
    """What is written and shows later, the next first (1 query)."""
    rows = Notice.objects.filter(event=event, withdrawn_at__isnull=True, valid_from__gt=now)
    return rows.order_by("valid_from", "pk")


def notices_before(event: Event, now: datetime) -> QuerySet[Notice]:
    """What was taken down, replaced or has run out, the newest first (1 query)."""
    gone = Q(withdrawn_at__isnull=False) | Q(until__lte=now)
    rows = Notice.objects.filter(gone, event=event).select_related("replaced_by")
    return rows.order_by("-posted_at", "-pk")


@dataclass(frozen=True, slots=True)
class Seen:
    """What pages show at one moment. `withdrawn`: was taken down a short while ago, with nothing in its place.
    `changes_at`: when this changes by itself, None never."""

    hanging: tuple[Notice, ...]
    withdrawn: tuple[Notice, ...]
    changes_at: datetime | None


def notices_seen(event: Event, now: datetime) -> Seen:
    """What public pages show: what hangs, what was withdrawn within SAID_WITHDRAWN, and until when (1 query).

    Notices of a stop are not said to be withdrawn: the stop itself, or the restart, is on the same page.
    """
    lately = Q(withdrawn_at__gt=now - SAID_WITHDRAWN, replaced_by__isnull=True, suspension__isnull=True)
    recent = Q(withdrawn_at__isnull=True) | lately
    lasting = Q(until__isnull=True) | Q(until__gt=now)
    rows = Notice.objects.filter(recent & lasting, event=event).order_by(_ORDER, "-posted_at", "-pk")
    hanging, withdrawn = [], []
    moments: list[datetime] = []
    for row in rows:
        if row.valid_from is not None and row.valid_from > (row.withdrawn_at or now):
            if row.withdrawn_at is None:
                moments.append(
                    row.valid_from
                )  # to come; one that was withdrawn before it began was never shown
            continue
        moments += [row.until] if row.until is not None else []
        if row.withdrawn_at is None:
            hanging.append(row)
        else:
            withdrawn.append(row)
            moments.append(row.withdrawn_at + SAID_WITHDRAWN)
    return Seen(tuple(hanging), tuple(withdrawn), min(moments, default=None))
