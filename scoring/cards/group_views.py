"""A group's page for whoever holds its card: scores are typed there, and read without a script too."""

import json
from collections.abc import Callable
from datetime import datetime
from functools import wraps

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.http import require_POST, require_safe

from events.course.hazard_starts import CAUTION
from events.setup.access import public
from events.setup.asked import whole_number
from events.setup.models import Round
from scoring.cards.grid import hole_rows
from scoring.cards.group_acts import NoActs, read_acts
from scoring.cards.group_facts import Json, told
from scoring.cards.group_limits import TooOften, count_link, count_unsigned
from scoring.cards.group_news import Seen, news, nothing_new, read_seen, seen_now
from scoring.cards.group_sending import take_acts
from scoring.cards.group_state import group_now
from scoring.cards.links import BadToken, GroupLink, read_token
from scoring.cards.models import Card
from scoring.cards.queries import NoSuchCard

View = Callable[..., HttpResponse]
PAGE_KEPT_SECONDS = (
    12 * 3600
)  # a browser may show the page again without a connection for as long as a round lasts
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
        round, link_number = _opened(link)
        timezone.activate(round.event.zone)
        request.event = round.event  # type: ignore[attr-defined]
        if link.number != link_number:
            return _closed(request, f"Group {link.group_number}", WITHDRAWN, 410)
        return view(request, round, link.group_number, token)

    return found


def _opened(link: GroupLink) -> tuple[Round, int]:
    """The round with its event, and the number of the address that is good now (1 query; 2 before the first score).
    Raises Http404."""
    cards = Card.objects.filter(round__event=link.event_id, round__number=link.round_number)
    card = cards.filter(group_number=link.group_number).select_related("round__event").first()
    if card is not None:
        return card.round, card.link_number
    rounds = Round.objects.filter(event=link.event_id, number=link.round_number)
    round = rounds.select_related("event").first()
    if round is None:
        raise Http404("This round is gone.")
    return round, 0


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
    now = timezone.now()
    seen = seen_now(round.event, now)
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
        "stood": None if group.state.complete else group.stood,
        "told": json.dumps(told(group, seen=str(seen), now=now)),
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
    """What the page is told, again; 204 while nothing was written that concerns it."""
    had, heard = read_seen(request.GET.get("seen", "")), whole_number(request.GET.get("heard"))
    now = timezone.now()
    seen = seen_now(round.event, now)
    if had is not None and nothing_new(round, number, had, heard, seen):
        return HttpResponse(status=204)
    return _answer(_everything(round, number, seen, now))


@own_group
@require_POST
def acts(request: HttpRequest, round: Round, number: int, token: str) -> HttpResponse:
    """A phone's acts in their order; the answer names each, and tells what is new since the state that the phone has,
    or how everything stands."""
    try:
        sent = read_acts(request.body)
    except NoActs as refused:
        return JsonResponse({"error": str(refused)}, status=422)
    now = timezone.now()
    taken = take_acts(round=round, group_number=number, sent=sent, now=now)
    answered = [{"key": str(answer.key), "refused": answer.refused} for answer in taken.answers]
    new = news(round, taken.figures, read_seen(sent.seen), sent.heard, now) if taken.figures else None
    if new is not None:
        return _answer({"answers": answered, "news": new})
    return _answer({"answers": answered} | _everything(round, number, seen_now(round.event, now), now))


def _everything(round: Round, number: int, seen: Seen, now: datetime) -> Json:
    try:
        return {"told": told(group_now(round, number, now), seen=str(seen), now=now)}
    except NoSuchCard as gone:
        return {"gone": str(gone)}


def _answer(said: Json) -> HttpResponse:
    response = JsonResponse(said)
    response["Cache-Control"] = "no-store"
    return response
