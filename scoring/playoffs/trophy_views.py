"""Trophies of places that are shared, decided by another contest than a playoff."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Division
from events.sheets.cells import clean
from scoring.playoffs.claiming import PlayoffRefused, tie_now
from scoring.playoffs.contests import Held, take_contest_back, write_contest
from scoring.playoffs.forms import ContestForm
from scoring.playoffs.models import TrophyContest
from scoring.playoffs.playoff_page import WRITERS, may_write
from scoring.standings.models import AFTER_LAST_ROUND


@staff(*EVERY_ROLE, write=WRITERS)
def contest(request: EventRequest, slug: str, code: str, trophy: int) -> HttpResponse:
    """What they did for the trophy, and who won it."""
    division = get_object_or_404(Division.objects.select_related("event"), event=request.event, code=code)
    tie = tie_now(division, AFTER_LAST_ROUND, trophy) if trophy else None
    if tie is None:
        messages.error(request, f"{code}: nobody is tied for this trophy any more.")
        return redirect("playoffs:overview", slug)
    players = [(row.entry_id, row.standing.name) for row in tie.rows]
    form, status = ContestForm(request.POST or None, players=players), 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                written = _write(request, division, trophy, form.cleaned_data)
            except PlayoffRefused as refused:
                form.add_error(None, str(refused))
            else:
                messages.success(request, f"{code}: {dict(players)[written.winner_id]} takes {tie.what}.")
                return redirect("playoffs:overview", slug)
    context = {"division": division, "tie": tie, "form": form, "may": may_write(request)}
    return render(request, "playoffs/contest.html", context, status=status)


def _write(request: EventRequest, division: Division, trophy: int, facts: dict[str, Any]) -> TrophyContest:
    held = Held(winner=facts["winner"], what=clean(facts["what"]), result=clean(facts["result"]))
    return write_contest(division=division, trophy=trophy, held=held, actor=request.actor, now=timezone.now())


@staff(*WRITERS)
@require_POST
def contest_back(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """The trophy waits to be decided again."""
    row = get_object_or_404(
        TrophyContest.objects.select_related("division__event"), pk=pk, division__event=request.event
    )
    try:
        take_contest_back(contest=row, actor=request.actor, now=timezone.now())
    except PlayoffRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{row.division.code}: the trophy of place {row.trophy} is open again.")
    return redirect("playoffs:overview", slug)
