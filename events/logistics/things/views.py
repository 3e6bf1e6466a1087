"""The list of things, one thing with its working and its lots, and the loading list."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.course.models import Hole
from events.entries.paper_views import head_of
from events.logistics.tabs import logistics_tabs
from events.logistics.things.forms import LengthForm, LotForm, NeededForm, OwnForm, PlanForm
from events.logistics.things.models import Lot, Thing
from events.logistics.things.pages import length_rows, loads_of, missing_of, rests_on, working_of
from events.logistics.things.prints import loading_list
from events.logistics.things.queries import Item, things_of
from events.logistics.things.services import (
    ThingsRefused,
    add_lot,
    add_own,
    drop_own,
    move_lot,
    plan_things,
    remove_lot,
    set_line_length,
    set_needed,
)
from events.setup.access import EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.models import Role
from events.setup.overview import moment_text

WRITERS = (Role.DIRECTOR, Role.DESK, Role.EQUIPMENT)
READERS = (*WRITERS, Role.CARD_ROOM, Role.MARSHAL)


@staff(*READERS, write=())
@require_safe
def overview(request: EventRequest, slug: str) -> HttpResponse:
    return _overview(request)


def _overview(
    request: EventRequest, *, plan: PlanForm | None = None, own: OwnForm | None = None
) -> HttpResponse:
    event = request.event
    things = things_of(event)
    kept = things.plan
    said = {"players": kept.players, "helpers": kept.helpers, "heat_c": kept.heat_c} if kept else {}
    context: dict[str, Any] = {
        "things": things,
        "plan": plan or PlanForm(initial=said),
        "own": own or OwnForm(),
        "may_write": request.role in WRITERS,
        "sets_rules": request.role is Role.DIRECTOR,
        "lines_unknown": sum(1 for line in things.lines if line.metres is None),
        "tabs": logistics_tabs(event, "things:overview"),
    }
    refused = any(form is not None for form in (plan, own))
    return render(request, "things/overview.html", context, status=422 if refused else 200)


@staff(*WRITERS)
@require_POST
def plan(request: EventRequest, slug: str) -> HttpResponse:
    form = PlanForm(request.POST)
    if not form.is_valid():
        return _overview(request, plan=form)
    plan_things(event=request.event, **form.cleaned_data, actor=request.actor, now=timezone.now())
    messages.success(request, "The quantities go by that now.")
    return redirect("things:overview", slug)


@staff(*WRITERS)
@require_POST
def own(request: EventRequest, slug: str) -> HttpResponse:
    form = OwnForm(request.POST)
    if not form.is_valid():
        return _overview(request, own=form)
    try:
        thing = add_own(event=request.event, **form.cleaned_data, actor=request.actor, now=timezone.now())
    except ThingsRefused as refused:
        form.add_error("name", str(refused))
        return _overview(request, own=form)
    messages.success(request, f"{thing} is on the list.")
    return redirect("things:overview", slug)


@staff(*WRITERS)
@require_POST
def drop(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Off the list; with `back` onto it again."""
    thing = get_object_or_404(Thing.objects.select_related("event"), pk=pk, event=request.event)
    back = "back" in request.POST
    _try(request, drop_own, thing=thing, dropped=not back)
    return redirect("things:overview", slug)


@staff(*READERS, write=())
@require_safe
def thing(request: EventRequest, slug: str, line: str) -> HttpResponse:
    return _thing(request, _item(request, line))


def _item(request: EventRequest, key: str) -> Item:
    item = things_of(request.event).item(key)
    if item is None:
        raise Http404("The list has no such thing.")
    return item


def _thing(
    request: EventRequest, item: Item, *, lot: Form | None = None, needed: Form | None = None
) -> HttpResponse:
    event = request.event
    removed = Lot.objects.filter(thing=item.thing).exclude(removed_at=None) if item.thing else ()
    typed = item.needed if item.own_number else None
    context = {
        "item": item,
        "working": working_of(item),
        "rests_on": rests_on(item),
        "lot_form": lot or LotForm(initial={"count": item.short or None}),
        "needed_form": needed or NeededForm(initial={"needed": typed}),
        "removed": removed,
        "may_write": request.role in WRITERS,
        "sets_rules": request.role is Role.DIRECTOR,
        "tabs": logistics_tabs(event, "things:overview"),
    }
    refused = lot is not None or needed is not None
    return render(request, "things/thing.html", context, status=422 if refused else 200)


