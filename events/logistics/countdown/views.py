"""The countdown: the page, its paper, and the address under which a calendar reads it."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from events.entries.paper_views import head_of
from events.logistics.countdown.feed import calendar_of
from events.logistics.countdown.forms import TaskForm
from events.logistics.countdown.links import feed_at, feed_path
from events.logistics.countdown.models import CalendarFeed, Task
from events.logistics.countdown.prints import countdown_list
from events.logistics.countdown.queries import Countdown, Line, countdown_of, dropped_tasks, feeds_of
from events.logistics.countdown.services import (
    CountdownRefused,
    add_task,
    change_task,
    close_feed,
    drop_task,
    give_to,
    mark,
    open_feed,
    take_back_task,
)
from events.logistics.tabs import logistics_tabs
from events.setup.access import AT_WORK, EventRequest, public, staff
from events.setup.answers import shown_pdf
from events.setup.asked import whole_number
from events.setup.models import Role
from events.setup.overview import moment_text

WRITERS = (Role.DIRECTOR, Role.DESK)
Reachable = Callable[[HttpRequest, str], str]


@staff(*AT_WORK, write=())
def overview(request: EventRequest, slug: str, reachable: Reachable) -> HttpResponse:
    return _page(request, TaskForm(), reachable)


def _page(
    request: EventRequest, form: TaskForm, reachable: Reachable, task: Task | None = None, status: int = 200
) -> HttpResponse:
    event = request.event
    may_write = request.role in WRITERS
    countdown = countdown_of(event, timezone.now())
    feeds = feeds_of(event) if may_write else []
    parts = _parts(countdown)
    context: dict[str, Any] = {
        "countdown": countdown,
        "parts": parts,
        "first_key": next((line.key for _, lines in parts for line in lines), ""),
        "form": form,
        "task": task,
        "dropped": dropped_tasks(event) if may_write else [],
        "feeds": [(feed, reachable(request, feed_path(feed))) for feed in feeds],
        "may_write": may_write,
        "tabs": logistics_tabs(event, "countdown:overview"),
    }
    return render(request, "countdown/overview.html", context, status=status)


def _parts(countdown: Countdown) -> list[tuple[str, list[Line]]]:
    return [
        ("Late", countdown.late),
        ("Within 7 days", countdown.soon),
        ("Later", countdown.later),
        ("Without a date", countdown.undated),
    ]


@staff(*WRITERS)
@require_POST
def mark_page(request: EventRequest, slug: str) -> HttpResponse:
    """Done, not needed, or open again: the undo of both."""
    keys, state = request.POST.getlist("key"), request.POST.get("state", "")
    reason = request.POST.get("reason", "")
    try:
        what = mark(
            event=request.event,
            keys=keys,
            state=state,
            reason=reason,
            actor=request.actor,
            now=timezone.now(),
        )
    except CountdownRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{what}: {state.replace('_', ' ')}.")
    return redirect("countdown:overview", slug)


@staff(*WRITERS)
@require_POST
def owner_page(request: EventRequest, slug: str) -> HttpResponse:
    keys, owner = request.POST.getlist("key"), request.POST.get("owner", "")
    try:
        what = give_to(event=request.event, keys=keys, owner=owner, actor=request.actor, now=timezone.now())
    except CountdownRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{what}: {owner.strip() or 'as before'}.")
    return redirect("countdown:overview", slug)


@staff(*WRITERS)
@require_POST
def add_page(request: EventRequest, slug: str, reachable: Reachable) -> HttpResponse:
    form = TaskForm(request.POST)
    if form.is_valid():
        try:
            task = add_task(event=request.event, facts=form.facts(), actor=request.actor, now=timezone.now())
        except CountdownRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"“{task.what}” is on the countdown.")
            return redirect("countdown:overview", slug)
    return _page(request, form, reachable, status=422)


@staff(*WRITERS)
def task_page(request: EventRequest, slug: str, pk: int, reachable: Reachable) -> HttpResponse:
    task = get_object_or_404(Task.objects.select_related("event"), pk=pk, event=request.event)
    if request.method != "POST":
        return _page(request, TaskForm.of(task), reachable, task)
    form = TaskForm(request.POST)
    if form.is_valid():
        version = whole_number(request.POST.get("version")) or 0
        try:
            change_task(
                task=task, facts=form.facts(), version=version, actor=request.actor, now=timezone.now()
            )
        except CountdownRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"“{task.what}” is changed.")
            return redirect("countdown:overview", slug)
    return _page(request, form, reachable, task, 422)


@staff(*WRITERS)
@require_POST
def drop_page(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _of_task(request, drop_task, "“{}” is dropped; it stands below.", pk)


@staff(*WRITERS)
@require_POST
def take_back_page(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    return _of_task(request, take_back_task, "“{}” is on the countdown again.", pk)


def _of_task(request: EventRequest, service: Callable[..., Task], done: str, pk: int) -> HttpResponse:
    task = get_object_or_404(Task.objects.select_related("event"), pk=pk, event=request.event)
    try:
        service(task=task, actor=request.actor, now=timezone.now())
    except CountdownRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, done.format(task.what))
    return redirect("countdown:overview", request.event.slug)


@staff(*WRITERS)
@require_POST
def open_feed_page(request: EventRequest, slug: str) -> HttpResponse:
    owner = request.POST.get("owner", "")
    open_feed(event=request.event, owner=owner, actor=request.actor, now=timezone.now())
    messages.success(request, "The address is made. One that was open for the same person is closed.")
    return redirect("countdown:overview", slug)


@staff(*WRITERS)
@require_POST
def close_feed_page(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    feed = get_object_or_404(CalendarFeed.objects.select_related("event"), pk=pk, event=request.event)
    try:
        close_feed(feed=feed, actor=request.actor, now=timezone.now())
    except CountdownRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "The address is closed: it answers nobody any more.")
    return redirect("countdown:overview", slug)


@staff(*AT_WORK, write=())
def paper(request: EventRequest, slug: str) -> HttpResponse:
    event, now = request.event, timezone.now()
    countdown = countdown_of(event, now)
    content = countdown_list(
        head_of(event), _parts(countdown), done=len(countdown.closed), printed=moment_text(event, now)
    )
    return shown_pdf(content, f"{slug}-countdown.pdf")


@public
@require_safe
@never_cache
def calendar_page(request: HttpRequest, token: str) -> HttpResponse:
    """For a calendar program: whoever has the address, until it is closed."""
    feed = feed_at(token)
    if feed is None:
        raise Http404("This address is not open.")
    answer = HttpResponse(calendar_of(feed, timezone.now()), content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = f'inline; filename="{feed.event.slug}-countdown.ics"'
    return answer
