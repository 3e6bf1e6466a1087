"""The list of helpers with how to reach them, and the page of one: for director and desk only."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.logistics.crew.forms import CertificateForm, HelperForm, HoursForm
from events.logistics.crew.models import Helper
from events.logistics.crew.pages import day_blocks, helper_rows
from events.logistics.crew.people import (
    CrewRefused,
    HasLeft,
    come_back,
    drop_certificate,
    keep_certificate,
    keep_helper,
    keep_hours,
    leave,
)
from events.logistics.crew.playing import OutOf
from events.logistics.crew.roster import roster_of
from events.logistics.crew.views import CAUTIONS, PLANNERS
from events.logistics.tabs import logistics_tabs
from events.setup.access import EventRequest, staff


@staff(*PLANNERS)
def people(request: EventRequest, slug: str) -> HttpResponse:
    """Everybody who helps; posting the form writes down the next."""
    event = request.event
    form = HelperForm(request.POST or None, event=event)
    left: Helper | None = None
    if request.method == "POST" and form.is_valid():
        try:
            helper = keep_helper(
                event=event, helper=None, **form.facts(), actor=request.actor, now=timezone.now()
            )
        except CrewRefused as refused:
            form.add_error(None, str(refused))
            left = refused.helper if isinstance(refused, HasLeft) else None
        else:
            messages.success(request, f"{helper.name} is on the list.")
            return redirect("crew:people", slug)
    context = {
        "form": form,
        "has_left": left,
        "rows": helper_rows(event, roster_of(event, timezone.now()), on=event.ends_on),
        "gone": list(Helper.objects.filter(event=event, left_at__isnull=False).order_by("name", "pk")),
        "tabs": logistics_tabs(event, "crew:overview"),
    }
    return render(request, "crew/people.html", context, status=422 if form.errors else 200)


@staff(*PLANNERS)
def person(request: EventRequest, slug: str, pk: int, out_of: OutOf) -> HttpResponse:
    """One helper: facts and contact, certificates, hours, shifts."""
    helper = _helper(request, pk)
    form = HelperForm(request.POST or None, event=request.event, initial=HelperForm.begun(helper))
    if request.method == "POST" and form.is_valid():
        try:
            keep_helper(
                event=request.event, helper=helper, **form.facts(), actor=request.actor, now=timezone.now()
            )
        except CrewRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"{helper.name} is saved.")
            return redirect("crew:person", slug, pk)
    return _page(request, helper, out_of, form=form)


@staff(*PLANNERS)
@require_POST
def certificate(request: EventRequest, slug: str, pk: int, out_of: OutOf) -> HttpResponse:
    helper, form = _helper(request, pk), CertificateForm(request.POST)
    if not form.is_valid():
        return _page(request, helper, out_of, certificate_form=form)
    return _act(request, helper, keep_certificate, "The certificate is kept.", **form.cleaned_data)


@staff(*PLANNERS)
@require_POST
def certificate_off(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    kind = request.POST.get("kind", "")
    return _act(request, _helper(request, pk), drop_certificate, "The certificate is taken off.", kind=kind)


@staff(*PLANNERS)
@require_POST
def hours(request: EventRequest, slug: str, pk: int, out_of: OutOf) -> HttpResponse:
    helper, form = _helper(request, pk), HoursForm(request.POST, event=request.event)
    if not form.is_valid():
        return _page(request, helper, out_of, hours_form=form)
    return _act(request, helper, keep_hours, "The hours are kept.", spans=form.spans())


@staff(*PLANNERS)
@require_POST
def gone(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Off the list; with `not` back on it."""
    helper = _helper(request, pk)
    if "not" in request.POST:
        return _act(request, helper, come_back, f"{helper.name} is back, with the shifts as they were.")
    words = f"{helper.name} has left; the shifts are free. Take it back below the list of people."
    return _act(request, helper, leave, words)


def _helper(request: EventRequest, pk: int) -> Helper:
    rows = Helper.objects.select_related("event", "contact", "entry__person")
    return get_object_or_404(rows.prefetch_related("certificates", "free_hours"), pk=pk, event=request.event)


def _page(
    request: EventRequest,
    helper: Helper,
    out_of: OutOf,
    *,
    form: HelperForm | None = None,
    certificate_form: CertificateForm | None = None,
    hours_form: HoursForm | None = None,
) -> HttpResponse:
    event = request.event
    roster = roster_of(event, timezone.now(), out_of=out_of)
    wrong = any(each is not None and each.errors for each in (form, certificate_form, hours_form))
    context = {
        "helper": helper,
        "form": form or HelperForm(event=event, initial=HelperForm.begun(helper)),
        "certificate_form": certificate_form or CertificateForm(),
        "hours_form": hours_form or HoursForm(event=event, initial=HoursForm.begun(helper)),
        "days": day_blocks(event, roster, only=helper.pk),
        "odd": [each for each in roster.cautions if each.person_id == helper.pk],
        "tabs": logistics_tabs(event, "crew:overview"),
        "cautions": CAUTIONS,
    }
    return render(request, "crew/person.html", context, status=422 if wrong else 200)


def _act(
    request: EventRequest, helper: Helper, service: Callable[..., object], done: str, **facts: Any
) -> HttpResponse:
    try:
        service(helper=helper, **facts, actor=request.actor, now=timezone.now())
    except CrewRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, done)
    return redirect("crew:person", request.event.slug, helper.pk)
