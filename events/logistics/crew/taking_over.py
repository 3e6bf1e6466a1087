"""One list of who stands where: what was written on the page of marshals and spotters goes into the roster, and the
roster's people are handed back to that page and its paper."""

import re
from collections.abc import Mapping
from datetime import datetime, time

from django.db import transaction

from events.course.models import LayoutHole
from events.log.actions import Action
from events.log.services import Actor, record
from events.logistics.crew.models import Helper, HelperContact, Need, Post
from events.logistics.crew.pages import hours_text
from events.logistics.crew.people import CrewRefused
from events.logistics.crew.queries import Shift, shifts_of
from events.safety.duties import unassign
from events.safety.models import Assignment
from events.setup.models import Event

DUTY_OF: Mapping[str, str] = {
    Assignment.Duty.MARSHAL: "marshal",
    Assignment.Duty.SPOTTER: "spotter",
    Assignment.Duty.WEATHER: "weather",
    Assignment.Duty.FIRST_AID: "medical",
    Assignment.Duty.STEWARD: "steward",
    Assignment.Duty.PARKING: "parking",
    Assignment.Duty.OTHER: "other",
}
WATCH: Mapping[str, str] = {ours: theirs for theirs, ours in DUTY_OF.items() if ours != "other"}
_HOURS = re.compile(r"(\d{1,2})[:.](\d{2})\D+(\d{1,2})[:.](\d{2})")
WHOLE_DAY = time(7), time(19)


def listed_elsewhere(event: Event) -> int:
    """How many stand on the page of marshals and spotters and not in the roster (1 query)."""
    return Assignment.objects.filter(event=event).count()


@transaction.atomic
def take_over(*, event: Event, actor: Actor, now: datetime) -> int:
    """Make shifts of that list and take it off there: how many. Hours that cannot be read become the first day's, 07:00
    to 19:00, to be mended. Raises CrewRefused when the list is empty."""
    Event.objects.select_for_update().get(pk=event.pk)
    rows = list(Assignment.objects.filter(event=event).select_related("event").order_by("pk"))
    if not rows:
        raise CrewRefused("The list of marshals and spotters is empty.")
    helpers = {helper.name.casefold(): helper for helper in Helper.objects.filter(event=event, left_at=None)}
    for row in rows:
        helper = helpers.get(row.name.casefold())
        if helper is None:
            helper = Helper.objects.create(event=event, name=row.name)
            # Where it says channel or telephone it may be either: what is a contact stays with the desk.
            HelperContact.objects.create(helper=helper, phone=row.channel)
            helpers[row.name.casefold()] = helper
        first, last = _hours(row.shift)
        need = Need.objects.create(
            event=event,
            duty=DUTY_OF[row.duty],
            place=row.place,
            layout_hole=row.layout_hole,
            starts_at=event.at(event.starts_on, first),
            ends_at=event.at(event.starts_on, last),
            road=row.duty in {Assignment.Duty.STEWARD, Assignment.Duty.PARKING},
            task="" if _hours_known(row.shift) else f"Hours to be mended: {row.shift or 'none were written'}",
        )
        Post.objects.create(need=need, helper=helper, made_at=now, made_by=actor.name[:150])
        unassign(assignment=row, actor=actor, now=now)
    record(
        chain=event.slug,
        action=Action.DUTIES_TAKEN_OVER,
        subject="roster",
        actor=actor,
        now=now,
        detail={"shifts": len(rows)},
    )
    return len(rows)


def _hours_known(text: str) -> bool:
    return _hours(text) != WHOLE_DAY


def _hours(text: str) -> tuple[time, time]:
    """08:30 to 12:00 as two times; what cannot be read is the whole day."""
    found = _HOURS.search(text)
    if found is None:
        return WHOLE_DAY
    numbers = [int(part) for part in found.groups()]
    if numbers[0] > 23 or numbers[2] > 23 or numbers[1] > 59 or numbers[3] > 59:
        return WHOLE_DAY
    first, last = time(numbers[0], numbers[1]), time(numbers[2], numbers[3])
    return (first, last) if first < last else WHOLE_DAY


# --- Handed back -------------------------------------------------------------------------------------------------


def posted(event: Event) -> list[Assignment]:
    """The roster's people on the course as rows of the page of marshals and spotters, never saved (10 queries; 1 while
    nobody stands a shift). Somebody with several shifts at one place is one row with all the hours."""
    if not Post.objects.filter(need__event=event).exists():
        return []
    shifts = [shift for shift in shifts_of(event) if shift.duty in WATCH]
    wanted = [shift.hole_id for shift in shifts if shift.hole_id is not None]
    holes = {hole.pk: hole for hole in LayoutHole.objects.filter(pk__in=wanted).select_related("layout")}
    rows: dict[tuple[str, str, int], Assignment] = {}
    for shift in shifts:
        for each in shift.stands:
            row = rows.setdefault(
                (shift.duty, shift.place, each.helper_id),
                Assignment(
                    event=event,
                    duty=WATCH[shift.duty],
                    layout_hole=holes.get(shift.hole_id or 0),
                    place=shift.place,
                    name=each.name,
                    channel=each.channel or shift.channel,
                ),
            )
            row.shift = ", ".join(filter(None, (row.shift, _when(event, shift))))
    return list(rows.values())


def _when(event: Event, shift: Shift) -> str:
    if shift.span is None:
        return hours_text(event, None)
    return f"{event.local(shift.span.starts):%a} {hours_text(event, shift.span)}"
