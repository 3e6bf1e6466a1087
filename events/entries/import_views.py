"""The way of a list into the event: choose it, look at how it is read and answer, bring it in."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from events.entries import importing
from events.entries.import_answers import Answers
from events.entries.import_forms import Choices, ListFileForm, choices_from
from events.entries.import_page import page_of
from events.entries.models import ImportFile
from events.entries.services import EntryRefused
from events.setup.access import EventRequest, staff
from events.setup.models import Role
from events.sheets.refusal import Refused

RECENT = 5
STEPS = ("Choose the list", "Check how it is read", "Bring it in")


def _steps(current: int) -> list[dict[str, Any]]:
    return [
        {"label": label, "current": at == current, "past": at < current} for at, label in enumerate(STEPS)
    ]


@staff(Role.DIRECTOR)
def upload(request: EventRequest, slug: str) -> HttpResponse:
    """Choose a list. A file that cannot be read is refused here, with the reason, and is not kept."""
    form = ListFileForm(request.POST or None, request.FILES or None)
    refused = ""
    if request.method == "POST" and form.is_valid():
        chosen = form.cleaned_data["file"]
        try:
            file = importing.keep_readable(
                event=request.event,
                name=chosen.name,
                data=chosen.read(),
                actor=request.actor,
                now=timezone.now(),
            )
        except Refused as reason:
            refused = str(reason)
        else:
            return redirect("entries:import", slug, file.pk)
    context = {
        "form": form,
        "refused": refused,
        "steps": _steps(0),
        "recent": ImportFile.objects.filter(event=request.event).defer("content").order_by("-pk")[:RECENT],
    }
    return render(request, "entries/import.html", context, status=200 if request.method == "GET" else 422)


@staff(Role.DIRECTOR)
def reading(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """How the list is read: columns, questions, problems. Each change is kept and the list read again."""
    file = get_object_or_404(ImportFile.objects.select_related("event"), pk=pk, event=request.event)
    if file.confirmed_at is not None:
        messages.info(request, f"{file.name} was brought in already. Choose it again to bring it in again.")
        return redirect("entries:import_upload", slug)
    try:
        if request.method == "POST":
            _keep_choices(request, pk)
            return redirect("entries:import", slug, pk)
        found, plan = importing.plan_file(file, now=timezone.now())
    except Refused as reason:
        messages.error(request, str(reason))
        return _without_sheet(file)
    context = page_of(file, found, plan) | {"steps": _steps(1), "mark": importing.choice_mark(file)}
    return render(request, "entries/import_reading.html", context)


@transaction.atomic
def _keep_choices(request: EventRequest, pk: int) -> None:
    """Lay the request over what was chosen before: two quick clicks are two requests, and both count.

    The file is read only where the request cannot be understood without it.
    """
    file = ImportFile.objects.select_for_update(of=("self",)).select_related("event").get(pk=pk)
    post = request.POST.dict()
    mapping: Mapping[str, int | None] | None = file.mapping
    bad_rows: tuple[int, ...] = ()
    if mapping is None or "leave_all" in post:
        found, plan = importing.plan_file(file, now=timezone.now())
        mapping, bad_rows = found.mapping, plan.bad_rows
    held = Choices(file.sheet, file.mapping, Answers.from_json(file.answers))
    chosen = choices_from(post, held, mapping, bad_rows)
    importing.choose(file=file, sheet=chosen.sheet, mapping=chosen.mapping, answers=chosen.answers)


def _without_sheet(file: ImportFile) -> HttpResponse:
    """Back to the likeliest sheet; to the upload where that cannot be read either."""
    if not file.sheet:
        return redirect("entries:import_upload", file.event.slug)
    importing.choose(file=file, sheet="", mapping=None, answers=Answers())
    return redirect("entries:import", file.event.slug, file.pk)


@staff(Role.DIRECTOR)
def bring_in(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Save the list as it was shown, or nothing."""
    file = get_object_or_404(ImportFile.objects.defer("content"), pk=pk, event=request.event)
    if request.method != "POST":
        return redirect("entries:import", slug, pk)
    mark = request.POST.get("mark", "")
    try:
        outcome = importing.confirm(
            file=file, actor=request.actor, now=timezone.now(), mark=mark, paid_must_be_said=True
        )
    except importing.BroughtInAlready as done:
        messages.info(request, str(done))
        return redirect("entries:list", slug)
    except importing.ImportStale as stale:
        messages.warning(request, str(stale))
        return redirect("entries:import", slug, pk)
    except (importing.ImportRefused, EntryRefused) as refused:
        messages.error(request, f"Nothing was saved. {refused}")
        return redirect("entries:import", slug, pk)
    messages.success(request, f"{file.name}: {outcome.words}")
    return redirect("entries:list", slug)
