"""Course ready, at the desk: every hole with what is open, the address of the walk, own work, photos, the sheet."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from events.course.models import Hole
from events.entries.paper_views import head_of
from events.logistics.ready.forms import OwnWorkForm
from events.logistics.ready.links import walk_path
from events.logistics.ready.models import HolePhoto, OwnWork
from events.logistics.ready.prints import WalkHole, WalkLine, walk_sheet
from events.logistics.ready.queries import HoleState, readiness_of
from events.logistics.ready.sending import said_in
from events.logistics.ready.services import (
    ReadyRefused,
    add_own_work,
    drop_own_work,
    put_photo_away,
    say_work,
    withdraw_link,
)
from events.logistics.tabs import logistics_tabs
from events.setup.access import AT_WORK, EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.asked import whole_number
from events.setup.models import Role
from events.setup.overview import moment_text

Reachable = Callable[[HttpRequest, str], str]
Drawn = Callable[[str], str]
WRITERS = (Role.DIRECTOR, Role.DESK, Role.MARSHAL)
PLANNERS = (Role.DIRECTOR, Role.DESK)


@staff(*AT_WORK, write=())
@require_safe
def overview(request: EventRequest, slug: str, reachable: Reachable, qr: Drawn) -> HttpResponse:
    return _overview(request, reachable, qr)


def _overview(
    request: EventRequest, reachable: Reachable, qr: Drawn, form: OwnWorkForm | None = None
) -> HttpResponse:
    event = request.event
    ready = readiness_of(event)
    address = reachable(request, walk_path(event)) if request.role in WRITERS else ""
    context: dict[str, Any] = {
        "ready": ready,
        "opened": whole_number(request.GET.get("hole")),
        "address": address,
        "qr": qr(address) if address else "",
        "form": form or OwnWorkForm(holes=[(state.hole.id, state.hole.name) for state in ready.holes]),
        "own_work": OwnWork.objects.filter(event=event).order_by("pk") if request.role in PLANNERS else (),
        "photos_away": HolePhoto.objects.filter(hole__event=event)
        .exclude(taken_back_at=None)
        .defer("image")
        .order_by("pk"),
        "may_write": request.role in WRITERS,
        "may_plan": request.role in PLANNERS,
        "tabs": logistics_tabs(event, "ready:overview"),
    }
    return render(request, "ready/overview.html", context, status=422 if form else 200)


@staff(*WRITERS)
@require_POST
def say(request: EventRequest, slug: str) -> HttpResponse:
    """One piece of work, done or open after all."""
    try:
        said = said_in(request)
        answers = say_work(event=request.event, said=said, actor=request.actor, now=timezone.now())
    except ReadyRefused as refused:
        messages.error(request, str(refused))
        return redirect("ready:overview", slug)
    for answer in answers:
        if answer.refused:
            messages.error(request, answer.refused)
    hole = said[0].hole
    return redirect(f"{reverse('ready:overview', args=[slug])}?hole={hole}#hole-{hole}")


@staff(*PLANNERS)
@require_POST
def own(request: EventRequest, slug: str, reachable: Reachable, qr: Drawn) -> HttpResponse:
    holes = [(state.hole.id, state.hole.name) for state in readiness_of(request.event).holes]
    form = OwnWorkForm(request.POST, holes=holes)
    if not form.is_valid():
        return _overview(request, reachable, qr, form)
    chosen = form.cleaned_data["hole"]
    hole = get_object_or_404(Hole, pk=chosen, event=request.event) if chosen else None
    try:
        add_own_work(
            event=request.event,
            hole=hole,
            words=form.cleaned_data["words"],
            actor=request.actor,
            now=timezone.now(),
        )
    except ReadyRefused as refused:
        form.add_error("words", str(refused))
        return _overview(request, reachable, qr, form)
    return redirect("ready:overview", slug)


@staff(*PLANNERS)
@require_POST
def own_drop(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Asked for no more; with `back` again."""
    work = get_object_or_404(OwnWork.objects.select_related("event"), pk=pk, event=request.event)
    back = "back" in request.POST
    drop_own_work(work=work, dropped=not back, actor=request.actor, now=timezone.now())
    return redirect("ready:overview", slug)


@staff(*PLANNERS)
@require_POST
def withdraw(request: EventRequest, slug: str) -> HttpResponse:
    withdraw_link(event=request.event, actor=request.actor, now=timezone.now())
    messages.success(request, "The old address is withdrawn. The code shows the new one.")
    return redirect("ready:overview", slug)


@staff(*AT_WORK, write=())
@require_safe
@never_cache
def photo_image(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    found = get_object_or_404(HolePhoto, pk=pk, hole__event=request.event)
    answer = HttpResponse(bytes(found.image), content_type="image/jpeg")
    answer["Content-Disposition"] = f'inline; filename="hole-{found.pk}.jpg"'
    return answer


@staff(*WRITERS)
@require_POST
def photo_away(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Out of sight; with `back` shown again."""
    photo = get_object_or_404(
        HolePhoto.objects.select_related("hole__event").defer("image"), pk=pk, hole__event=request.event
    )
    put_photo_away(photo=photo, away="back" not in request.POST, actor=request.actor, now=timezone.now())
    return redirect("ready:overview", slug)


@staff(*AT_WORK, write=())
@require_safe
def sheet(request: EventRequest, slug: str, reachable: Reachable) -> HttpResponse:
    """The walk on paper: a square for each piece of work, ticked where it is done."""
    event = request.event
    holes = [_on_paper(state) for state in readiness_of(event).holes]
    code = reachable(request, walk_path(event)) if request.role in WRITERS else ""
    printed = moment_text(event, timezone.now())
    return shown_pdf(walk_sheet(head_of(event), holes, address=code, printed=printed), f"{slug}-walk.pdf")


def _on_paper(state: HoleState) -> WalkHole:
    hole = state.hole
    lines = tuple(WalkLine(work.task.words, work.task.how, work.done) for work in state.work)
    return WalkHole(hole.name, f"{hole.tee} to {hole.target}", lines)
