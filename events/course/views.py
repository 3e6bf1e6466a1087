"""Course pages: the layouts of the event, one layout as a grid, and who plays which."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from events.course import importing, services
from events.course.above import Above
from events.course.forms import (
    SPARE_ROWS,
    HoleFormSet,
    LayoutFileForm,
    LayoutForm,
    LayoutUseForm,
    blank_grid,
    grid_of,
    rows_of,
)
from events.course.hazard_starts import CAUTION
from events.course.models import Layout, LayoutHole, LayoutUse
from events.course.queries import layouts_of, shared_tees
from events.course.versions import touched_by
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Role
from events.sheets.refusal import Refused

NEW_HOLES = 18


@staff(*EVERY_ROLE, write=())
def layouts(request: EventRequest, slug: str, above: Above | None = None) -> HttpResponse:
    """All layouts, and which division plays which in each round."""
    facts = layouts_of(request.event)
    context = {
        "layouts": facts.values(),
        "uses": _use_form(request),
        "shared": shared_tees(facts.values()),
        "upload": LayoutFileForm(),
        "caution": CAUTION,
    }
    return render(request, "course/layouts.html", context)


def _use_form(request: EventRequest, data: Any = None) -> LayoutUseForm:
    uses = LayoutUse.objects.filter(round__event=request.event)
    chosen = {(use.round_id, use.division_id): use.layout_id for use in uses}
    return LayoutUseForm(data, event=request.event, chosen=chosen)


@staff(Role.DIRECTOR)
def assign(request: EventRequest, slug: str, above: Above | None = None) -> HttpResponse:
    form = _use_form(request, request.POST)
    if form.is_valid():
        try:
            services.assign_rounds(
                plan={round_: form.choices_of(round_) for round_ in form.rounds},
                actor=request.actor,
                now=timezone.now(),
            )
        except services.LayoutRefused as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, "Layouts of the rounds saved.")
    else:
        messages.error(request, "A layout that was chosen is gone. Look again.")
    return redirect("course:layouts", slug)


@staff(*EVERY_ROLE, write=[Role.DIRECTOR])
def layout(
    request: EventRequest, slug: str, pk: int | None = None, above: Above | None = None
) -> HttpResponse:
    """One layout as a grid; without `pk` a new one."""
    standing = get_object_or_404(Layout, pk=pk, event=request.event) if pk else None
    form = LayoutForm(request.POST or None, initial=_head_of(standing))
    grid = HoleFormSet(request.POST or None, initial=_grid_of(request, standing), prefix="hole")
    problems: tuple[str, ...] = ()
    now = timezone.now()
    touched = touched_by(standing, above, now) if standing and standing.locked_at else []
    if request.method == "POST" and form.is_valid() and grid.is_valid():
        try:
            saved = services.save_layout(
                event=request.event,
                layout=standing,
                name=form.cleaned_data["name"],
                version=form.cleaned_data["version"],
                reason=form.cleaned_data["reason"],
                rows=rows_of(grid, request.event.units),
                touched=touched,
                actor=request.actor,
                now=now,
            )
        except services.LayoutRefused as refused:
            problems = refused.sentences
        else:
            messages.success(request, f"{saved.name} saved.")
            return redirect("course:layouts", slug)
    context = {
        "layout": standing,
        "form": form,
        "grid": grid,
        "problems": problems,
        "touched": touched,
        "caution": CAUTION,
    }
    return render(request, "course/layout.html", context, status=200 if request.method == "GET" else 422)


def _head_of(standing: Layout | None) -> dict[str, Any]:
    return {"name": standing.name, "version": standing.version} if standing else {}


def _grid_of(request: EventRequest, standing: Layout | None) -> list[dict[str, Any]]:
    if standing is None:
        return [*blank_grid(NEW_HOLES), *[{}] * SPARE_ROWS]
    facts = layouts_of(request.event)[standing.pk]
    targets = dict(LayoutHole.objects.filter(layout=standing).values_list("pk", "hole__target__name"))
    spare = 0 if standing.locked_at else SPARE_ROWS
    return [*grid_of(facts, targets, request.event.units), *[{}] * spare]


@staff(Role.DIRECTOR)
def remove(request: EventRequest, slug: str, pk: int, above: Above | None = None) -> HttpResponse:
    standing = get_object_or_404(Layout, pk=pk, event=request.event)
    try:
        services.remove_layout(layout=standing, actor=request.actor, now=timezone.now())
    except services.LayoutRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{standing.name} removed.")
    return redirect("course:layouts", slug)


@staff(Role.DIRECTOR)
def upload(request: EventRequest, slug: str, above: Above | None = None) -> HttpResponse:
    """Layouts from a workbook: all of them are saved, or none and every problem is shown."""
    form = LayoutFileForm(request.POST, request.FILES)
    if not form.is_valid():
        messages.error(request, "Choose a file first.")
        return redirect("course:layouts", slug)
    file = form.cleaned_data["file"]
    try:
        found = importing.read_layouts(file.name, file.read(), units=request.event.units)
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("course:layouts", slug)
    problems = list(found.problems)
    if not problems:
        try:
            names = importing.save_all(
                event=request.event, found=found, actor=request.actor, now=timezone.now()
            )
        except services.LayoutRefused as refused:
            messages.error(request, f"Nothing was saved. {refused}")
        else:
            messages.success(request, f"Layouts saved: {', '.join(names)}.")
        return redirect("course:layouts", slug)
    return render(request, "course/problems.html", {"problems": problems, "file": file.name}, status=422)
