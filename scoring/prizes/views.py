"""The pages of the purse: every division, one with its working, the payout posted."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.setup.access import EventRequest, staff
from events.setup.models import Division, Event, Role
from scoring.prizes import pages
from scoring.prizes.awards import awards_of
from scoring.prizes.forms import DivisionPlanForm, EventPlanForm, PublishedForm, WayForm
from scoring.prizes.models import DivisionPlan, TakenTable
from scoring.prizes.planning import fees_of_absent, posting_warning, purse_of
from scoring.prizes.services import (
    PrizesRefused,
    plan_division,
    plan_prizes,
    plan_the_rest,
    post_payout,
    publish_fees,
)
from scoring.prizes.still_open import open_in
from scoring.prizes.working import NO_WAY

READERS = (Role.DIRECTOR, Role.DESK)


def tables_of(event: Event) -> list[TakenTable]:
    """The tables that the director took (1 query)."""
    return list(TakenTable.objects.filter(event=event).order_by("name"))


@staff(*READERS, write=())
def overview(request: EventRequest, slug: str) -> HttpResponse:
    return _overview(request)


def _overview(request: EventRequest, status: int = 200, **forms: Any) -> HttpResponse:
    event, now = request.event, timezone.now()
    purse = purse_of(event)
    director = request.role is Role.DIRECTOR
    context = {
        "tabs": pages.tabs(event, "overview"),
        "purse": purse,
        "lines": pages.purse_lines(purse),
        "open": [each for each in purse.divisions if each.problem],
        "without": sum(each.problem == NO_WAY for each in purse.divisions),
        "late": posting_warning(event, purse.book, now),
        "posted": pages.posted_words(event, purse.posted),
        "changed": pages.changed(purse),
        "director": director,
        "plan_form": EventPlanForm.of(purse.plan),
        "published_form": PublishedForm(event=event, initial={"at": now}),
        "way_form": WayForm(tables=tables_of(event)),
    }
    return render(request, "prizes/overview.html", context | forms, status=status)


@staff(Role.DIRECTOR)
def event_plan(request: EventRequest, slug: str) -> HttpResponse:
    """Added cash and the words about handing out."""
    if request.method != "POST":
        return redirect("prizes:overview", slug)
    form = EventPlanForm(request.POST)
    if form.is_valid():
        try:
            plan_prizes(event=request.event, **form.cleaned_data, actor=request.actor, now=timezone.now())
        except PrizesRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Saved.")
            return redirect("prizes:overview", slug)
    return _overview(request, 422, plan_form=form)


@staff(Role.DIRECTOR)
def fees_published(request: EventRequest, slug: str) -> HttpResponse:
    """When the fees that pass through were published."""
    if request.method != "POST":
        return redirect("prizes:overview", slug)
    form = PublishedForm(request.POST, event=request.event)
    if form.is_valid():
        try:
            publish_fees(
                event=request.event, at=form.cleaned_data["at"], actor=request.actor, now=timezone.now()
            )
        except PrizesRefused as refused:
            form.add_error("at", str(refused))
        else:
            messages.success(request, "Kept with the prizes.")
            return redirect("prizes:overview", slug)
    return _overview(request, 422, published_form=form)


@staff(Role.DIRECTOR)
def the_rest(request: EventRequest, slug: str) -> HttpResponse:
    """One way for every division that has none."""
    if request.method != "POST":
        return redirect("prizes:overview", slug)
    form = WayForm(request.POST, tables=tables_of(request.event))
    if not form.is_valid():
        return _overview(request, 422, way_form=form)
    try:
        planned = plan_the_rest(
            event=request.event, facts=form.facts(), actor=request.actor, now=timezone.now()
        )
    except PrizesRefused as refused:
        messages.warning(request, str(refused))
    else:
        said = f"Planned: {', '.join(planned)}." if planned else "Every division has its way."
        messages.success(request, said)
    return redirect("prizes:overview", slug)


@staff(Role.DIRECTOR)
@require_POST
def post(request: EventRequest, slug: str) -> HttpResponse:
    try:
        payout = post_payout(event=request.event, actor=request.actor, now=timezone.now())
    except PrizesRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, f"Payout version {payout.number} is posted: print it and hang it up.")
    return redirect("prizes:overview", slug)


@staff(*READERS, write=(Role.DIRECTOR,))
def division(request: EventRequest, slug: str, code: str) -> HttpResponse:
    """One division with its working; its form plans it."""
    event = request.event
    found = get_object_or_404(Division, event=event, code=code, dropped_at=None)
    form = _division_form(request, found)
    if request.method == "POST" and form.is_valid() and _planned(request, found, form):
        messages.success(request, f"{code} is planned.")
        return redirect("prizes:division", slug, code)
    awards = awards_of(event)
    working = awards.purse.of(code)
    assert working is not None  # it is offered
    awarded = next((each for each in awards.divisions if each.code == code), None)
    absent, absent_net = fees_of_absent(awards.purse, found)
    context = {
        "tabs": pages.tabs(event, "overview"),
        "working": working,
        "form": form,
        "money_lines": pages.money_lines(working, awards.purse),
        "depth": pages.depth_line(working),
        "base_words": pages.base_words(working, awarded),
        "rungs": pages.rungs(working, awarded),
        "left": pages.left_lines(awarded) if awarded is not None and awarded.awarded.split.shares else [],
        "awarded": awarded,
        "posted": pages.posted_words(event, awards.purse.posted),
        "changed": code in awards.changed,
        "share_of_gross": pages.share_of_gross(working),
        "absent": absent,
        "absent_net": absent_net,
        "director": request.role is Role.DIRECTOR,
        "codes": [each.code for each in awards.purse.divisions],
        "todo": [line for line in open_in(awards) if line.startswith(f"{code}")],
    }
    return render(request, "prizes/division.html", context, status=422 if form.errors else 200)


def _division_form(request: EventRequest, found: Division) -> DivisionPlanForm:
    plan = DivisionPlan.objects.filter(division=found).first()
    return DivisionPlanForm.of(
        plan,
        tables_of(request.event),
        professional=pages.is_professional(request.event, found.code),
        data=request.POST if request.method == "POST" else None,
    )


def _planned(request: EventRequest, found: Division, form: DivisionPlanForm) -> bool:
    """Whether the plan was taken; else the reason is on the form."""
    try:
        plan_division(
            division=found,
            version=form.cleaned_data["version"],
            facts=form.facts(),
            actor=request.actor,
            now=timezone.now(),
        )
    except PrizesRefused as refused:
        form.add_error(None, str(refused))
    except ValidationError as problem:
        form.add_error(None, " ".join(problem.messages))
    else:
        return True
    return False
