"""A playoff: what is agreed, and its holes, a row of figures each."""

import secrets
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.entries.models import Entry
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Division, Role
from events.sheets.cells import clean
from scoring.playoffs.forms import BeginForm, FiguresWrong, figures
from scoring.playoffs.models import Playoff, PlayoffVersion
from scoring.playoffs.services import (
    Agreed,
    PlayoffRefused,
    begin,
    drop,
    leave,
    outcome_of,
    take_back,
    write_hole,
)
from scoring.playoffs.table import table_of
from scoring.playoffs.ties import Tie, tie_of
from scoring.standings.queries import standings

WRITERS = (Role.DIRECTOR, Role.CARD_ROOM)
SOURCE = "Competition Manual 2025, 1.09.B; order of throwing also Official Rules of Disc Golf 2025, 802.02."


@staff(*EVERY_ROLE, write=WRITERS)
def begin_page(request: EventRequest, slug: str, code: str, after_round: int) -> HttpResponse:
    """What is agreed before a playoff; posting begins it."""
    division = get_object_or_404(Division.objects.select_related("event"), event=request.event, code=code)
    running = Playoff.objects.filter(division=division, after_round=after_round, dropped_at=None).first()
    if running is not None:
        return redirect("playoffs:playoff", slug, running.pk)
    tie = _tie(division, after_round)
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
                playoff = _begin(request, division, after_round, form.cleaned_data)
            except PlayoffRefused as refused:
                form.add_error(None, str(refused))
            else:
                return redirect("playoffs:playoff", slug, playoff.pk)
    context = {"division": division, "tie": tie, "form": form, "source": SOURCE, "may": _may(request)}
    return render(request, "playoffs/begin.html", context, status=status)


def _tie(division: Division, after_round: int) -> Tie | None:
    found = standings(division.event, divisions=[division.code])
    return tie_of(found[0], after_round) if found else None


def _begin(request: EventRequest, division: Division, after_round: int, facts: dict[str, Any]) -> Playoff:
    agreed = Agreed(
        holes=facts["holes"],
        aggregate=facts["aggregate"],
        seed=clean(facts["seed"]),
        declined=facts["declined"],
    )
    return begin(
        division=division, after_round=after_round, agreed=agreed, actor=request.actor, now=timezone.now()
    )


def _may(request: EventRequest) -> bool:
    return request.role in WRITERS and request.event.over_at is None


@dataclass(frozen=True, slots=True)
class Typed:
    """What somebody typed that was refused, and why."""

    wrong: str = ""
    index: int | None = None
    texts: dict[int, str] | None = None


@staff(*EVERY_ROLE, write=WRITERS)
def playoff(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """The holes of a playoff; posting writes one. `?hole=` opens an earlier one to be corrected."""
    row = _playoff(request, pk)
    if request.method != "POST":
        hole = whole_number(request.GET.get("hole"))
        return _page(request, row, Typed(index=hole - 1 if hole else None))
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
        return _page(request, row, Typed(str(refused), index, texts), status=422)
    return redirect("playoffs:playoff", slug, pk)


def _playoff(request: EventRequest, pk: int) -> Playoff:
    found = Playoff.objects.select_related("division__event", "layout")
    return get_object_or_404(found, pk=pk, division__event=request.event)


def _newest(row: Playoff) -> PlayoffVersion:
    version = row.versions.order_by("number").last()
    if version is None:
        raise Http404("This playoff has no holes.")
    return version


def _names(row: Playoff) -> dict[int, str]:
    entries = Entry.objects.filter(pk__in=row.players).select_related("person")
    return {entry.pk: entry.person.name for entry in entries}


def _asked(row: Playoff, index: int) -> tuple[tuple[int, ...], dict[int, str]]:
    """Who has a figure on a hole: its players where it was played, else those who are still in it."""
    outcome = outcome_of(row, _newest(row))
    players = outcome.steps[index].order if index < len(outcome.steps) else outcome.playing
    return players, _names(row)


def _page(request: EventRequest, row: Playoff, typed: Typed, status: int = 200) -> HttpResponse:
    versions = list(row.versions.order_by("number"))
    if not versions:
        raise Http404("This playoff has no holes.")
    outcome, names = outcome_of(row, versions[-1]), _names(row)
    shown = table_of(row, outcome, names, correct=typed.index, typed=typed.texts)
    context = {
        "playoff": row,
        "seen": versions[-1].number,
        "table": shown,
        "playing": [(key, names[key]) for key in outcome.playing],
        "wrong": typed.wrong,
        "versions": versions,
        "first_order": [names[key] for key in row.players],
        "declined": [names[int(key)] for key in versions[-1].declined],
        "source": SOURCE,
        "may": _may(request) and row.dropped_at is None,
        "correct_url": reverse("playoffs:playoff", args=[request.event.slug, row.pk]),
    }
    return render(request, "playoffs/playoff.html", context, status=status)


@staff(*WRITERS)
@require_POST
def change(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Take the last hole back, let a player leave, or drop the playoff: the button says which."""
    row = _playoff(request, pk)
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
