"""The waitlists in their order, the one who is next, and the caps that decide how far they reach."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from events.entries.capping import set_caps
from events.entries.caps import Scope
from events.entries.facts import caps_of
from events.entries.forms import CapsForm
from events.entries.leaving import next_in_line, promote
from events.entries.models import Entry, Status
from events.entries.queries import waitlists
from events.entries.services import EntryRefused
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Division, Role
from events.setup.queries import rulebook_for
from events.setup.services import Stale

WRITERS = (Role.DIRECTOR, Role.DESK)


@staff(*EVERY_ROLE, write=())
def waitlist(request: EventRequest, slug: str) -> HttpResponse:
    return _page(request)


def _page(request: EventRequest, caps_form: CapsForm | None = None) -> HttpResponse:
    event = request.event
    rulebook, caps = rulebook_for(event), caps_of(event)
    due = next_in_line(event, rulebook)
    held = waitlists(event, rulebook)
    lists = [
        {"title": _title(scope), "cap": caps.of(scope), "entries": entries} for scope, entries in held.items()
    ]
    context: dict[str, Any] = {
        "lists": lists,
        "due": due,
        "waiting": len({entry.pk for entries in held.values() for entry in entries}),
        "left": _left(request),
        "may_write": request.role in WRITERS,
        "caps_form": caps_form or (_caps_form(request) if request.role is Role.DIRECTOR else None),
        "version": event.version,
    }
    return render(request, "entries/waitlist.html", context, status=422 if caps_form else 200)


def _title(scope: Scope) -> str:
    return scope.words[0].upper() + scope.words[1:]


def _left(request: EventRequest) -> list[Entry]:
    """Who withdrew, newest first, with whoever took the place (1 query)."""
    found = Entry.objects.filter(event=request.event, status=Status.WITHDRAWN)
    return list(found.select_related("person", "division", "filled_by__person").order_by("-left_at", "pk"))


def _caps_form(request: EventRequest, data: Any = None) -> CapsForm:
    event = request.event
    divisions = list(Division.objects.filter(event=event).order_by("order", "code"))
    initial = {"cap": event.cap, "cap_pro": event.cap_pro, "cap_am": event.cap_am, "version": event.version}
    return CapsForm(data, initial=initial, divisions=divisions)


@staff(*WRITERS)
def promote_next(request: EventRequest, slug: str) -> HttpResponse:
    """The next of the list; with `entry` a chosen one, who needs a reason unless it is the next."""
    if request.method != "POST":
        return redirect("entries:waitlist", slug)
    chosen, pk = None, whole_number(request.POST.get("entry"))
    if pk is not None:
        chosen = get_object_or_404(Entry, pk=pk, event=request.event)
    try:
        entry = promote(
            event=request.event,
            entry=chosen,
            reason=request.POST.get("reason", "").strip()[:500],
            actor=request.actor,
            now=timezone.now(),
        )
    except EntryRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{entry.person} is in, in {entry.division.code}.")
    return redirect("entries:waitlist", slug)


@staff(Role.DIRECTOR)
def caps(request: EventRequest, slug: str) -> HttpResponse:
    if request.method != "POST":
        return redirect("entries:waitlist", slug)
    form = _caps_form(request, request.POST)
    if not form.is_valid():
        return _page(request, form)
    facts = form.cleaned_data
    divisions = {
        int(name.removeprefix("division_")): cap
        for name, cap in facts.items()
        if name.startswith("division_")
    }
    try:
        set_caps(
            event=request.event,
            version=facts["version"],
            cap=facts["cap"],
            cap_pro=facts["cap_pro"],
            cap_am=facts["cap_am"],
            divisions=divisions,
            actor=request.actor,
            now=timezone.now(),
        )
    except Stale as stale:
        form.add_error(None, str(stale))
        request.event.refresh_from_db(fields=["version"])
        return _page(request, form)
    except EntryRefused as refused:
        form.add_error(None, str(refused))
        return _page(request, form)
    messages.success(request, "Caps saved. Nobody moves by themselves: promote whoever is next.")
    return redirect("entries:waitlist", slug)
