"""Cuts and ties: the page of all divisions, setting a cut, posting who goes on. A playoff: playoff_views.py."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Division, Role
from events.sheets.cells import clean
from scoring.playoffs.claiming import PlayoffRefused
from scoring.playoffs.co_winners import name_co_winners, undo_co_winners
from scoring.playoffs.forms import CoWinnersForm, CutForm
from scoring.playoffs.pages import DivisionShown, divisions_shown
from scoring.playoffs.playoff_page import may_write
from scoring.standings.cut_setting import (
    CutRefused,
    comes_late,
    decline,
    post_cut,
    remove_cut,
    set_cut,
    take_list_down,
)
from scoring.standings.models import Cut

WRITERS = (Role.DIRECTOR,)


@staff(*EVERY_ROLE, write=WRITERS)
def overview(request: EventRequest, slug: str) -> HttpResponse:
    """Cuts, ties and playoffs of every division; posting sets a cut."""
    form, status = _cut_form(request, request.POST or None), 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                said = _set(request, form.cleaned_data)
            except CutRefused as refused:
                form.add_error(None, str(refused))
            else:
                messages.success(request, said)
                return redirect("playoffs:overview", slug)
    return _page(request, form, CoWinnersForm(), status=status)


def _page(
    request: EventRequest, form: CutForm, co_form: CoWinnersForm, *, co_code: str = "", status: int = 200
) -> HttpResponse:
    shown = divisions_shown(request.event)
    context = {
        "divisions": shown,
        "form": form,
        "co_form": co_form,
        "co_code": co_code,
        "may": request.role in WRITERS and request.event.over_at is None,
        "may_trophies": may_write(request),
        "waiting": _waiting(shown),
    }
    return render(request, "playoffs/overview.html", context, status=status)


def _cut_form(request: EventRequest, data: QueryDict | None = None) -> CutForm:
    event = request.event
    return CutForm(
        data,
        divisions=list(event.divisions.filter(dropped_at__isnull=True).order_by("order", "code")),
        rounds=list(event.rounds.order_by("number")),
        late=comes_late(event, timezone.now()),
    )


def _set(request: EventRequest, facts: dict[str, Any]) -> str:
    division = request.event.divisions.get(code=facts["division"])
    cut = set_cut(
        division=division,
        after_round=facts["after_round"],
        players=facts["players"],
        percent=facts["percent"],
        ties=facts["ties"],
        reason=clean(facts.get("reason", "")),
        actor=request.actor,
        now=timezone.now(),
    )
    size = f"{cut.players} players" if cut.players else f"{cut.percent} % of the division"
    return f"{division.code}: {size} play on after round {cut.after_round}."


def _waiting(shown: list[DivisionShown]) -> list[dict[str, Any]]:
    """What needs a decision, for the column beside the page."""
    items = []
    for division in shown:
        needs = [tie.what for tie in division.ties]
        needs += [f"playoff, {each.what}" for each in division.playoffs if each.needs]
        needs += [f"cut after round {each.after_round}" for each in division.cuts if each.differs]
        items.append(
            {
                "label": division.code,
                "value": ", ".join(needs) or "nothing waits",
                "needs": bool(needs),
                "url": f"#{division.code}",
            }
        )
    return items


@staff(*WRITERS)
@require_POST
def cut(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """Post the list, take it down, or take the cut out: the button says which."""
    row = get_object_or_404(
        Cut.objects.select_related("division__event"), pk=pk, division__event=request.event
    )
    acts: dict[str, tuple[Callable[..., Any], str]] = {
        "post": (post_cut, "Who goes on is posted."),
        "down": (take_list_down, "The list is taken down: the cards say who goes on."),
        "remove": (remove_cut, "The cut is taken out."),
    }
    act, said = acts.get(request.POST.get("act", ""), acts["post"])
    try:
        act(cut=row, reason=clean(request.POST.get("reason", "")), actor=request.actor, now=timezone.now())
    except CutRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{row.division}: {said}")
    return redirect("playoffs:overview", slug)


@staff(*WRITERS)
@require_POST
def declined(request: EventRequest, slug: str, pk: int, entry: int) -> HttpResponse:
    """A player who qualified does not play on, or does after all."""
    row = get_object_or_404(
        Cut.objects.select_related("division__event"), pk=pk, division__event=request.event
    )
    player = get_object_or_404(
        request.event.entries.select_related("person"), pk=entry, division=row.division
    )
    undo = request.POST.get("undo") == "1"
    try:
        decline(cut=row, entry=player, undo=undo, actor=request.actor, now=timezone.now())
    except CutRefused as refused:
        messages.error(request, str(refused))
    else:
        what = "plays on after all" if undo else "does not play on, and stands last of the qualifiers"
        messages.success(request, f"{player.person.name} {what}.")
    return redirect("playoffs:overview", slug)


@staff(*WRITERS)
@require_POST
def co_winners(request: EventRequest, slug: str, code: str) -> HttpResponse:
    """Leave the tie for first place standing, in a published exception; or take that back."""
    division = get_object_or_404(Division.objects.select_related("event"), event=request.event, code=code)
    if request.POST.get("undo") == "1":
        return _undo_co_winners(request, division)
    form = CoWinnersForm(request.POST)
    if form.is_valid():
        try:
            rows = name_co_winners(
                division=division,
                exception=form.cleaned_data["exception"],
                reason=clean(form.cleaned_data["reason"]),
                actor=request.actor,
                now=timezone.now(),
            )
        except PlayoffRefused as refused:
            form.add_error(None, str(refused))
        else:
            first = sum(row.rank == 1 for row in rows)
            messages.success(request, f"{code}: {first} co-winners share the first place.")
            return redirect("playoffs:overview", slug)
    return _page(request, _cut_form(request), form, co_code=code, status=422)


def _undo_co_winners(request: EventRequest, division: Division) -> HttpResponse:
    try:
        undo_co_winners(division=division, actor=request.actor, now=timezone.now())
    except PlayoffRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{division.code}: the tie for first place waits for a playoff again.")
    return redirect("playoffs:overview", request.event.slug)
