"""What logistics keep of the days of an event, when the event is moved: shifts with hours of their own, and the items
of a day. When helpers can come is asked anew, and a task of a fixed day stays on it."""

from datetime import timedelta

from events.logistics.crew.models import Need
from events.logistics.running.models import RunItem
from events.setup.models import Event
from events.setup.moving import at_same_hour


def move_plans(event: Event, days: int) -> dict[str, int]:
    """Part of the service that moves an event."""
    shifts = list(Need.objects.filter(event=event, starts_at__isnull=False, ends_at__isnull=False))
    for shift in shifts:
        assert shift.starts_at is not None
        assert shift.ends_at is not None
        shift.starts_at = at_same_hour(event, shift.starts_at, days)
        shift.ends_at = at_same_hour(event, shift.ends_at, days)
    Need.objects.bulk_update(shifts, ["starts_at", "ends_at"])
    items = list(RunItem.objects.filter(event=event).order_by("day" if days < 0 else "-day"))
    for item in items:  # one after the other: a usual item stands once on each day
        item.day += timedelta(days=days)
        item.save(update_fields=["day"])
    return {"shifts with own hours": len(shifts), "items of a day": len(items)}
