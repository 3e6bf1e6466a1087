"""The page that lists every print of the slice, the prints, and the desk's forms for two of them."""

from collections.abc import Callable, Sequence

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.safety import papers as prints
from events.safety.computed import CAUTIONS
from events.safety.duties import DutyRefused, assign, save_plan, unassign
from events.safety.duty_forms import AssignmentForm, PlanForm
from events.safety.emergency_fields import SOURCE
from events.safety.models import Assignment, EmergencyPlan
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.asked import whole_number
from events.setup.models import Event, Role

MAY_PLAN = (Role.DIRECTOR, Role.MARSHAL)
Posted = Callable[
    [Event], Sequence[Assignment]
]  # who stands where by the roster, which lies above this floor


@staff(*EVERY_ROLE, write=())
def papers(request: EventRequest, slug: str, posted: Posted = prints.nobody_above) -> HttpResponse:
    """Every print with what it is for, and what stands in the way of a whole set."""
    plan = prints.plan_of(request.event)
    context = {
        "papers": prints.PAPERS,
        "layouts": prints.layouts_to_print(request.event),
        "uncovered": prints.uncovered_of(request.event, posted(request.event)),
        "lacking": [component for component in plan.components if component.lacks],
        "without_shelter": plan.without_shelter,
        "cautions": CAUTIONS,
        "here": "papers",
    }
    return render(request, "safety/papers.html", context)


@staff(*EVERY_ROLE, write=())
def paper(request: EventRequest, slug: str, what: str, posted: Posted = prints.nobody_above) -> HttpResponse:
    """One print; `?layout=` picks a layout where it is made by layout."""
    if what not in prints.PAPERS:
        raise Http404("There is no such paper.")
    layout = whole_number(request.GET.get("layout", ""))
    try:
        content = prints.paper_pdf(request.event, what, timezone.now(), layout, posted=posted)
    except prints.NothingToPrint as nothing:
        messages.warning(request, str(nothing))
        return redirect("safety:papers", slug)
    return shown_pdf(content, f"{slug}-{what}.pdf")


@staff(*EVERY_ROLE, write=(Role.DIRECTOR,))
def emergency(request: EventRequest, slug: str) -> HttpResponse:
    """The form of the emergency plan, with the published components as they stand."""
    standing = EmergencyPlan.objects.filter(event=request.event).first()
    begun = {**prints.plan_facts(standing), "version": standing.version if standing else 0}
    form = PlanForm(request.POST or None, initial=begun)
    if request.method == "POST" and form.is_valid():
        try:
            save_plan(
                event=request.event,
                facts=form.facts(),
                version=form.cleaned_data["version"],
                actor=request.actor,
                now=timezone.now(),
            )
        except DutyRefused as refused:
            for sentence in refused.sentences:
                form.add_error(None, sentence)
        else:
            messages.success(request, "The emergency plan is saved.")
            return redirect("safety:emergency", slug)
    context = {
        "form": form,
        "plan": prints.plan_of(request.event),
        "source": SOURCE,
        "may_write": request.role == Role.DIRECTOR,
        "cautions": CAUTIONS,
        "here": "emergency",
    }
    return render(request, "safety/emergency.html", context, status=422 if form.errors else 200)


@staff(*EVERY_ROLE, write=MAY_PLAN)
def duties(request: EventRequest, slug: str, posted: Posted = prints.nobody_above) -> HttpResponse:
    """Who stands where, and a form to assign the next."""
    form = AssignmentForm(request.POST or None, event=request.event)
    if request.method == "POST" and form.is_valid():
        try:
            row = assign(event=request.event, **form.cleaned_data, actor=request.actor, now=timezone.now())
        except DutyRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"{row.name} is at {row.place}.")
            return redirect("safety:duties", slug)
    above = posted(request.event)
    context = {
        "form": form,
        "rows": prints.duties_of(request.event, above),
        "uncovered": prints.uncovered_of(request.event, above),
        "may_assign": request.role in MAY_PLAN,
        "cautions": CAUTIONS,
        "here": "duties",
    }
    return render(request, "safety/duties.html", context, status=422 if form.errors else 200)


@staff(*MAY_PLAN)
@require_POST
def end_duty(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    assignment = get_object_or_404(Assignment.objects.select_related("event"), pk=pk, event=request.event)
    try:
        unassign(assignment=assignment, actor=request.actor, now=timezone.now())
    except DutyRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, f"{assignment.name} is off {assignment.place}.")
    return redirect("safety:duties", slug)
