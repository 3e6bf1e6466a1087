"""The public pages: the kiosk and the phone, each with the part that it fetches again."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from events.setup.access import public
from events.setup.asked import whole_number
from events.setup.models import Event
from players.names import fold
from scoring.standings.board import Live, is_current, kept, kept_live, live
from scoring.standings.phone import phone_divisions
from scoring.standings.showing import pages
from scoring.standings.side import sides
from scoring.standings.stop_seen import StopSeen, stop_seen

LONGEST_SEARCH = 100
Context = Callable[[Event, Live], dict[str, Any]]


class BoardRequest(HttpRequest):
    event: Event


@public
@require_safe
@never_cache
def kiosk(request: BoardRequest, slug: str) -> HttpResponse:
    """Without scripts the page goes on by itself, page by page."""
    now = timezone.now()
    context = _kiosk(request.event, kept_live(request.event, now))
    turned = context["pages"]
    asked = whole_number(request.GET.get("page")) or 1
    beside = context["sides"]
    context |= {
        "page": turned[(asked - 1) % len(turned)] if turned else None,
        "side": beside[(asked - 1) % len(beside)],
        "following": asked + 1,
        "now": now,
    }
    return _stamped(render(request, "board/kiosk.html", context), now)


@public
@require_safe
@never_cache
def kiosk_parts(request: BoardRequest, slug: str) -> HttpResponse:
    """Every page of the kiosk, or 204 while what it shows is current."""
    return _answer(request, "kiosk", "board/parts.html", _kiosk)


@public
@require_safe
@never_cache
def phone(request: BoardRequest, slug: str) -> HttpResponse:
    """The standings as a list; `?q=` finds a name without scripts."""
    event, now, q = request.event, timezone.now(), request.GET.get("q", "").strip()[:LONGEST_SEARCH]
    context: dict[str, Any] = {"q": q, "found": 0, "now": now, "over": event.over_at is not None}
    if q:
        seen = kept_live(event, now)
        found = _phone(event, seen, q)
        context |= {
            "part": render_to_string("board/phone_parts.html", found),
            "found": _count(found),
            "stop_seen": StopSeen(seen.revision, seen.until, event.local(now), seen.stop, seen.told),
        }
    else:
        context["part"] = _part(event, "phone", "board/phone_parts.html", _phone, now)
    return _stamped(render(request, "board/phone.html", context), now)


@public
@require_safe
@never_cache
def phone_parts(request: BoardRequest, slug: str) -> HttpResponse:
    return _answer(request, "phone", "board/phone_parts.html", _phone)


@public
@require_safe
@never_cache
def stop_parts(request: BoardRequest, slug: str) -> HttpResponse:
    """The banner of a stop and the notices, on top of every phone's page; 204 while current."""
    event, now = request.event, timezone.now()
    if is_current(event, now, seen=request.GET.get("seen", ""), until=request.GET.get("until", "")):
        return _stamped(HttpResponse(status=204), now)
    context = {"event": event, "stop_seen": stop_seen(event, now)}
    return _stamped(render(request, "safety/stop_banner.html", context), now)


def _answer(request: BoardRequest, kind: str, template: str, context: Context) -> HttpResponse:
    now = timezone.now()
    seen, until = request.GET.get("seen", ""), request.GET.get("until", "")
    if is_current(request.event, now, seen=seen, until=until):
        return _stamped(HttpResponse(status=204), now)
    return _stamped(HttpResponse(_part(request.event, kind, template, context, now)), now)


def _part(event: Event, kind: str, template: str, context: Context, now: datetime) -> SafeString:
    """Rendered without the request: a part that is kept for all must hold nothing of one reader."""

    def make() -> tuple[Live, str]:
        seen = live(event, now)
        return seen, render_to_string(template, context(event, seen))

    return mark_safe(kept(event, kind, now, make))  # noqa: S308  a template made it


def _kiosk(event: Event, seen: Live) -> dict[str, Any]:
    turned = pages(seen.divisions, show_town=event.show_town)
    return {
        "event": event,
        "live": seen,
        "pages": turned,
        "sides": sides(seen.heading, seen.starts, seen.notices),
        "over": event.over_at is not None,
    }


def _phone(event: Event, seen: Live, q: str = "") -> dict[str, Any]:
    divisions = phone_divisions(seen.divisions, show_town=event.show_town, wanted=fold(q))
    return {"event": event, "live": seen, "divisions": divisions, "q": q}


def _count(found: dict[str, Any]) -> int:
    return sum(len(division.rows) for division in found["divisions"])


def _stamped(response: HttpResponse, now: datetime) -> HttpResponse:
    """Says when the answer was true; a page takes nothing without it for an answer of the board."""
    response["As-Of"] = now.isoformat(timespec="seconds")
    return response
