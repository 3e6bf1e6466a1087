"""The run of a day: one page, its paper, delays and items."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.draw.models import Delay
from events.entries.paper_views import head_of
from events.log.actions import Action
from events.log.services import revision
from events.logistics.running.delaying import DelayRefused, delay_day, take_back
from events.logistics.running.forms import DelayForm, ItemForm, typed_item
from events.logistics.running.models import RunItem
from events.logistics.running.news import newest_since
from events.logistics.running.page import DayPage, address, day_page, day_paper
from events.logistics.running.prints import day_sheet
from events.logistics.running.queries import run_of
from events.logistics.running.services import (
    ItemRefused,
    remove_item,
    remove_usual,
    restore_item,
    save_item,
)
from events.logistics.tabs import logistics_tabs
from events.setup.access import AT_WORK, EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.asked import whole_number
from events.setup.fields import at_venue
from events.setup.models import Role
from events.setup.overview import moment_text

PLANS = (Role.DIRECTOR, Role.DESK)


@staff(*AT_WORK, write=())
def overview(request: EventRequest, slug: str) -> HttpResponse:
    return _page(request, request.GET.get("day", ""), change=request.GET.get("change", ""))


@staff(*AT_WORK, write=())
def news(request: EventRequest, slug: str) -> HttpResponse:
    """Asked by an open page: 204 while it shows the day as it stands. It is never redrawn under a reader's finger."""
    seen = whole_number(request.GET.get("seen"))
    act = None if seen is None else newest_since(request.event, seen)
    if act is None:
        return HttpResponse(status=204)
    context = {"act": act, "label": Action(act.action).label, "day": request.GET.get("day", "")}
    return render(request, "running/news.html", context)


def _page(
    request: EventRequest,
    day: str,
    *,
    change: str = "",
    delay: DelayForm | None = None,
    item: ItemForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """The page with its forms; a form that comes back brings what was typed."""
    now, event = timezone.now(), request.event
    seen = revision(event.slug)  # before the day is read: better said twice than missed
    may_write = request.role in PLANS and event.over_at is None
    may_delay = request.role == Role.DIRECTOR and event.over_at is None
    page = day_page(event, day, now, may_write=may_write, may_delay=may_delay)
    context: dict[str, Any] = {
        "page": page,
        "tabs": logistics_tabs(event, "running:overview"),
        "now": now,
        "seen": seen,
        "may_write": may_write,
        "may_delay": may_delay,
        "delay_form": delay or DelayForm(initial={"since": _next_clock(request, page, now)}),
        "item_form": item or _item_form(request, page, change),
        "changing": page.run.items.get(change),
    }
    return render(request, "running/overview.html", context, status=status)


def _next_clock(request: EventRequest, page: DayPage, now: datetime) -> str:
    """A delay mostly begins now; on another day with the first thing on it."""
    first = page.run.lines[0].starts if page.run.lines and not page.on else now
    return f"{request.event.local(first):%H:%M}"


def _item_form(request: EventRequest, page: DayPage, change: str) -> ItemForm:
    found = page.run.items.get(change)
    initial = typed_item(found, request.event) if found is not None else None
    return ItemForm(event=request.event, day=page.run.day, initial=initial)


@staff(*AT_WORK, write=())
def paper(request: EventRequest, slug: str) -> HttpResponse:
    event, now = request.event, timezone.now()
    day = day_paper(event, request.GET.get("day", ""), now)
    printed = moment_text(event, now)
    return shown_pdf(day_sheet(head_of(event), day, event.local, printed=printed), f"{slug}-day.pdf")


@staff(Role.DIRECTOR)
@require_POST
def delay(request: EventRequest, slug: str) -> HttpResponse:
    day, form = _day(request), DelayForm(request.POST)
    if not form.is_valid():
        return _page(request, f"{day}", delay=form, status=422)
    typed = form.cleaned_data
    try:
        row = delay_day(
            event=request.event,
            since=at_venue(datetime.combine(day, typed["since"]), request.event.zone),
            minutes=typed["minutes"],
            reason=typed["reason"],
            actor=request.actor,
            now=timezone.now(),
        )
    except ValidationError as problem:
        form.add_error("since", problem)
        return _page(request, f"{day}", delay=form, status=422)
    except DelayRefused as refused:
        form.add_error(None, str(refused))
        return _page(request, f"{day}", delay=form, status=422)
    messages.success(
        request,
        f"From {typed['since']:%H:%M} the day is {row.minutes} minutes later. Tee times moved with it.",
    )
    return redirect(address(request.event, day))


@staff(Role.DIRECTOR)
@require_POST
def undo_delay(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    row = get_object_or_404(Delay, pk=pk, event=request.event)
    return _act(
        request, request.event.local(row.since).date(), take_back, "The delay is taken back.", delay=row
    )


@staff(*PLANS)
@require_POST
def item(request: EventRequest, slug: str) -> HttpResponse:
    day = _day(request)
    form = ItemForm(request.POST, event=request.event, day=day)
    if not form.is_valid():
        return _page(request, f"{day}", item=form, status=422)
    try:
        saved = save_item(
            event=request.event,
            day=day,
            facts=form.facts,
            actor=request.actor,
            now=timezone.now(),
            pk=form.cleaned_data["pk"],
            key=form.cleaned_data["key"],
        )
    except ItemRefused as refused:
        form.add_error(None, str(refused))
        return _page(request, f"{day}", item=form, status=422)
    messages.success(request, f"{saved.label} is on the day.")
    return redirect(address(request.event, day))


@staff(*PLANS)
@require_POST
def remove(request: EventRequest, slug: str) -> HttpResponse:
    """One's own item by its number, or a usual one by its key."""
    day, number = _day(request), whole_number(request.POST.get("pk"))
    if number is not None:
        row = get_object_or_404(RunItem, pk=number, event=request.event)
        return _act(request, row.day, remove_item, "{0.label} is off the day.", item=row)
    found = run_of(request.event, day, timezone.now()).items.get(request.POST.get("key", ""))
    if found is None:
        messages.error(request, "This item is not on the day any more.")
        return redirect(address(request.event, day))
    facts = {"event": request.event, "day": day, "usual": found}
    return _act(request, day, remove_usual, "{0.label} is off the day.", **facts)


@staff(*PLANS)
@require_POST
def restore(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    row = get_object_or_404(RunItem, pk=pk, event=request.event)
    return _act(request, row.day, restore_item, "{0.label} is back.", item=row)


def _day(request: EventRequest) -> date:
    """The day that a form names; the first of the event where it names none."""
    try:
        return date.fromisoformat(request.POST.get("day", ""))
    except ValueError:
        return request.event.starts_on


def _act(
    request: EventRequest, on: date, service: Callable[..., object], done: str, **facts: Any
) -> HttpResponse:
    try:
        result = service(**facts, actor=request.actor, now=timezone.now())
    except (ItemRefused, DelayRefused) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, done.format(result))
    return redirect(address(request.event, on))
