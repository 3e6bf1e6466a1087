"""The player's own page: the box, the bag of each round, and advice. Whoever holds the slip holds the box."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.bags.above import AboveBags
from events.bags.acting import acts_answered, acts_in, acts_refused
from events.bags.advice_page import advice_context, as_typed
from events.bags.links import BadToken, read_token
from events.bags.lists import list_in_use, names_for_typing
from events.bags.models import BagAct
from events.bags.pages import bag_context, chosen_round, round_tabs
from events.bags.services import Applied, BagRefused, apply_acts
from events.entries.models import Entry
from events.log.services import Actor
from events.setup.access import public

View = Callable[..., HttpResponse]
NO_ROUNDS = "The event has no rounds yet."


def own_page(view: View) -> View:
    """Find the entry of a token, and set the page to the event and its clock."""

    @public
    @wraps(view)
    def found(request: HttpRequest, token: str, above: AboveBags) -> HttpResponse:
        try:
            code = read_token(token)
        except BadToken:
            raise Http404("This address is not from a slip of this event.") from None
        entry = Entry.objects.filter(code=code).select_related("event", "person", "division").first()
        if entry is None:
            raise Http404("This entry is gone.")
        timezone.activate(entry.event.zone)
        request.event = entry.event  # type: ignore[attr-defined]
        return view(request, entry, token, above)

    return found


@own_page
@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, entry: Entry, token: str, above: AboveBags) -> HttpResponse:
    """The bag of a round. A form without script posts here and comes back; the script posts to `acts`."""
    if request.method == "POST":
        try:
            refused = tuple(answer.refused for answer in _apply(request, entry, above) if answer.refused)
        except BagRefused as why:
            refused = (str(why),)
        if not refused:
            return redirect(f"{request.path}?round={request.POST.get('round', '')[:3]}")
        return _page(request, entry, token, above, refused=refused, status=422)
    return _page(request, entry, token, above)


def _page(
    request: HttpRequest,
    entry: Entry,
    token: str,
    above: AboveBags,
    *,
    refused: tuple[str, ...] = (),
    status: int = 200,
) -> HttpResponse:
    closed = above.closed(entry)
    round = chosen_round(entry.event, request.GET.get("round") or request.POST.get("round"), closed)
    context: dict[str, Any] = {"entry": entry, "round": round, "token": token, "refused": refused}
    if round is None:
        return render(request, "bags/player_none.html", context)
    context |= bag_context(entry, round, closed) | {
        "post_url": reverse("bag:page", args=[token]),
        "acts_url": reverse("bag:acts", args=[token]),
        "models_url": reverse("bag:models", args=[token]),
        "advice_url": reverse("bag:advice", args=[token]),
        "can_write": entry.event.over_at is None,
        "at_desk": False,
        "tabs": round_tabs(entry.event, round),
    }
    return render(request, "bags/player.html", context, status=status)


def _apply(request: HttpRequest, entry: Entry, above: AboveBags) -> list[Applied]:
    return apply_acts(
        entry=entry,
        acts=acts_in(request),
        source=BagAct.Source.PHONE,
        actor=Actor(name=f"{entry.person.name}, phone"[:150]),
        now=timezone.now(),
        closed=above.closed(entry),
    )


@own_page
@require_POST
def acts(request: HttpRequest, entry: Entry, token: str, above: AboveBags) -> HttpResponse:
    """A phone's acts in their order; the answer names each and brings the bag as it stands now."""
    round = chosen_round(entry.event, request.GET.get("round"))
    if round is None:
        raise Http404(NO_ROUNDS)
    try:
        answers = _apply(request, entry, above)
    except BagRefused as refused:
        return acts_refused(refused)
    context = bag_context(entry, round, above.closed(entry)) | {
        "post_url": reverse("bag:page", args=[token]),
        "can_write": entry.event.over_at is None,
        "at_desk": False,
    }
    return acts_answered(request, answers, context)


@own_page
@require_safe
def models(request: HttpRequest, entry: Entry, token: str, above: AboveBags) -> HttpResponse:
    """Names to suggest while a model is typed, from the list that the event goes by."""
    response = JsonResponse({"models": names_for_typing(list_in_use(entry.event))})
    response["Cache-Control"] = "private, max-age=3600"
    return response


@own_page
@require_safe
def advice(request: HttpRequest, entry: Entry, token: str, above: AboveBags) -> HttpResponse:
    """Pictures of the bag and what players commonly do in such weather; nothing here is about compliance."""
    round = chosen_round(entry.event, request.GET.get("round"))
    if round is None:
        raise Http404(NO_ROUNDS)
    asked = "wind" in request.GET or "temperature" in request.GET
    measured = {} if asked else above.weather(entry.event, timezone.now())
    context = advice_context(
        entry, round, as_typed(entry.event, measured) if measured else request.GET.dict()
    )
    context["measured"] = list(measured.items())
    context["back"] = f"{reverse('bag:page', args=[token])}?round={round.number}"
    return render(request, "bags/advice.html", context)
