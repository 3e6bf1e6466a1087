"""The log of incidents: director and desk read it; a marshal writes one and reads only the own."""

from datetime import datetime

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from events.course.models import LayoutHole
from events.entries.paper_views import head_of
from events.logistics.incidents.forms import IncidentForm
from events.logistics.incidents.models import Incident
from events.logistics.incidents.prints import incident_sheets
from events.logistics.incidents.queries import gone_numbers, incidents_of, told, written_by
from events.logistics.incidents.services import IncidentRefused, add_to, write_incident
from events.logistics.tabs import logistics_tabs
from events.safety.models import EmergencyPlan
from events.setup.access import EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.models import Event, Role
from events.setup.overview import moment_text

READERS = (Role.DIRECTOR, Role.DESK)
WRITERS = (*READERS, Role.MARSHAL)
CAUTIONS = (
    "Somebody hurt: call for help first, write afterwards. First aid is for those licensed for it.",
    "Write what was seen and done, by whom and when. Blame and legal questions are for those licensed for them.",
    "What is written stays; what is learned later is added.",
    "How long it may be kept is a matter of local law.",
)


@staff(*WRITERS)
def overview(request: EventRequest, slug: str) -> HttpResponse:
    """Writing one down, and those that may be read."""
    event, now = request.event, timezone.now()
    form = IncidentForm(request.POST or None, event=event, now=now)
    if request.method == "POST" and form.is_valid():
        try:
            incident = write_incident(event=event, facts=form.cleaned_data, actor=request.actor, now=now)
        except IncidentRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"Incident {incident.number} is written down.")
            return redirect("incidents:overview", slug)
    plan = EmergencyPlan.objects.filter(event=event).first()
    readable, reads_all = list(_readable(request)), request.role in READERS
    context = {
        "form": form,
        "incidents": readable,
        "gone": gone_numbers(event, readable) if reads_all else [],
        "reads_all": reads_all,
        "places": _places(event),
        "emergency": plan.facts.get("emergency_number", "") if plan else "",
        "address": plan.facts.get("address", "") if plan else "",
        "cautions": CAUTIONS,
        "tabs": logistics_tabs(event, "incidents:overview"),
    }
    return render(request, "incidents/overview.html", context, status=422 if form.errors else 200)


@staff(*WRITERS)
def incident(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """One incident with its additions; posting adds."""
    found = get_object_or_404(_readable(request).select_related("event"), pk=pk)
    typed, status = "", 200
    if request.method == "POST":
        typed = request.POST.get("text", "")
        try:
            add_to(incident=found, text=typed, actor=request.actor, now=timezone.now())
        except IncidentRefused as refused:
            messages.error(request, str(refused))
            status = 422
        else:
            messages.success(request, f"Added to incident {found.number}.")
            return redirect("incidents:incident", slug, pk)
    context = {
        "told": told(request.event, [found])[0],
        "typed": typed,
        "reads_all": request.role in READERS,
        "cautions": CAUTIONS,
        "tabs": logistics_tabs(request.event, "incidents:overview"),
    }
    return render(request, "incidents/incident.html", context, status=status)


@staff(*READERS, write=())
def paper(request: EventRequest, slug: str, pk: int | None = None) -> HttpResponse:
    """One incident, or all of them, to print."""
    event = request.event
    rows = incidents_of(event)
    found = list(rows.filter(pk=pk) if pk is not None else rows)
    if not found and pk is not None:
        raise Http404("There is no such incident.")
    if not found:
        messages.warning(request, "No incident is written down: there is nothing to print.")
        return redirect("incidents:overview", slug)

    def moment(at: datetime) -> str:
        return moment_text(event, at)

    printed = moment_text(event, timezone.now())
    gone = gone_numbers(event, found) if pk is None else []
    content = incident_sheets(head_of(event), told(event, found), moment, printed=printed, gone=gone)
    name = f"{slug}-incident-{found[0].number}.pdf" if pk is not None else f"{slug}-incidents.pdf"
    return shown_pdf(content, name)


def _readable(request: EventRequest) -> QuerySet[Incident]:
    if request.role in READERS:
        return incidents_of(request.event)
    return written_by(request.event, request.actor.id)


def _places(event: Event) -> list[str]:
    rows = LayoutHole.objects.filter(layout__event=event).select_related("layout")
    return [f"{row.layout} {row.label}" for row in rows.order_by("layout__name", "position")]
