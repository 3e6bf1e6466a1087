"""The weather desk: one line to type or paste readings, a line for lightning, and how things stand."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.safety.models import Evidence, Reading
from events.safety.readings import (
    ReadingRefused,
    choose_thresholds,
    note_lightning,
    take_back,
    take_readings,
)
from events.safety.standing import lightning_now
from events.safety.weather import as_seen, standing_of
from events.safety.weather_page import evidence_shown, standing_context, weather_context
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Role

MAY_READ_WEATHER = (Role.DIRECTOR, Role.MARSHAL)
KEPT_BACK = {Reading: "The reading", Evidence: "The evidence"}


@staff(*EVERY_ROLE, write=MAY_READ_WEATHER)
def weather(request: EventRequest, slug: str) -> HttpResponse:
    """The page; posting takes a typed or pasted line of readings."""
    if request.method != "POST":
        return _page(request)
    text, source, time = (request.POST.get(name, "").strip() for name in ("text", "source", "time"))
    try:
        rows = take_readings(
            event=request.event,
            text=text,
            source=source,
            read_at=time,
            actor=request.actor,
            now=timezone.now(),
        )
    except ReadingRefused as refused:
        return _page(request, entry={"text": text, "source": source, "time": time, "problem": str(refused)})
    request.session["weather_source"] = rows[0].source
    said = ", ".join(f"{row.get_quantity_display()} {row.typed}" for row in rows)
    messages.success(request, f"Taken down: {said}.")
    return redirect("safety:weather", slug)


@staff(*EVERY_ROLE, write=())
@require_safe
def standing(request: EventRequest, slug: str) -> HttpResponse:
    """How things stand, again: an open page must not show ages of long ago."""
    context = standing_context(request.event, timezone.now())
    return render(request, "safety/standing.html", context | {"swapped": True})


@staff(*MAY_READ_WEATHER)
@require_POST
def lightning(request: EventRequest, slug: str) -> HttpResponse:
    """A strike or thunder, in one line."""
    kind, typed, source, time = (
        request.POST.get(name, "").strip() for name in ("kind", "typed", "source", "time")
    )
    now = timezone.now()
    try:
        row = note_lightning(
            event=request.event,
            kind=kind,
            typed=typed,
            source=source,
            seen_at=time,
            actor=request.actor,
            now=now,
        )
    except ReadingRefused as refused:
        problem = {"kind": kind, "typed": typed, "source": source, "time": time, "problem": str(refused)}
        return _page(request, bolt=problem)
    request.session[f"{kind}_source"] = row.source
    found = standing_of(request.event, now)
    (counted,) = lightning_now([as_seen(row)], found.rules, found.now).counted
    words = f"Written down: {evidence_shown(row, request.event.units)}."
    if counted.counts:
        messages.warning(request, f"{words} {found.lightning.sentence}")
    else:
        messages.success(request, f"{words} It is no trigger of “{found.rules.lightning.title}”.")
    return redirect("safety:weather", slug)


@staff(*MAY_READ_WEATHER)
@require_POST
def take_back_reading(request: EventRequest, slug: str) -> HttpResponse:
    pk = whole_number(request.POST.get("row")) or 0
    return _take_back(request, get_object_or_404(Reading, pk=pk, event=request.event))


@staff(*MAY_READ_WEATHER)
@require_POST
def take_back_lightning(request: EventRequest, slug: str) -> HttpResponse:
    pk = whole_number(request.POST.get("row")) or 0
    return _take_back(request, get_object_or_404(Evidence, pk=pk, event=request.event))


def _take_back(request: EventRequest, row: Reading | Evidence) -> HttpResponse:
    try:
        take_back(row=row, reason=request.POST.get("reason", ""), actor=request.actor, now=timezone.now())
    except ReadingRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(
            request, f"{KEPT_BACK[type(row)]} is taken back; it stays in sight, and counts no more."
        )
    return redirect("safety:weather", request.event.slug)


@staff(Role.DIRECTOR)
@require_POST
def limits(request: EventRequest, slug: str) -> HttpResponse:
    """Which published set the event goes by, for one kind of weather."""
    try:
        choose_thresholds(
            event=request.event,
            kind=request.POST.get("kind", ""),
            key=request.POST.get("key", ""),
            actor=request.actor,
            now=timezone.now(),
        )
    except ReadingRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "The event goes by these limits from now on.")
    return redirect("safety:weather", slug)


def _page(request: EventRequest, **sent: dict[str, str]) -> HttpResponse:
    """The page; `sent` is what was typed and could not be taken, `entry` or `bolt`, with its problem."""
    remembered = request.session.get
    empty: dict[str, Any] = {"text": "", "typed": "", "kind": "", "time": "", "problem": ""}
    bolt = sent.get("bolt", empty)
    context = weather_context(request.event, timezone.now()) | {
        "entry": sent.get("entry", empty | {"source": remembered("weather_source", "")}),
        "strike": _own(bolt, "strike", empty, remembered("strike_source", "")),
        "thunder": _own(bolt, "thunder", empty, remembered("thunder_source", request.actor.name)),
        "swapped": False,
        "may_write": request.role in MAY_READ_WEATHER and request.event.over_at is None,
        "is_director": request.role is Role.DIRECTOR and request.event.over_at is None,
    }
    return render(request, "safety/weather.html", context, status=422 if sent else 200)


def _own(bolt: dict[str, str], kind: str, empty: dict[str, str], source: str) -> dict[str, str]:
    return bolt if bolt["kind"] == kind else empty | {"source": source}
