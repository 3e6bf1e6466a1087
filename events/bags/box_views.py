"""The same box and bag at the desk, for who has no phone."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.bags.above import AboveBags
from events.bags.acting import acts_answered, acts_in, acts_refused
from events.bags.finding import entry_of, found_entries
from events.bags.links import bag_path
from events.bags.lists import list_in_use, names_for_typing
from events.bags.models import BagAct
from events.bags.pages import bag_context, chosen_round, round_tabs
from events.bags.services import Applied, BagRefused, apply_acts
from events.entries.models import Entry
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Role, Round

WRITERS = (Role.DIRECTOR, Role.DESK, Role.EQUIPMENT)
RECENT = 12


@staff(*EVERY_ROLE, write=WRITERS)
def box(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """Find a player; the box and the bag of a round, as the player sees them. A form without script posts here."""
    text = request.GET.get("q", "").strip()
    entry = entry_of(request.event, whole_number(request.GET.get("entry")))
    found = found_entries(request.event, text) if text else []
    if entry is None and len(found) == 1:
        entry = found[0]
    closed = above.closed(entry) if entry is not None else frozenset()
    round = chosen_round(request.event, request.GET.get("round"), closed)
    if request.method == "POST":
        return _posted(request, entry, round, above)
    context: dict[str, Any] = {
        "q": text,
        "found": found if len(found) > 1 else [],
        "nobody": bool(text) and not found,
        "entry": entry,
        "round": round,
        "tabs": round_tabs(request.event, round, lambda each: _url(slug, each, entry)),
    }
    if entry is not None and round is not None:
        context |= _bag(request, entry, round, above)
    return render(request, "bags/box.html", context)


def _posted(
    request: EventRequest, entry: Entry | None, round: Round | None, above: AboveBags
) -> HttpResponse:
    if entry is None or round is None:
        raise Http404("There is no such entry at this event.")
    try:
        answers = _apply(request, entry, above)
    except BagRefused as refused:
        messages.error(request, str(refused))
    else:
        for answer in answers:
            if answer.refused:
                messages.error(request, answer.refused)
    return redirect(_url(request.event.slug, round, entry))


def _url(slug: str, round: Round, entry: Entry | None) -> str:
    whose = f"&entry={entry.pk}" if entry is not None else ""
    return f"{reverse('bags:box', args=[slug])}?round={round.number}{whose}"


def _bag(request: EventRequest, entry: Entry, round: Round, above: AboveBags) -> dict[str, Any]:
    slug = request.event.slug
    address = above.reachable(request, bag_path(entry))
    return bag_context(entry, round, above.closed(entry)) | {
        "post_url": _url(slug, round, entry),
        "acts_url": f"{reverse('bags:box_acts', args=[slug, entry.pk])}?round={round.number}",
        "models_url": reverse("bags:box_models", args=[slug]),
        "can_write": request.role in WRITERS and request.event.over_at is None,
        "at_desk": True,
        # Who holds the address acts as the player: it is shown to those only who may change the bag anyway.
        "own_page": request.role in WRITERS,
        "address": address,
        "qr": above.qr_image(address),
        "acts": BagAct.objects.filter(entry=entry).select_related("disc", "round").order_by("-pk")[:RECENT],
    }


def _apply(request: EventRequest, entry: Entry, above: AboveBags) -> list[Applied]:
    return apply_acts(
        entry=entry,
        acts=acts_in(request),
        source=BagAct.Source.DESK,
        actor=request.actor,
        now=timezone.now(),
        closed=above.closed(entry),
    )


@staff(*WRITERS)
@require_POST
def acts(request: EventRequest, slug: str, entry: int, above: AboveBags) -> HttpResponse:
    """Acts that a desk's page kept while it had no answer, as a phone's are."""
    owner = entry_of(request.event, entry)
    round = chosen_round(request.event, request.GET.get("round"))
    if owner is None or round is None:
        raise Http404("There is no such entry at this event.")
    try:
        answers = _apply(request, owner, above)
    except BagRefused as refused:
        return acts_refused(refused)
    context = bag_context(owner, round, above.closed(owner)) | {
        "post_url": _url(slug, round, owner),
        "can_write": request.event.over_at is None,
        "at_desk": True,
    }
    return acts_answered(request, answers, context)


@staff(*EVERY_ROLE, write=())
@require_safe
def models(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """Names to suggest while a model is typed."""
    return JsonResponse({"models": names_for_typing(list_in_use(request.event))})
