"""The standings on a phone: followed players first, a search, and one division at a time where the field is large."""

from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from events.setup.access import public
from events.setup.asked import whole_number
from events.setup.models import Event
from scoring.standings.board import Live
from scoring.standings.board_kept import Seen, has_overall, made_once, overall_seen, seen_now
from scoring.standings.board_views import (
    BoardRequest,
    current,
    event_named,
    part_answer,
    stamped,
    tag_of,
    theme_of,
)
from scoring.standings.overall import OVERALL
from scoring.standings.phone import (
    MOST_FOLLOWED,
    chosen,
    followed_in,
    found_in,
    phone_division,
    phone_overall,
)
from scoring.standings.queries import DivisionStandings
from scoring.standings.stop_seen import StopSeen

LONGEST_SEARCH = 100


@public
@require_safe
def phone(request: BoardRequest, slug: str) -> HttpResponse:
    """The standings as a list; `?q=` finds a name and `?division=` chooses one, or all together, without scripts."""
    event, now = request.event, timezone.now()
    seen = seen_now(event, now)
    context = _part(request, event, seen) | {"theme": theme_of(request), "now": now}
    context["stop_seen"] = _stop(event, seen.live, now)
    return stamped(render(request, "board/phone.html", context), now)


@public
@require_safe
def phone_parts(request: HttpRequest, board: str) -> HttpResponse:
    """The list, with the followed players whom the phone names; 204 while what is shown is right."""
    now = timezone.now()
    if current(request, board, now):
        return stamped(HttpResponse(status=204), now)
    event = event_named(board)
    with timezone.override(event.zone):
        seen = seen_now(event, now)
        context = _part(request, event, seen)
    return part_answer(request, context, seen)


def _stop(event: Event, live: Live, now: datetime) -> StopSeen:
    return StopSeen(live.revision, live.until, event.local(now), live.stop, live.told)


def _part(request: HttpRequest, event: Event, seen: Seen) -> dict[str, Any]:
    live = seen.live
    q = request.GET.get("q", "").strip()[:LONGEST_SEARCH]
    together = has_overall(event, seen)
    asked = request.GET.get("division", "")
    over_all = asked == OVERALL and together
    lists_of_all = tuple(each.list for each in overall_seen(event, seen)[0]) if over_all else ()
    shown = lists_of_all or chosen(live.divisions, asked)
    found = found_in(live.divisions, show_town=event.show_town, q=q) if q else []
    lists = [_list(event, each) for each in shown] if not q else []
    context = {
        "event": event,
        "live": live,
        "q": q,
        "found": found,
        "count": sum(len(each.rows) for each in found),
        "lists": mark_safe("".join(lists)),  # noqa: S308  a template made them
        "followed": followed_in(live.divisions, show_town=event.show_town, ids=_followed(request)),
        "choices": _choices(request, live, shown, overall=together),
        "whole": not q and not over_all and len(shown) == len(live.divisions),
        "division": OVERALL if over_all else shown[0].code if len(shown) < len(live.divisions) else "",
        "over": event.over_at is not None,
    }
    part = render_to_string("board/phone_parts.html", context)
    return context | {"part": mark_safe(part), "tag": tag_of(part)}  # noqa: S308  a template made it


def _list(event: Event, division: DivisionStandings) -> str:
    """A division's list, made once for all phones."""

    def make() -> str:
        listed = phone_overall if division.code.startswith(OVERALL) else phone_division
        shown = listed(division, show_town=event.show_town)
        return render_to_string("board/phone_list.html", {"division": shown, "q": ""})

    return made_once(event, ("phone", division.code), (division, event.show_town), make)


def _followed(request: HttpRequest) -> frozenset[int]:
    """Entries that the phone follows: `follow=12,34`. Whatever else stands there is left out."""
    asked = request.GET.get("follow", "").split(",", MOST_FOLLOWED)[:MOST_FOLLOWED]
    return frozenset(number for number in map(whole_number, asked) if number is not None)


def _choices(
    request: HttpRequest, live: Live, shown: tuple[DivisionStandings, ...], *, overall: bool
) -> list[dict[str, Any]]:
    """Where each division is: further down, or at an address of its own; and all together, where they can be."""
    theme = {"theme": theme_of(request)} if theme_of(request) else {}
    codes = [each.code for each in live.divisions]
    here = [each.code for each in shown]
    whole = here == codes
    found = [
        {
            "code": code,
            "url": f"#{code}" if whole else f"?{urlencode({'division': code, **theme})}",
            "here": not whole and code in here,
        }
        for code in codes
    ]
    if overall:
        url = f"?{urlencode({'division': OVERALL, **theme})}"
        found.append({"code": OVERALL, "url": url, "here": OVERALL in here})
    return found
