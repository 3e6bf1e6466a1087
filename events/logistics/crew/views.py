"""The roster: shifts of each day, who stands them, what is free, and the suggestion that fills it."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.logistics.crew.duties import OWN_DIVISION_RULE, PRACTICE
from events.logistics.crew.filling import in_hours, suggest
from events.logistics.crew.forms import NeedForm
from events.logistics.crew.models import Helper, Need, Post
from events.logistics.crew.pages import hours_text, named, roster_page
from events.logistics.crew.people import CrewRefused
from events.logistics.crew.playing import OutOf
from events.logistics.crew.roster import roster_of
from events.logistics.crew.services import (
    drop_need,
    keep_need,
    put,
    seen,
    take_back_suggestion,
    take_need_back,
    take_off,
    take_suggestion,
    work_out_shifts,
)
from events.logistics.crew.taking_over import listed_elsewhere, take_over
from events.logistics.tabs import logistics_tabs
from events.setup.access import AT_WORK, EventRequest, staff
from events.setup.asked import page_key, whole_number
from events.setup.models import Role

PLANNERS = (Role.DIRECTOR, Role.DESK)
ON_THE_COURSE = (*PLANNERS, Role.MARSHAL)
CAUTIONS = (
    "First aid is for those licensed for it. Local authorities, the land owner and emergency services come first.",
    "Nobody under age stands alone where vehicles pass. Directing public traffic is for the road authority or police.",
    f"An official who plays does not rule on the own division ({OWN_DIVISION_RULE}).",
    "Laws on work, on minors and on insurance come before any figure here.",
)


@staff(*AT_WORK, write=())
def overview(request: EventRequest, slug: str, out_of: OutOf) -> HttpResponse:
    """The roster by days. Who is under age is told to director and desk only."""
    event, planner = request.event, request.role in PLANNERS
    now = timezone.now()
    roster, today = roster_of(event, now, out_of=out_of), event.local(now).date()
    show = request.GET.get("show", "")
    context = {
        "tabs": logistics_tabs(event, "crew:overview"),
        "page": roster_page(event, roster, personal=planner, show=show, today=today),
        "may_plan": planner,
        "may_see": request.role in ON_THE_COURSE,
        "elsewhere": listed_elsewhere(event),
        "show": show,
        "cautions": CAUTIONS,
        "practice": PRACTICE,
    }
    return render(request, "crew/roster.html", context)


@staff(*PLANNERS)
@require_POST
def work_out(request: EventRequest, slug: str) -> HttpResponse:
    new, gone = work_out_shifts(event=request.event, actor=request.actor, now=timezone.now())
    stray = f", {gone} that nothing asks for any more are gone" if gone else ""
    words = f"{new} shifts are new{stray}." if new or gone else "Every shift that the plan asks for is there."
    messages.success(request, words)
    return redirect("crew:overview", slug)


@staff(*PLANNERS)
@require_POST
def put_on(request: EventRequest, slug: str, pk: int, out_of: OutOf) -> HttpResponse:
    """Somebody, by the typed name, on a shift."""
    need = get_object_or_404(Need.objects.select_related("event"), pk=pk, event=request.event)
    typed = request.POST.get("who", "")
    helpers = list(Helper.objects.filter(event=request.event, left_at__isnull=True).order_by("name", "pk"))
    helper = named(helpers, typed)
    if helper is None:
        known = f"“{typed.strip()}” is nobody on the list, or more than one" if typed.strip() else "No name"
        messages.error(request, f"{need}: {known}. Choose a name from the list, or write them down first.")
        return _back(request, need)
    try:
        against = put(need=need, helper=helper, actor=request.actor, now=timezone.now(), out_of=out_of)
    except CrewRefused as refused:
        messages.error(request, str(refused))
    else:
        if against:
            messages.warning(request, f"{helper.name} is on {need}, but: {'; '.join(against)}.")
        else:
            messages.success(request, f"{helper.name} is on {need}.")
    return _back(request, need)


@staff(*PLANNERS)
@require_POST
def off(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    post = _post(request, pk)
    return _act(request, post.need, take_off, f"{post.helper} is off {post.need}.", post=post)


@staff(*ON_THE_COURSE)
@require_POST
def there(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Somebody was seen at the post; with `not` that was a slip."""
    post, slip = _post(request, pk), "not" in request.POST
    words = (
        f"{post.helper} is not marked at {post.need.place} any more." if slip else f"{post.helper} is there."
    )
    return _act(request, post.need, seen, words, post=post, there=not slip)


