"""Standings and tee times for other pages and for calendars: JSON with its description, and iCalendar.

Anybody may read them from any page. What was read before is answered with 304 or 204 from the log alone.
"""

import json
from collections.abc import Callable, Sequence
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
from scoring.standings.board_kept import Seen, made_once, overall_seen, seen_now
from scoring.standings.board_views import stamped
from scoring.standings.calendar_feeds import player_calendar, round_calendar
from scoring.standings.overall import Overall
from scoring.standings.public_openapi import document
from scoring.standings.public_standings import division_data, event_data, overall_data
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
    return _answer(request, board, lambda event, seen: _divisions_body(event, seen.live.divisions))


@public
@embeddable
def division(request: HttpRequest, board: str, code: str) -> HttpResponse:
    code = code[:LONGEST_CODE]

    def body(event: Event, seen: Seen) -> str | None:
        shown = [each for each in seen.live.divisions if each.code == code]
        return _divisions_body(event, shown) if shown else None

    return _answer(request, board, body, nothing=f"There are no standings of {code} here.")


@public
@embeddable
def overall(request: HttpRequest, board: str) -> HttpResponse:
    """All divisions together, as far as they played the same layouts."""
    return _answer(request, board, _overall_body)


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


def _answer(
    request: HttpRequest, slug: str, body: Callable[[Event, Seen], str | None], *, nothing: str = ""
) -> HttpResponse:
    """`body` makes the rest of the object, after event and revision; None: there is nothing to show."""
    now = timezone.now()
    if (known := _known(request, slug, now)) is not None:
        return known
    event = Event.objects.filter(slug=slug).first()
    if event is None:
        return _problem("There is no such event.")
    seen = seen_now(event, now)
    rest = body(event, seen)
    if rest is None:
        return _problem(nothing)
    revision = _revision(seen)
    head = json.dumps({"event": event_data(event), "revision": revision}, ensure_ascii=False)
    response = HttpResponse(f"{head[:-1]}, {rest}}}", content_type="application/json")
    response["ETag"] = f'"{revision}"'
    return stamped(response, seen.as_of)


def _divisions_body(event: Event, divisions: Sequence[DivisionStandings]) -> str:
    return f'"divisions": [{",".join(_division_text(event, each) for each in divisions)}]'


def _overall_body(event: Event, seen: Seen) -> str:
    lists, alone = overall_seen(event, seen)
    texts = ",".join(_overall_text(event, each) for each in lists)
    return f'"lists": [{texts}], "alone": {json.dumps(alone)}'


def _overall_text(event: Event, found: Overall) -> str:
    def make() -> str:
        return json.dumps(overall_data(found, show_town=event.show_town), ensure_ascii=False)

    return made_once(event, ("json", found.list.code), (found, event.show_town), make)


def _division_text(event: Event, division: DivisionStandings) -> str:
    def make() -> str:
        return json.dumps(division_data(division, show_town=event.show_town), ensure_ascii=False)

    return made_once(event, ("json", division.code), (division, event.show_town), make)


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
