"""A playoff: what is agreed, and its holes, a row of figures each."""

import secrets
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Division
from events.sheets.cells import clean
from scoring.playoffs.claiming import PlayoffRefused, tie_now
from scoring.playoffs.forms import BeginForm, FiguresWrong, figures
from scoring.playoffs.models import Playoff
from scoring.playoffs.outcomes import outcome_of
from scoring.playoffs.playoff_page import (
    WRITERS,
    Typed,
    may_write,
    names_of,
    newest,
    playoff_of,
    playoff_page,
    source_of,
)
from scoring.playoffs.services import Agreed, begin, drop, leave, take_back, write_hole
from scoring.playoffs.ties import Tie


@staff(*EVERY_ROLE, write=WRITERS)
def begin_page(
    request: EventRequest, slug: str, code: str, after_round: int = 0, trophy: int = 0
) -> HttpResponse:
    """What is agreed before a playoff, for a place or for the `trophy` of a shared one; posting begins it."""
    division = get_object_or_404(Division.objects.select_related("event"), event=request.event, code=code)
    running = Playoff.objects.filter(
        division=division, after_round=after_round, trophy=trophy, dropped_at=None
    ).first()
    if running is not None:
        return redirect("playoffs:playoff", slug, running.pk)
    tie = tie_now(division, after_round, trophy)
    if tie is None:
        messages.error(request, f"{code}: nobody is tied here any more.")
        return redirect("playoffs:overview", slug)
    players = [(row.entry_id, row.standing.name) for row in tie.rows]
    initial = {"seed": str(secrets.randbelow(10**8)).zfill(8)}
    form = BeginForm(request.POST or None, players=players, initial=initial)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                playoff = _begin(request, division, tie, form.cleaned_data)
            except PlayoffRefused as refused:
                form.add_error(None, str(refused))
            else:
                return redirect("playoffs:playoff", slug, playoff.pk)
    context = {
        "division": division,
        "tie": tie,
        "form": form,
        "source": source_of(tie.trophy),
        "may": may_write(request),
    }
    return render(request, "playoffs/begin.html", context, status=status)


def _begin(request: EventRequest, division: Division, tie: Tie, facts: dict[str, Any]) -> Playoff:
    agreed = Agreed(
        holes=facts["holes"],
        aggregate=facts["aggregate"],
        seed=clean(facts["seed"]),
        declined=facts["declined"],
    )
    return begin(
        division=division,
        after_round=tie.after_round,
        trophy=tie.trophy,
        agreed=agreed,
        actor=request.actor,
        now=timezone.now(),
    )


@staff(*EVERY_ROLE, write=WRITERS)
def playoff(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """The holes of a playoff; posting writes one. `?hole=` opens an earlier one to be corrected."""
    row = playoff_of(request, pk)
    if request.method != "POST":
        hole = whole_number(request.GET.get("hole"))
        return playoff_page(request, row, Typed(index=hole - 1 if hole else None))
    index, seen = whole_number(request.POST.get("index")), whole_number(request.POST.get("seen"))
    try:
        players, names = _asked(row, index or 0)
        throws = figures(request.POST, players, names)
        write_hole(
            playoff=row,
            seen=seen or 0,
            index=index or 0,
            throws=throws,
            actor=request.actor,
            now=timezone.now(),
        )
    except (PlayoffRefused, FiguresWrong) as refused:
        texts = {key: clean(request.POST.get(f"throws-{key}", ""))[:4] for key in row.players}
        return playoff_page(request, row, Typed(str(refused), index, texts), status=422)
    return redirect("playoffs:playoff", slug, pk)


def _asked(row: Playoff, index: int) -> tuple[tuple[int, ...], dict[int, str]]:
    """Who has a figure on a hole: its players where it was played, else those who are still in it."""
    outcome = outcome_of(row, newest(row))
    players = outcome.steps[index].order if index < len(outcome.steps) else outcome.playing
    return players, names_of(row)


@staff(*WRITERS)
@require_POST
def change(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Take the last hole back, let a player leave, or drop the playoff: the button says which."""
    row = playoff_of(request, pk)
    seen, act = whole_number(request.POST.get("seen")) or 0, request.POST.get("act", "")
    facts: dict[str, Any] = {"playoff": row, "actor": request.actor, "now": timezone.now()}
    try:
        if act == "drop":
            drop(**facts, reason=clean(request.POST.get("reason", "")))
            messages.success(request, "The playoff does not count.")
            return redirect("playoffs:overview", slug)
        if act == "leave":
            leave(**facts, seen=seen, entry=whole_number(request.POST.get("entry")) or 0)
        else:
            take_back(**facts, seen=seen)
    except PlayoffRefused as refused:
        messages.error(request, str(refused))
    return redirect("playoffs:playoff", slug, pk)
