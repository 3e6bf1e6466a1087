"""Reading notices."""

from datetime import datetime

from django.db.models import Case, IntegerField, Q, QuerySet, Value, When

from events.safety.models import Notice
from events.setup.models import Event

CAUTION = "Local authorities and emergency services come first."
CAUTIOUS = frozenset(Notice.Kind) - {Notice.Kind.NEWS}

_ORDER = Case(
    When(kind=Notice.Kind.HAZARD, then=Value(0)),
    When(kind=Notice.Kind.DELAY, then=Value(1)),
    default=Value(2),
    output_field=IntegerField(),
)


def notices_now(event: Event, now: datetime) -> QuerySet[Notice]:
    """What hangs out at this moment: hazards, delays, the rest; the newest first (1 query)."""
    hanging = Q(withdrawn_at__isnull=True) & (Q(until__isnull=True) | Q(until__gt=now))
    return Notice.objects.filter(hanging, event=event).order_by(_ORDER, "-posted_at", "-pk")


def notices_before(event: Event, now: datetime) -> QuerySet[Notice]:
    """What was taken down or has run out, the newest first (1 query)."""
    gone = Q(withdrawn_at__isnull=False) | Q(until__lte=now)
    return Notice.objects.filter(gone, event=event).order_by("-posted_at", "-pk")


def caution_for(notice: Notice) -> str:
    """The sentence that stands under every notice but plain news; "" under that."""
    return CAUTION if notice.kind in CAUTIOUS else ""
