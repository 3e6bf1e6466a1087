"""Pages of hazard notes: the list, and the form of one."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.course import hazards
from events.course.above import Above
from events.course.hazard_forms import HazardForm, initial_of
from events.course.hazard_starts import CAUTION, EFFECTS, PRINTED, RISKS, SEVERITIES, STARTS
from events.course.models import HazardNote
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Role

MAY_NOTE = (Role.DIRECTOR, Role.MARSHAL)


@staff(*EVERY_ROLE, write=())
def listing(request: EventRequest, slug: str, above: Above | None = None) -> HttpResponse:
    """All notes: those that stand, the gravest first, then the withdrawn."""
    rows = [hazard_row(note) for note in hazards.notes_of(request.event)]
    context = {
        "standing": [row for row in rows if row["note"].withdrawn_at is None],
        "withdrawn": [row for row in rows if row["note"].withdrawn_at is not None],
        "starts": STARTS,
        "may_note": request.role in MAY_NOTE,
        "caution": CAUTION,
    }
    return render(request, "course/hazards.html", context)


def hazard_row(note: HazardNote) -> dict[str, Any]:
    """A note in words, as lists and pages show it."""
    places = sorted(note.layout_holes.all(), key=lambda place: (place.layout.name, place.position))
    risks = [words for name, words in RISKS.items() if getattr(note, f"risk_{name}")]
    return {
        "note": note,
        "holes": ", ".join(f"{place.layout.name} {place.label}" for place in places),
        "lost": not places and not note.whole_course,
        "at_risk": ", ".join(risks),
        "severity": SEVERITIES[note.severity],
        "effect": EFFECTS[note.effect] if note.effect else "",
        "printed": ", ".join(
            PRINTED[name] for name, field in hazards.FIELD_OF.items() if getattr(note, field)
        ),
    }


@staff(*EVERY_ROLE, write=MAY_NOTE)
def hazard(
    request: EventRequest, slug: str, pk: int | None = None, above: Above | None = None
) -> HttpResponse:
    """Write a note, or change one that stands; `?start=` fills the form from a starting point."""
    note = get_object_or_404(HazardNote, pk=pk, event=request.event) if pk else None
    start = STARTS.get(request.GET.get("start", "")) if note is None else None
    form = HazardForm(
        request.POST or None,
        instance=note,
        event=request.event,
        initial=initial_of(start) if start else None,
    )
    if request.method == "POST" and form.is_valid():
        try:
            saved = _save(request, form, pk)
        except hazards.HazardRefused as refused:
            form.add_error(None, list(refused.sentences))
        else:
            messages.success(request, f"“{saved.what}” is noted.")
            return redirect("course:hazards", slug)
    context = {
        "form": form,
        "note": note,
        "starts": STARTS,
        "may_note": request.role in MAY_NOTE,
        "caution": CAUTION,
    }
    return render(request, "course/hazard.html", context, status=422 if form.errors else 200)


def _save(request: EventRequest, form: HazardForm, pk: int | None) -> HazardNote:
    common: dict[str, Any] = {
        "facts": form.facts(),
        "holes": form.places(),
        "actor": request.actor,
        "now": timezone.now(),
    }
    if pk is None:
        return hazards.note_hazard(event=request.event, **common)
    # The form's validation has put the typed values on its own instance: the service needs the row as it stands.
    standing = HazardNote.objects.get(pk=pk)
    return hazards.change_hazard(note=standing, version=form.cleaned_data["version"] or 0, **common)


@staff(*MAY_NOTE)
@require_POST
def withdraw(request: EventRequest, slug: str, pk: int, above: Above | None = None) -> HttpResponse:
    note = get_object_or_404(HazardNote, pk=pk, event=request.event)
    try:
        hazards.withdraw_hazard(
            note=note, reason=request.POST.get("reason", ""), actor=request.actor, now=timezone.now()
        )
    except hazards.HazardRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"“{note.what}” is withdrawn.")
    return redirect("course:hazards", slug)
