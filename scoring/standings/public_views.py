"""Standings and tee times for other pages and for calendars: JSON with its description, and iCalendar.

Anybody may read them from any page. What was read before is answered with 304 or 204 from the log alone.
"""

import json
from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.utils import timezone

from events.setup.access import public
from events.setup.asked import whole_number
from events.setup.models import Event
from scoring.standings.board import end_of_log
from scoring.standings.board_kept import Seen, seen_now, text_of
from scoring.standings.board_views import stamped
from scoring.standings.calendar_feeds import player_calendar, round_calendar
from scoring.standings.public_openapi import document
from scoring.standings.public_standings import division_data, event_data
from scoring.standings.queries import DivisionStandings

HASH = 16  # letters of the log's end that name a state of it
LONGEST_CODE = 10
View = Callable[..., HttpResponse]


def embeddable(view: View) -> View:
    """For reading from any page, also with If-None-Match, about which browsers ask first."""

    @wraps(view)
    def answer(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.method == "OPTIONS":
            response = HttpResponse(status=204)
            response["Access-Control-Allow-Methods"] = "GET, HEAD"
            response["Access-Control-Allow-Headers"] = "If-None-Match"
            response["Access-Control-Max-Age"] = "86400"
        elif request.method in {"GET", "HEAD"}:
            response = view(request, *args, **kwargs)
        else:
            response = _problem("This is for reading only.", status=405)
            response["Allow"] = "GET, HEAD, OPTIONS"
        response["Access-Control-Allow-Origin"] = "*"
        response["Access-Control-Expose-Headers"] = "ETag, As-Of"
        response["Cache-Control"] = "no-cache"  # kept, and asked about by its ETag each time
        return response

    return answer


@public
@embeddable
def standings(request: HttpRequest, board: str) -> HttpResponse:
    return _standings(request, board, code=None)


@public
@embeddable
def division(request: HttpRequest, board: str, code: str) -> HttpResponse:
    return _standings(request, board, code=code[:LONGEST_CODE])


@public
@embeddable
def openapi(request: HttpRequest, board: str) -> HttpResponse:
    """The description of all this, OpenAPI 3.1."""
    event = Event.objects.filter(slug=board).first()
    if event is None:
        return _problem("There is no such event.")
    return JsonResponse(
        document(slug=event.slug, event=event.name), json_dumps_params={"ensure_ascii": False}
    )


@public
@embeddable
def round_ics(request: HttpRequest, board: str, number: int) -> HttpResponse:
    return _calendar(request, board, lambda event, url: round_calendar(event, number, url), f"round-{number}")


@public
@embeddable
def player_ics(request: HttpRequest, board: str, entry: int) -> HttpResponse:
    return _calendar(request, board, lambda event, url: player_calendar(event, entry, url), f"player-{entry}")


def _standings(request: HttpRequest, slug: str, *, code: str | None) -> HttpResponse:
    now = timezone.now()
    if (known := _known(request, slug, now)) is not None:
        return known
    event = Event.objects.filter(slug=slug).first()
    if event is None:
        return _problem("There is no such event.")
    seen = seen_now(event, now)
    shown = [each for each in seen.live.divisions if code is None or each.code == code]
    if code is not None and not shown:
        return _problem(f"There are no standings of {code} here.")
    revision = _revision(seen)
    divisions = ",".join(_division_text(event, each) for each in shown)
    head = json.dumps({"event": event_data(event), "revision": revision}, ensure_ascii=False)
    response = HttpResponse(f'{head[:-1]}, "divisions": [{divisions}]}}', content_type="application/json")
    response["ETag"] = f'"{revision}"'
    return stamped(response, seen.as_of)


def _division_text(event: Event, division: DivisionStandings) -> str:
    def make() -> str:
        return json.dumps(division_data(division, show_town=event.show_town), ensure_ascii=False)

    return text_of(event, ("json", division.code), (division, event.show_town), make)


def _calendar(
    request: HttpRequest, slug: str, make: Callable[[Event, str], str | None], name: str
) -> HttpResponse:
    event = Event.objects.filter(slug=slug).first()
    text = make(event, request.build_absolute_uri(reverse("board:phone", args=[slug]))) if event else None
    if text is None:
        return _problem("There are no tee times at this address.")
    response = HttpResponse(text, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = f'inline; filename="{name}.ics"'
    return response


def _revision(seen: Seen) -> str:
    """Names what is shown: the end of the log, and until when it is right without a further act."""
    return f"{seen.head[:HASH] or 'none'}.{seen.live.until}"


def _known(request: HttpRequest, slug: str, now: datetime) -> HttpResponse | None:
    """304 or 204 when what the asker has is still right (1 query); None else."""
    etags = [
        each.strip().removeprefix("W/").strip('"')
        for each in request.headers.get("If-None-Match", "").split(",")
    ]
    asked = request.GET.get("revision", "")
    named = [each for each in (*etags[:5], asked) if each]
    if not named:
        return None
    head = end_of_log(slug).head
    right = next((each for each in named if _holds(each, head, now)), None)
    if right is None:
        return None
    response = HttpResponse(status=204 if right == asked else 304)
    response["ETag"] = f'"{right}"'
    return stamped(response, now)


def _holds(revision: str, head: str, now: datetime) -> bool:
    state, _, until = revision.partition(".")
    good = whole_number(until)
    return bool(head) and head[:HASH] == state and good is not None and now.timestamp() < good


def _problem(words: str, *, status: int = 404) -> HttpResponse:
    return JsonResponse({"error": words}, status=status)