@staff(*WRITERS)
@require_POST
def needed(request: EventRequest, slug: str, line: str) -> HttpResponse:
    item, form = _item(request, line), NeededForm(request.POST)
    if not form.is_valid():
        return _thing(request, item, needed=form)
    _try(request, set_needed, event=request.event, key=item.key, needed=form.cleaned_data["needed"])
    return redirect("things:thing", slug, line)


@staff(*WRITERS)
@require_POST
def got(request: EventRequest, slug: str, line: str) -> HttpResponse:
    item, form = _item(request, line), LotForm(request.POST)
    if not form.is_valid():
        return _thing(request, item, lot=form)
    _try(request, add_lot, event=request.event, key=item.key, **form.cleaned_data)
    return redirect("things:thing", slug, line)


@staff(*WRITERS)
@require_POST
def move(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """One step of a lot: packed, on_site, returned; with `undo` it is taken back."""
    lot = _lot(request, pk)
    box = request.POST.get("box")
    _try(
        request,
        move_lot,
        lot=lot,
        step=request.POST.get("step", ""),
        done="undo" not in request.POST,
        box=box,
    )
    return redirect("things:thing", slug, lot.thing.key)


@staff(*WRITERS)
@require_POST
def remove(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    lot = _lot(request, pk)
    _try(request, remove_lot, lot=lot, removed="undo" not in request.POST)
    return redirect("things:thing", slug, lot.thing.key)


def _lot(request: EventRequest, pk: int) -> Lot:
    return get_object_or_404(Lot.objects.select_related("thing"), pk=pk, thing__event=request.event)


def _try(request: EventRequest, service: Callable[..., Any], **facts: Any) -> None:
    try:
        service(**facts, actor=request.actor, now=timezone.now())
    except ThingsRefused as refused:
        messages.error(request, str(refused))


@staff(*READERS, write=())
@require_safe
def lengths(request: EventRequest, slug: str) -> HttpResponse:
    """Every out-of-bounds line of the course with the length of its string."""
    return _lengths(request, {})


def _lengths(request: EventRequest, refused: dict[str, LengthForm]) -> HttpResponse:
    event = request.event
    context = {
        "rows": length_rows(things_of(event).lines, event.units, refused),
        "units": "metres" if event.units == "m" else "feet",
        "may_write": request.role in WRITERS,
        "tabs": logistics_tabs(event, "things:overview"),
    }
    return render(request, "things/lengths.html", context, status=422 if refused else 200)


@staff(*WRITERS)
@require_POST
def measure(request: EventRequest, slug: str) -> HttpResponse:
    """All lengths of the page at once; only those that changed are written."""
    event, wrong, changed = request.event, {}, []
    for line in things_of(event).lines:
        field = f"{line.hole.id}/{line.name}"
        if field not in request.POST:
            continue
        form = LengthForm({"length": request.POST[field]}, event=event)
        if not form.is_valid():
            wrong[field] = form
        elif form.cleaned_data["metres"] != line.metres:
            changed.append((line, form.cleaned_data["metres"]))
    if wrong:
        return _lengths(request, wrong)
    holes = Hole.objects.select_related("event").in_bulk([line.hole.id for line, _ in changed])
    now = timezone.now()
    for line, metres in changed:
        set_line_length(hole=holes[line.hole.id], name=line.name, metres=metres, actor=request.actor, now=now)
    messages.success(request, "The lengths are kept." if changed else "Nothing was changed.")
    return redirect("things:overview", slug)


@staff(*READERS, write=())
@require_safe
def loading_paper(request: EventRequest, slug: str) -> HttpResponse:
    event = request.event
    things = things_of(event)
    printed = moment_text(event, timezone.now())
    content = loading_list(head_of(event), loads_of(things), missing_of(things), printed=printed)
    return shown_pdf(content, f"{slug}-loading.pdf")
