"""Pages of holes: the holes of a layout and what is missing, one hole's description, its sketch, earlier versions."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.course import describing, versions
from events.course.above import Above
from events.course.hazard_starts import CAUTION
from events.course.hazards import hazards_on
from events.course.hole_forms import DetailsForms, ReasonForm, items_of, sketch_rows
from events.course.hole_queries import HoleSheet, hole_sheets, missing_of, reach_of, warnings_of
from events.course.hole_words import sentences
from events.course.models import Layout, LayoutHole, LayoutVersion
from events.course.services import LayoutRefused
from events.course.sketch import TOOLS, drawing
from events.course.sources import SOURCES
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Role
from events.setup.queries import rulebook_for


@staff(*EVERY_ROLE, write=())
def holes(request: EventRequest, slug: str, pk: int, above: Above | None = None) -> HttpResponse:
    """The holes of a layout: what is described, what is missing, what to look at again."""
    layout = get_object_or_404(Layout, pk=pk, event=request.event)
    reach = reach_of(rulebook_for(request.event))
    rows = [
        {
            "sheet": sheet,
            "warnings": warnings_of(sheet, reach),
            "missing": missing_of(sheet),
            "counts": _counts(sheet),
        }
        for sheet in hole_sheets(layout)
    ]
    context = {
        "layout": layout,
        "rows": rows,
        "versions": layout.versions.order_by("-number").defer("snapshot") if layout.locked_at else (),
        "touched": versions.touched_by(layout, above, timezone.now()),
        "caution": CAUTION,
    }
    return render(request, "course/holes.html", context)


def _counts(sheet: HoleSheet) -> str:
    details = sheet.details
    words = {
        "mandatories": len(details.mandatories),
        "OB": len(details.out_of_bounds),
        "hazard": len(details.hazards),
        "relief": len(details.relief),
        "casual": len(details.casual),
        "DZ": len(details.zones),
    }
    return " · ".join(f"{count} {word}" for word, count in words.items() if count)


@staff(Role.DIRECTOR)
@require_POST
def two_metre(request: EventRequest, slug: str, pk: int, above: Above | None = None) -> HttpResponse:
    """Declare the two-metre rule for the whole course, or take it back."""
    layout = get_object_or_404(Layout, pk=pk, event=request.event)
    now = timezone.now()
    try:
        describing.declare_two_metre(
            layout=layout,
            on=request.POST.get("on") == "yes",
            reason=request.POST.get("reason", ""),
            touched=versions.touched_by(layout, above, now),
            actor=request.actor,
            now=now,
        )
    except LayoutRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "Two-metre rule saved.")
    return redirect("course:holes", slug, pk)


@staff(*EVERY_ROLE, write=[Role.DIRECTOR])
def hole(request: EventRequest, slug: str, pk: int, place: int, above: Above | None = None) -> HttpResponse:
    """One hole as the rules need it."""
    found = _found(request, pk, place)
    forms = DetailsForms(request.POST or None, details=found["sheet"].details, units=request.event.units)
    save = _saver(
        request,
        found,
        above,
        forms.is_valid,
        lambda **common: describing.describe_hole(details=forms.details(), **common),
    )
    if save.done:
        return redirect("course:hole", slug, pk, place)
    sheet: HoleSheet = found["sheet"]
    now = timezone.now()
    noted = hazards_on(request.event, [sheet.id], "tee_sign", now)
    context = {
        **found,
        "forms": forms,
        "sources": SOURCES,
        "warnings": warnings_of(sheet, reach_of(rulebook_for(request.event))),
        "missing": missing_of(sheet),
        "sentences": sentences(
            sheet.details, request.event.units, two_metre_on_course=found["layout"].two_metre
        ),
        "hazards": (*noted.by_hole.get(sheet.id, ()), *noted.course),
        **save.context,
    }
    return render(request, "course/hole.html", context, status=save.status)


@staff(*EVERY_ROLE, write=[Role.DIRECTOR])
def sketch(request: EventRequest, slug: str, pk: int, place: int, above: Above | None = None) -> HttpResponse:
    """Draw a hole, by mouse on the sheet or by keys in the table of points."""
    found = _found(request, pk, place)
    rows = sketch_rows(request.POST or None, found["sheet"].items)
    save = _saver(
        request,
        found,
        above,
        rows.is_valid,
        lambda **common: describing.sketch_hole(items=items_of(rows), **common),
    )
    if save.done:
        return redirect("course:hole", slug, pk, place)
    context = {**found, "rows": rows, "tools": TOOLS, **save.context}
    return render(request, "course/sketch.html", context, status=save.status)


def _found(request: EventRequest, pk: int, place: int) -> dict[str, Any]:
    """The hole of the address with its neighbours."""
    layout = get_object_or_404(Layout, pk=pk, event=request.event)
    sheets = hole_sheets(layout)
    at = next((index for index, sheet in enumerate(sheets) if sheet.id == place), None)
    if at is None:
        raise Http404("This layout has no such hole.")
    return {
        "layout": layout,
        "sheet": sheets[at],
        "drawing": drawing(sheets[at].items),
        "before": sheets[at - 1] if at else None,
        "after": sheets[at + 1] if at + 1 < len(sheets) else None,
        "caution": CAUTION,
    }


class _Save:
    """What came of a POST: saved, or what to show again."""

    def __init__(self) -> None:
        self.done = False
        self.status = 200
        self.context: dict[str, Any] = {}


def _saver(
    request: EventRequest,
    found: dict[str, Any],
    above: Above | None,
    valid: Callable[[], bool],
    service: Callable[..., object],
) -> _Save:
    """The one way in which both pages of a hole save: reason, version, whom it touches, refusals in words."""
    save = _Save()
    layout, sheet = found["layout"], found["sheet"]
    head = ReasonForm(request.POST or None, initial={"version": sheet.version})
    now = timezone.now()
    touched = versions.touched_by(layout, above, now) if layout.locked_at else []
    problems: tuple[str, ...] = ()
    if request.method == "POST":
        save.status = 422
        if all([head.is_valid(), valid()]):
            try:
                service(
                    place=LayoutHole.objects.select_related("layout__event").get(pk=sheet.id),
                    version=head.cleaned_data["version"],
                    reason=head.cleaned_data["reason"],
                    touched=touched,
                    actor=request.actor,
                    now=now,
                )
            except LayoutRefused as refused:
                problems = refused.sentences
            else:
                save.done = True
                messages.success(request, f"Hole {sheet.label} saved.")
        else:
            problems = ("See the marked fields.",)
    save.context = {"head": head, "touched": touched, "problems": problems}
    return save


@staff(*EVERY_ROLE, write=())
def version(
    request: EventRequest, slug: str, pk: int, number: int, above: Above | None = None
) -> HttpResponse:
    """A layout as it stood: an earlier version, readable hole by hole."""
    layout = get_object_or_404(Layout, pk=pk, event=request.event)
    kept = get_object_or_404(LayoutVersion, layout=layout, number=number)
    earlier = layout.versions.filter(number__lt=number).order_by("-number").first()
    units = request.event.units
    shown = [
        {
            "hole": frozen,
            "drawing": drawing(frozen.items),
            "sentences": sentences(
                frozen.details, units, two_metre_on_course=kept.snapshot.get("two_metre", False)
            ),
        }
        for frozen in versions.frozen_holes(kept)
    ]
    context = {
        "layout": layout,
        "version": kept,
        "holes": shown,
        "changed": versions.changed_labels(earlier, kept) if earlier else [],
        "numbers": list(layout.versions.order_by("number").values_list("number", flat=True)),
        "caution": CAUTION,
    }
    return render(request, "course/version.html", context)
