"""A group's page for whoever holds its card: scores are typed there, and read without a script too."""

import json
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_POST, require_safe

from events.course.hazard_starts import CAUTION
from events.log.services import revision
from events.setup.access import public
from events.setup.models import Round
from scoring.cards.grid import hole_rows
from scoring.cards.group_acts import NoActs, read_acts
from scoring.cards.group_facts import Json, told
from scoring.cards.group_limits import TooOften, count_link, count_unsigned
from scoring.cards.group_sending import take_acts
from scoring.cards.group_state import group_now
from scoring.cards.links import BadToken, GroupLink, read_token
from scoring.cards.models import Card
from scoring.cards.queries import NoSuchCard

View = Callable[..., HttpResponse]
PAGE_KEPT_SECONDS = (
    12 * 3600
)  # a browser may show the page again without a connection for as long as a round lasts
FACTS_HOLD_SECONDS = 600  # hazard notes begin and end by the clock: after so long the page is told again
WITHDRAWN = (
    "This address was withdrawn at the desk. Scan the code on the group’s newest card, or ask at the desk. "
    "What was typed and not sent is kept on this phone, and is sent from there."
)


def own_group(view: View) -> View:
    """Find the round and group of a token, count the request, and set the page to the event and its clock."""

    @public
    @wraps(view)
    def found(request: HttpRequest, token: str) -> HttpResponse:
        now = timezone.now()
        try:
            try:
                link = read_token(token)
            except BadToken:
                count_unsigned(request, now)
                raise Http404("This address is not from a card of this event.") from None
            count_link(request, f"{link.event_id}.{link.round_number}.{link.group_number}", now)
        except TooOften as often:
            return _closed(request, "Too often", str(often), 429)
        round = Round.objects.filter(event_id=link.event_id, number=link.round_number)
        found = round.select_related("event").first()
        if found is None:
            raise Http404("This round is gone.")
        timezone.activate(found.event.zone)
        request.event = found.event  # type: ignore[attr-defined]
        if _withdrawn(found, link):
            return _closed(request, f"Group {link.group_number}", WITHDRAWN, 410)
        return view(request, found, link.group_number, token)

    return found


def _withdrawn(round: Round, link: GroupLink) -> bool:
    """1 query."""
    numbers = Card.objects.filter(round=round, group_number=link.group_number)
    return (numbers.values_list("link_number", flat=True).first() or 0) != link.number


def _closed(request: HttpRequest, heading: str, sentence: str, status: int) -> HttpResponse:
    """A sentence instead of the page: as JSON where a script asks."""
    if request.headers.get("Accept", "").startswith("application/json"):
        return JsonResponse({"error": sentence}, status=status)
    context = {"heading": heading, "sentence": sentence}
    return render(request, "cards/group_closed.html", context, status=status)


@ensure_csrf_cookie
@own_group
@require_safe
def page(request: HttpRequest, round: Round, number: int, token: str) -> HttpResponse:
    """The whole round for the phone, and below it the same to read without a script."""
    now, seen = timezone.now(), _seen(round)
    try:
        group = group_now(round, number, now)
    except NoSuchCard:
        return render(request, "cards/group_gone.html", {"round": round, "number": number}, status=404)
    context = {
        "round": round,
        "state": group.state,
        "rows": hole_rows(group.state, group.hazards),
        "hazards": group.hazards,
        "caution": CAUTION,
        "rulings": group.rulings,
        "stood": group.stood,
        "told": json.dumps(told(group, seen=seen, now=now)),
        "urls": {name: reverse(f"group:{name}", args=[token]) for name in ("state", "acts")},
        "first": "csrftoken" not in request.COOKIES,
        "as_of": round.event.local(now),
    }
    response = render(request, "cards/group.html", context)
    patch_cache_control(response, private=True, max_age=PAGE_KEPT_SECONDS)
    return response


@own_group
@require_safe
def state(request: HttpRequest, round: Round, number: int, token: str) -> HttpResponse:
    """What the page is told, again; 204 while nothing was written since."""
    if request.GET.get("seen") == _seen(round):
        return HttpResponse(status=204)
    return _told(round, number)


@own_group
@require_POST
def acts(request: HttpRequest, round: Round, number: int, token: str) -> HttpResponse:
    """A phone's acts in their order; the answer names each and tells how the card stands now."""
    try:
        sent = read_acts(request.body)
    except NoActs as refused:
        return JsonResponse({"error": str(refused)}, status=422)
    answers = take_acts(round=round, group_number=number, sent=sent, now=timezone.now())
    answered = [{"key": str(answer.key), "refused": answer.refused} for answer in answers]
    return _told(round, number, answers=answered)


def _seen(round: Round) -> str:
    """A name for what can be told at this moment. Read before the facts, so that a later act is never missed."""
    return f"{revision(round.event.slug)}.{int(timezone.now().timestamp()) // FACTS_HOLD_SECONDS}"


def _told(round: Round, number: int, **more: Any) -> HttpResponse:
    answer: Json = dict(more)
    now, seen = timezone.now(), _seen(round)
    try:
        answer["told"] = told(group_now(round, number, now), seen=seen, now=now)
    except NoSuchCard as gone:
        answer["gone"] = str(gone)
    response = JsonResponse(answer)
    response["Cache-Control"] = "no-store"
    return response
