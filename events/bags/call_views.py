"""Calls of play about a disc that was thrown: told, looked at, written, taken back."""

from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.bags.above import AboveBags
from events.bags.call_forms import CallForm
from events.bags.call_page import call_lines, group_of, proposal_context, shown, throws_text, who_is_meant
from events.bags.calls import CallRefused, holes_of, proposed, record_call, remarks_on, take_back_call
from events.bags.finding import entry_of
from events.bags.models import Call
from events.bags.pages import current_round, round_tabs
from events.bags.queries import box_of
from events.entries.models import Entry
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import page_key, whole_number
from events.setup.models import Role, Round
from events.setup.queries import rulebook_for
from events.sheets.cells import clean

WRITERS = (Role.DIRECTOR, Role.CARD_ROOM, Role.MARSHAL, Role.EQUIPMENT)


def calls_url(slug: str, round: Round, entry: Entry | None = None) -> str:
    query = f"?round={round.number}" + (f"&entry={entry.pk}" if entry else "")
    return reverse("bags:calls", args=[slug]) + query


@staff(*EVERY_ROLE, write=())
@require_safe
def calls(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """The round's calls, and whose call is to be written: found by name, number, scan or group."""
    round = current_round(request.event, request.GET.get("round"), above)
    text = request.GET.get("q", "").strip()[:100]
    if round is None:
        return render(request, "bags/calls.html", _frame(request, None, above))
    entry = entry_of(request.event, whole_number(request.GET.get("entry")))
    found = who_is_meant(request.event, round, text) if text and entry is None else []
    if len(found) == 1:
        return redirect(calls_url(slug, round, found[0]))
    context = _frame(request, round, above) | {
        "q": text,
        "nobody": bool(text) and entry is None and not found,
        "found": [(each, calls_url(slug, round, each)) for each in found],
    }
    if entry is not None and context["may_write"]:
        context |= _told(entry, round, CallForm(None, holes=holes_of(entry, round), box=box_of(entry)))
    return render(request, "bags/calls.html", context)


def _frame(request: EventRequest, round: Round | None, above: AboveBags) -> dict[str, Any]:
    event, slug = request.event, request.event.slug
    lines, repeats = call_lines(event, round) if round else ([], [])
    return {
        "round": round,
        "tabs": round_tabs(event, round, lambda each: calls_url(slug, each)),
        "lines": lines,
        "repeats": repeats,
        "cards_url": above.links(event, round)["cards"] if round else "",
        "may_write": request.role in WRITERS and event.over_at is None,
        "is_director": request.role == Role.DIRECTOR,
        "q": "",
        "found": [],
        "nobody": False,
        "entry": None,
        "wrong": "",
    }


def _told(entry: Entry, round: Round, form: CallForm, submission: UUID | None = None) -> dict[str, Any]:
    """The form of a player's call, with nothing said yet of what it comes to."""
    number, company = group_of(entry, round)
    return {
        "entry": entry,
        "group": number,
        "company": company,
        "form": form,
        "submission": submission or uuid4(),
        "comes_to": "",
    }


@staff(*WRITERS)
@require_POST
def tell(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """What a call comes to, and the call itself once what was shown still holds."""
    round = get_object_or_404(Round, event=request.event, number=whole_number(request.POST.get("round")) or 0)
    entry = get_object_or_404(
        Entry.objects.select_related("person", "division", "event"),
        event=request.event,
        pk=whole_number(request.POST.get("entry")) or 0,
    )
    form = CallForm(request.POST, holes=holes_of(entry, round), box=box_of(entry))
    context = _told(entry, round, form, page_key(request.POST.get("submission")))
    if not form.is_valid():
        return _again(request, round, above, context, status=422)
    book = rulebook_for(request.event)
    try:
        if not Call.objects.filter(submission=context["submission"]).exists():
            proposal = proposed(entry, round, form.told, book)
            remarks = remarks_on(entry, round, form.told, proposal)
            if request.POST.get("shown") != shown(form.told, proposal, remarks):
                context |= proposal_context(form.told, proposal, remarks, book)
                return _again(request, round, above, context)
        call = record_call(
            entry=entry,
            round=round,
            disc=form.piece,
            told=form.told,
            submission=context["submission"],
            book=above.book,
            actor=request.actor,
            now=timezone.now(),
        )
    except CallRefused as refused:
        # Under a new key: the old one may be that of another call, which this page has written before.
        context |= {"wrong": str(refused), "submission": uuid4()}
        return _again(request, round, above, context, status=422)
    where = "the playoff" if call.playoff else f"hole {call.hole_label}"
    messages.success(request, f"{entry.person.name}, {where}: {throws_text(call)}. The call is written.")
    return redirect(calls_url(slug, round))


def _again(
    request: EventRequest, round: Round, above: AboveBags, told: dict[str, Any], status: int = 200
) -> HttpResponse:
    return render(request, "bags/calls.html", _frame(request, round, above) | told, status=status)


@staff(*WRITERS)
@require_POST
def take_back(request: EventRequest, slug: str, pk: int, above: AboveBags) -> HttpResponse:
    """A call counts no longer, nor do its throws; it stays in the list with the reason."""
    call = get_object_or_404(
        Call.objects.select_related("round", "entry__person"), pk=pk, round__event=request.event
    )
    try:
        take_back_call(
            call=call,
            reason=clean(request.POST.get("reason", "")),
            unbook=above.unbook,
            actor=request.actor,
            now=timezone.now(),
        )
    except CallRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"The call on {call.entry.person.name} is taken back.")
    return redirect(calls_url(slug, call.round))