@staff(*PLANNERS)
@require_POST
def drop(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    need = get_object_or_404(Need.objects.select_related("event"), pk=pk, event=request.event)
    return _act(request, None, drop_need, f"{need} is dropped; it stands below the roster.", need=need)


@staff(*PLANNERS)
@require_POST
def back(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    need = get_object_or_404(Need.objects.select_related("event"), pk=pk, event=request.event)
    return _act(request, need, take_need_back, f"{need} is in the roster again.", need=need)


def _post(request: EventRequest, pk: int) -> Post:
    rows = Post.objects.select_related("need__event", "helper")
    return get_object_or_404(rows, pk=pk, need__event=request.event)


def _act(
    request: EventRequest, at: Need | None, service: Callable[..., object], done: str, **facts: Any
) -> HttpResponse:
    try:
        service(**facts, actor=request.actor, now=timezone.now())
    except CrewRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, done)
    return _back(request, at)


def _back(request: EventRequest, need: Need | None) -> HttpResponse:
    """The part of the roster that was shown, at the shift."""
    show = request.POST.get("show", "")
    query = f"?{urlencode({'show': show})}" if show else ""
    page = f"{reverse('crew:overview', args=[request.event.slug])}{query}"
    return redirect(f"{page}#shift-{need.pk}" if need else page)


@staff(*PLANNERS)
def shift(request: EventRequest, slug: str, pk: int | None = None) -> HttpResponse:
    """A new shift, or one that is changed."""
    event = request.event
    need = get_object_or_404(Need, pk=pk, event=event) if pk is not None else None
    begun = NeedForm.begun(need) if need else None
    form = NeedForm(request.POST or None, event=event, initial=begun)
    if request.method == "POST" and form.is_valid():
        try:
            kept = keep_need(
                event=event, need=need, facts=form.facts(), actor=request.actor, now=timezone.now()
            )
        except CrewRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"{kept} is in the roster.")
            return _back(request, kept)
    context = {"form": form, "need": need, "tabs": logistics_tabs(event, "crew:overview")}
    return render(request, "crew/shift.html", context, status=422 if form.errors else 200)


@staff(*PLANNERS)
def suggestion(request: EventRequest, slug: str, out_of: OutOf) -> HttpResponse:
    """Who could stand what is free; posting takes what is ticked."""
    event = request.event
    if request.method == "POST":
        return _taken(request, out_of)
    now = timezone.now()
    roster = roster_of(event, now, out_of=out_of)
    found = suggest(roster.people, roster.tasks, roster.placings, roster.limits, now=now)
    by_id = {shift.id: shift for shift in roster.shifts}
    context = {
        "tabs": logistics_tabs(event, "crew:overview"),
        "placings": [
            {
                "value": f"{each.task_id}-{each.person_id}",
                "who": roster.helpers[each.person_id].name,
                "shift": by_id[each.task_id],
                "hours": hours_text(event, by_id[each.task_id].span),
            }
            for each in sorted(found.placings, key=lambda one: _order(by_id[one.task_id]))
        ],
        "gaps": [
            {"shift": by_id[gap.task_id], "hours": hours_text(event, by_id[gap.task_id].span), "gap": gap}
            for gap in sorted(found.gaps, key=lambda one: _order(by_id[one.task_id]))
        ],
        "unknown": sum(1 for shift in roster.shifts if shift.span is None),
        "not_asked": [person.name for person in roster.people if not person.hours],
        "limits": roster.limits,
        "in_one_go": in_hours(roster.limits.in_one_go),
        "a_day": in_hours(roster.limits.a_day),
        "batch": uuid4(),
        "cautions": CAUTIONS,
    }
    return render(request, "crew/suggestion.html", context)


def _order(shift: Any) -> tuple[object, ...]:
    return (shift.span.starts, shift.label, shift.place, shift.id)


def _taken(request: EventRequest, out_of: OutOf) -> HttpResponse:
    slug, batch = request.event.slug, page_key(request.POST.get("batch"))
    pairs = []
    for text in request.POST.getlist("pair"):
        need, _, helper = text.partition("-")
        numbers = whole_number(need), whole_number(helper)
        if numbers[0] is not None and numbers[1] is not None:
            pairs.append((numbers[0], numbers[1]))
    written, left = take_suggestion(
        event=request.event,
        pairs=pairs,
        batch=batch,
        actor=request.actor,
        now=timezone.now(),
        out_of=out_of,
    )
    for sentence in left:
        messages.warning(request, f"Left out: {sentence}")
    if written:
        messages.success(
            request, f"{written} places are filled. The suggestion can be taken back as a whole."
        )
        return redirect(f"{reverse('crew:overview', args=[slug])}?batch={batch}")
    return redirect("crew:overview", slug)


@staff(*PLANNERS)
@require_POST
def take_back(request: EventRequest, slug: str) -> HttpResponse:
    batch = page_key(request.POST.get("batch"))
    words = "The suggestion is taken back."
    return _act(request, None, take_back_suggestion, words, event=request.event, batch=batch)


@staff(*PLANNERS)
@require_POST
def take_list_over(request: EventRequest, slug: str) -> HttpResponse:
    """What stands on the page of marshals and spotters becomes shifts of the roster."""
    words = "The list of marshals and spotters is in the roster now."
    return _act(request, None, take_over, words, event=request.event)
