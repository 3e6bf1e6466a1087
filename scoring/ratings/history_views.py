"""Players' own ratings: histories brought in, compared with what was entered, taken over by the director."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.entries.models import Entry
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Role
from events.sheets.refusal import Refused
from scoring.ratings.forms import HistoryForm
from scoring.ratings.histories import (
    AdoptionRefused,
    HistoryRefused,
    adopt_missing,
    adopt_rating,
    bring_in_history,
    compared,
)
from scoring.ratings.views import section_tabs


@staff(*EVERY_ROLE, write=(Role.DIRECTOR,))
def players(request: EventRequest, slug: str) -> HttpResponse:
    """Entered ratings beside those that the histories give; the director brings a list in here."""
    if request.method == "POST":
        return _bring_in(request)
    return _page(request, HistoryForm())


def _bring_in(request: EventRequest) -> HttpResponse:
    form = HistoryForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form, status=422)
    name, data = form.named
    try:
        done = bring_in_history(
            event=request.event,
            name=name,
            data=data,
            order=form.cleaned_data["date_order"] or None,
            actor=request.actor,
            now=timezone.now(),
        )
    except Refused as refused:
        form.add_error(None, str(refused))
        return _page(request, form, status=422)
    except HistoryRefused as refused:
        form.add_error(None, str(refused))
        return _page(request, form, problems=refused.problems, status=422)
    others = f" Not entered and left out: {len(done.strangers)}." if done.strangers else ""
    messages.success(request, f"{done.rounds} rounds of {done.players} players are in.{others}")
    return redirect("ratings:players", request.event.slug)


def _page(
    request: EventRequest, form: HistoryForm, *, problems: tuple[Any, ...] = (), status: int = 200
) -> HttpResponse:
    rows = compared(request.event)
    context = {
        "form": form,
        "problems": problems,
        "rows": rows,
        "differing": [row for row in rows if row.differs],
        "known": sum(row.estimate is not None for row in rows),
        "missing": sum(row.entry.rating is None and bool(row.differs) for row in rows),
        "may_decide": request.role is Role.DIRECTOR and request.event.over_at is None,
        "section_tabs": section_tabs(request, "players"),
    }
    return render(request, "ratings/players.html", context, status=status)


@staff(Role.DIRECTOR)
@require_POST
def adopt(request: EventRequest, slug: str) -> HttpResponse:
    """Enter the estimate as the player's rating at this event."""
    entry = get_object_or_404(Entry, event=request.event, pk=whole_number(request.POST.get("entry")))
    rating = whole_number(request.POST.get("rating")) or 0
    try:
        held = adopt_rating(entry=entry, rating=rating, actor=request.actor, now=timezone.now())
    except AdoptionRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{held.person.name} is entered with {rating}, estimated.")
    return redirect("ratings:players", slug)


@staff(Role.DIRECTOR)
@require_POST
def adopt_all(request: EventRequest, slug: str) -> HttpResponse:
    """Enter the estimates of everybody who has no rating."""
    try:
        count = adopt_missing(event=request.event, actor=request.actor, now=timezone.now())
    except AdoptionRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(
            request, f"Ratings entered for {count} {'player' if count == 1 else 'players'}, estimated."
        )
    return redirect("ratings:players", slug)
