"""The roster sheet and the briefing sheets: names, places, hours and channels; no contact, no age."""

from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from events.entries.paper_views import head_of
from events.logistics.crew.models import Helper
from events.logistics.crew.pages import day_blocks
from events.logistics.crew.prints import Brief, BriefShift, Told, briefing_sheets, roster_sheet
from events.logistics.crew.roster import Roster, roster_of
from events.safety.models import EmergencyPlan
from events.safety.paper_parts import horn_legend
from events.safety.restart import restart_rule
from events.setup.access import AT_WORK, EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.models import Event
from events.setup.overview import moment_text
from events.setup.queries import rulebook_for

NOT_THERE = "missing"
CALLED = (
    ("Emergency", "emergency_number"),
    ("Address for it", "address"),
    ("In command", "lead"),
    ("Defibrillator", "aed"),
    ("Meet at", "muster"),
    ("Radio", "communication"),
)


@staff(*AT_WORK, write=())
def roster_paper(request: EventRequest, slug: str) -> HttpResponse:
    event, now = request.event, timezone.now()
    blocks = day_blocks(event, roster_of(event, now))
    content = roster_sheet(head_of(event), blocks, printed=moment_text(event, now))
    return shown_pdf(content, f"{slug}-roster.pdf")


@staff(*AT_WORK, write=())
def briefings(request: EventRequest, slug: str) -> HttpResponse:
    """One sheet for each who stands a shift, by name."""
    roster = roster_of(request.event, timezone.now())
    standing = {each.helper_id for shift in roster.shifts for each in shift.stands}
    helpers = [helper for pk, helper in roster.helpers.items() if pk in standing]
    if not helpers:
        messages.warning(request, "Nobody stands a shift yet: put somebody on one first.")
        return redirect("crew:overview", slug)
    return _sheets(request, roster, helpers, f"{slug}-briefings.pdf")


@staff(*AT_WORK, write=())
def briefing(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    helper = get_object_or_404(Helper, pk=pk, event=request.event)
    roster = roster_of(request.event, timezone.now())
    return _sheets(request, roster, [helper], f"{slug}-briefing-{pk}.pdf")


def _sheets(request: EventRequest, roster: Roster, helpers: list[Helper], name: str) -> HttpResponse:
    event = request.event
    found = [_brief(event, roster, helper) for helper in helpers]
    printed = moment_text(event, timezone.now())
    return shown_pdf(briefing_sheets(head_of(event), found, _told(event), printed=printed), name)


def _brief(event: Event, roster: Roster, helper: Helper) -> Brief:
    """What one helper has to know; others on the same shift by name."""
    shifts = []
    for block in day_blocks(event, roster, only=helper.pk):
        for row in block.rows:
            shift = row.shift
            own = next(each for each in shift.stands if each.helper_id == helper.pk)
            shifts.append(
                BriefShift(
                    day=block.heading,
                    hours=row.hours,
                    duty=shift.label,
                    place=shift.place,
                    channel=own.channel or shift.channel,
                    task=shift.task,
                    beside=tuple(each.name for each in shift.stands if each.helper_id != helper.pk),
                    long=row.long,
                )
            )
    return Brief(helper.name, helper.role, tuple(shifts))


def _told(event: Event) -> Told:
    plan = EmergencyPlan.objects.filter(event=event).first()
    facts: Mapping[str, str] = plan.facts if plan is not None else {}
    rule = restart_rule(rulebook_for(event))
    return Told(
        called=tuple((label, facts.get(key) or NOT_THERE) for label, key in CALLED),
        horn=tuple(horn_legend(rule)),
        horn_source=rule.stop_source,
    )
