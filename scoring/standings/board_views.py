"""The kiosk, and the page of it that it fetches when its turn comes.

Polls name the event `board`, not `slug`: whether anything is new is known from the log alone, so nothing else is read.
"""

from dataclasses import replace
from datetime import datetime
from hashlib import blake2b
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from events.setup.access import public
from events.setup.asked import whole_number
from events.setup.models import Event
from scoring.standings.board import is_current
from scoring.standings.board_kept import Seen, made_once, overall_seen, seen_now
from scoring.standings.board_turns import Length, find, room_within, turns
from scoring.standings.queries import DivisionStandings
from scoring.standings.showing import Page, lengths, page_at
from scoring.standings.side import ACROSS, UPRIGHT, sides
from scoring.standings.stop_seen import stop_seen

LONGEST_KEY = 300
THEMES = ("light", "dark")


class BoardRequest(HttpRequest):
    event: Event


@public
@require_safe
def kiosk(request: BoardRequest, slug: str) -> HttpResponse:
    """One page of the board. Without scripts it goes on by itself, page by page."""
    now = timezone.now()
    seen = seen_now(request.event, now)
    asked = whole_number(request.GET.get("page")) or 1
    context = _page(request, request.event, seen, at=asked - 1)
    context |= {
        "page": context["make_page"](),
        "side": context["sides"][(asked - 1) % len(context["sides"])],
        "following": asked + 1,
        "now": now,
        "theme": theme_of(request),
        "rows": whole_number(request.GET.get("rows")) or "",
    }
    return stamped(render(request, "board/kiosk.html", context), now)


@public
@require_safe
def kiosk_parts(request: HttpRequest, board: str) -> HttpResponse:
    """The page with the key `page`, or `step` pages on from it; 204 while what is shown is right.

    A page whose figures are as the screen has them, though the log went on, is a 204 with the new revision.
    """
    now = timezone.now()
    if current(request, board, now):
        return stamped(HttpResponse(status=204), now)
    event = event_named(board)
    with timezone.override(event.zone):
        seen = seen_now(event, now)
        step = {"1": 1, "-1": -1}.get(request.GET.get("step", ""), 0)
        context = _page(request, event, seen, key=request.GET.get("page", "")[:LONGEST_KEY], step=step)
    return part_answer(request, context, seen)


@public
@require_safe
def stop_parts(request: HttpRequest, board: str) -> HttpResponse:
    """The banner of a stop and the notices, on top of every phone's page; 204 while current."""
    now = timezone.now()
    if current(request, board, now):
        return stamped(HttpResponse(status=204), now)
    event = event_named(board)
    with timezone.override(event.zone):
        context = {"event": event, "stop_seen": stop_seen(event, now)}
        return stamped(render(request, "safety/stop_banner.html", context), now)


def event_named(slug: str) -> Event:
    event = Event.objects.filter(slug=slug).first()
    if event is None:
        raise Http404("There is no such event.")
    return event


def current(request: HttpRequest, slug: str, now: datetime) -> bool:
    return is_current(slug, now, seen=request.GET.get("seen", ""), until=request.GET.get("until", ""))


def theme_of(request: HttpRequest) -> str:
    """The theme that the address chooses; "" leaves it to the screen's own setting."""
    asked = request.GET.get("theme", "")
    return asked if asked in THEMES else ""


def part_answer(request: HttpRequest, context: dict[str, Any], seen: Seen) -> HttpResponse:
    """A part that was made: its text, or 204 when the screen has the same, in both cases with what to poll with."""
    tag = context["tag"]
    same = request.GET.get("tag") == tag
    response = HttpResponse(status=204) if same else HttpResponse(context["part"])
    response["Revision"], response["Until"], response["Tag"] = seen.live.revision, seen.live.until, tag
    return stamped(response, seen.as_of)


def stamped(response: HttpResponse, now: datetime) -> HttpResponse:
    """Says when the answer was true; a page takes nothing without it for an answer of the board. Kept by nobody."""
    response["As-Of"] = now.isoformat(timespec="seconds")
    response.setdefault("Cache-Control", "no-store")
    return response


def tag_of(text: str) -> str:
    """Short enough for an address; what differs has another."""
    return blake2b(text.encode(), digest_size=9).hexdigest()


def _page(
    request: HttpRequest, event: Event, seen: Seen, *, at: int | None = None, key: str = "", step: int = 0
) -> dict[str, Any]:
    """What a page of the kiosk shows: `part` is its text, made once for all screens of the same room."""
    live = seen.live
    room = room_within(whole_number(request.GET.get("rows")))
    upright = request.GET.get("shape") == "upright"
    divisions, long = _pages_of(request, event, seen, room)
    found = turns(long, room)
    at = find(found, key) + step if at is None else at
    at = at % len(found) if found else 0
    beside = sides(live.heading, live.starts, live.notices, UPRIGHT if upright else ACROSS)

    def make_page() -> Page | None:
        return page_at(divisions, found, at, show_town=event.show_town) if found else None

    def make() -> str:
        context = {"event": event, "live": live, "page": make_page(), "sides": beside}
        return render_to_string("board/parts.html", context)

    shown = tuple(divisions[each.index] for each in found[at].slices) if found else (live.first_round,)
    made_of = (found[at : at + 2], len(found), shown, beside, live.stop, event.name, event.show_town)
    part = made_once(event, ("kiosk", room, at, upright, len(divisions)), made_of, make)
    return {
        "event": event,
        "live": live,
        "part": mark_safe(part),  # noqa: S308  a template made it
        "tag": tag_of(part),
        "sides": beside,
        "make_page": make_page,
        "room": room,
        "with_overall": _wants_overall(request),
        "over": event.over_at is not None,
    }


def _wants_overall(request: HttpRequest) -> bool:
    return request.GET.get("overall") == "1"


def _pages_of(
    request: HttpRequest, event: Event, seen: Seen, room: int
) -> tuple[tuple[DivisionStandings, ...], tuple[Length, ...]]:
    """What the pages show; of all divisions together, which a screen asks for with `?overall=1`, the top alone."""
    live = seen.live
    if not _wants_overall(request):
        return live.divisions, live.lengths
    extra = tuple(each.list for each in overall_seen(event, seen)[0])
    tops = tuple(replace(each, rows=min(each.rows, room)) for each in lengths(extra))
    return (*live.divisions, *extra), (*live.lengths, *tops)
