"""The staff's pages of the standings: a division at a time, one player's working, the sheet."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import nothing_to_print, shown_pdf
from events.setup.asked import whole_number
from scoring.standings.listing import overall_context, rows_shown
from scoring.standings.marks import decided_words
from scoring.standings.overall import OVERALL, overall_of
from scoring.standings.paper import standings_pdf
from scoring.standings.queries import DivisionStandings, standings
from scoring.standings.showing import division_sub
from scoring.standings.tallying import Group
from scoring.standings.wording import place_words, undecided_text
from scoring.standings.working import PLACE_SOURCE, SOURCE, working_of


@staff(*EVERY_ROLE, write=())
def overview(request: EventRequest, slug: str) -> HttpResponse:
    """One division of the standings, or all together; `?division=` chooses, `?round=` leaves later rounds out."""
    through = whole_number(request.GET.get("round"))
    found = standings(request.event, through_round=through, now=timezone.now())
    wanted = request.GET.get("division", "")
    context: dict[str, Any] = {
        "tabs": _tabs(request, found, wanted),
        "stand": [_stand(request, each) for each in found],
        "through": through,
    }
    if wanted == OVERALL and len(found) > 1:
        lists, alone = overall_of(found)
        return render(request, "standings/overall.html", context | overall_context(lists, alone))
    shown = next((each for each in found if each.code == wanted), found[0] if found else None)
    context |= {
        "division": shown,
        "sub": division_sub(shown) if shown else "",
        "rows": rows_shown(shown) if shown else [],
        "moves": any(row.moved is not None for row in shown.rows) if shown else False,
        "decided": decided_words(shown) if shown else "",
        "pdf": _with(reverse("standings:pdf", args=[slug]), round=through),
        "pdf_division": _with(
            reverse("standings:pdf", args=[slug]), round=through, division=shown.code if shown else None
        ),
    }
    return render(request, "standings/overview.html", context)


@staff(*EVERY_ROLE, write=())
def player(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """How one player's standing adds up."""
    for division in standings(request.event, now=timezone.now()):
        for row in division.rows:
            if row.entry_id == pk:
                standing = row.standing
                context = {
                    "division": division,
                    "standing": standing,
                    "place": place_words(standing.place, tied=standing.tied),
                    "working": working_of(division, row),
                    "source": SOURCE,
                    "place_source": PLACE_SOURCE,
                }
                return render(request, "standings/player.html", context)
    raise Http404("Nobody of this number stands in the standings.")


@staff(*EVERY_ROLE, write=())
def pdf(request: EventRequest, slug: str) -> HttpResponse:
    """The standings on paper: all divisions, or the one that is asked for."""
    code = request.GET.get("division")
    try:
        content = standings_pdf(
            request.event,
            divisions=[code] if code else None,
            through_round=whole_number(request.GET.get("round")),
            now=timezone.now(),
        )
    except ValueError as problem:
        return nothing_to_print(request, str(problem), "standings:overview", slug)
    return shown_pdf(content, f"{slug}-standings.pdf")


def _with(address: str, **query: Any) -> str:
    given = {key: value for key, value in query.items() if value is not None}
    return f"{address}?{urlencode(given)}" if given else address


def _tabs(request: EventRequest, found: list[DivisionStandings], wanted: str) -> list[dict[str, Any]]:
    """The divisions, and all together where there are several."""
    address = reverse("standings:overview", args=[request.event.slug])
    through = whole_number(request.GET.get("round"))
    codes = [each.code for each in found]
    labels = [*codes, OVERALL] if len(codes) > 1 else codes
    current = wanted if wanted in labels else next(iter(codes), "")
    return [
        {"label": label, "url": _with(address, division=label, round=through), "current": label == current}
        for label in labels
    ]


def _stand(request: EventRequest, division: DivisionStandings) -> dict[str, Any]:
    """How a division stands: "12 in, 2 in play", or what is missing."""
    playing = [row.standing for row in division.rows if row.standing.group not in {Group.DNF, Group.DQ}]
    missing = sum(standing.group is Group.NO_CARD for standing in playing)
    complete = sum(standing.complete for standing in playing)
    value = f"{complete} of {len(playing)} in" if not missing else f"{missing} without a card"
    undecided = undecided_text(division.undecided)
    address = reverse("standings:overview", args=[request.event.slug])
    return {
        "label": division.code,
        "value": ", ".join(filter(None, (value, undecided))),
        "needs": bool(missing or undecided),
        "url": _with(address, division=division.code),
    }
