"""Calls of play about a disc: what it comes to is shown before it is written, and the card gets it at once."""

from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.bags.above import AboveBags
from events.bags.calls import (
    CallIn,
    CallRefused,
    calls_of,
    holes_of,
    out_of_step,
    proposed,
    record_call,
    remarks_on,
    repeated,
    take_back_call,
)
from events.bags.finding import found_entries
from events.bags.models import Call
from events.bags.pages import chosen_round
from events.bags.queries import bag_of
from events.entries.models import Entry
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Role, Round
from events.setup.queries import rulebook_for
from events.sheets.cells import clean
from players.models import Disc

WRITERS = (Role.DIRECTOR, Role.CARD_ROOM, Role.MARSHAL, Role.EQUIPMENT)
LONGEST = {"hole": 6, "what": 200, "caller": 120, "confirmer": 120}


@staff(*EVERY_ROLE, write=())
def calls(request: EventRequest, slug: str, above: AboveBags) -> HttpResponse:
    """The calls of the event, newest first, and the way to write one."""
    text = request.GET.get("q", "").strip()
    round = chosen_round(request.event, request.GET.get("round"))
    entry = _entry(request, request.GET.get("entry"))
    found = found_entries(request.event, text) if text else []
    if entry is None and len(found) == 1:
        entry = found[0]
    context = _frame(request, round, above) | {"q": text, "found": found if len(found) > 1 else []}
    context["nobody"] = bool(text) and not found
    if entry is not None and round is not None:
        context |= _form(entry, round, {}, None)
    return render(request, "bags/calls.html", context)


def _entry(request: EventRequest, text: str | None) -> Entry | None:
    entries = Entry.objects.filter(event=request.event, pk=whole_number(text) or 0)
    return entries.select_related("person", "division", "event").first()


def _frame(request: EventRequest, round: Round | None, above: AboveBags) -> dict[str, Any]:
    event = request.event
    made = calls_of(event)
    often = repeated(made)
    book = rulebook_for(event)
    return {
        "entry": None,
        "round": round,
        "tabs": [
            {
                "label": f"Round {each.number}",
                "url": f"?round={each.number}",
                "current": round is not None and each.pk == round.pk,
            }
            for each in event.rounds.order_by("number")
        ],
        "calls": made,
        "odd": out_of_step(made, book),
        "often": [(call.entry, often[call.entry_id]) for call in _firsts(made) if call.entry_id in often],
        "may_write": request.role in WRITERS and event.over_at is None,
        "may_take_back": request.role in (Role.DIRECTOR, Role.CARD_ROOM) and event.over_at is None,
        "cards_url": above.links(event, round)["cards"] if round else "",
    }


def _firsts(made: list[Call]) -> list[Call]:
    """One call of each entrant, in the order in which they are listed."""
    return list({call.entry_id: call for call in made}.values())


def _form(
    entry: Entry, round: Round, typed: dict[str, str], proposal: dict[str, Any] | None, wrong: str = ""
) -> dict[str, Any]:
    return {
        "entry": entry,
        "holes": holes_of(entry, round),
        "discs": bag_of(entry, round).carried,
        "typed": {
            name: typed.get(name, "") for name in ("hole", "throw", "what", "caller", "confirmer", "disc")
        },
        "chosen": {
            "unmarked": "unmarked" in typed,
            "illegal": "illegal" in typed,
            "playoff": "playoff" in typed,
        },
        "proposal": proposal,
        "submission": typed.get("submission") or str(uuid4()),
        "wrong": wrong,
    }


@staff(*WRITERS)
@require_POST
def write(request: EventRequest, slug: str, entry: int, round_number: int, above: AboveBags) -> HttpResponse:
    """First what the call comes to, with its rule and what the rules say of who called; then it is written."""
    owner = _entry(request, str(entry))
    if owner is None:
        raise Http404("There is no such entry at this event.")
    round = get_object_or_404(Round.objects.select_related("event"), event=request.event, number=round_number)
    typed = request.POST.dict()
    try:
        told = _told(typed)
        disc = _disc(owner, typed.get("disc", ""))
        book = rulebook_for(request.event)
        proposal = proposed(owner, round, told, book)
        if "sure" not in typed:
            facts = {"sentence": proposal.sentence, "remarks": remarks_on(owner, round, told, proposal)}
            context = _frame(request, round, above) | {"q": "", "found": [], "nobody": False}
            return render(request, "bags/calls.html", context | _form(owner, round, typed, facts))
        call = record_call(
            entry=owner,
            round=round,
            disc=disc,
            told=told,
            submission=_submission(typed),
            book=above.book,
            actor=request.actor,
            now=timezone.now(),
        )
    except CallRefused as refused:
        context = _frame(request, round, above) | {"q": "", "found": [], "nobody": False}
        context |= _form(owner, round, typed, None, str(refused))
        return render(request, "bags/calls.html", context, status=422)
    throws = f"{call.throws} penalty throw{'s' if call.throws != 1 else ''} on hole {call.hole_label}"
    said = "a warning" if call.warning else throws
    messages.success(request, f"{owner.person.name}: {said}.")
    return redirect(f"{reverse('bags:calls', args=[slug])}?round={round.number}")


def _told(typed: dict[str, str]) -> CallIn:
    """What was typed, cleaned. Raises CallRefused for what is too long."""
    words = {name: clean(typed.get(name, "")) for name in LONGEST}
    for name, longest in LONGEST.items():
        if len(words[name]) > longest:
            raise CallRefused(f"{name.capitalize()} has {len(words[name])} letters: at most {longest}.")
    throw = whole_number(typed.get("throw", "").strip())
    if typed.get("throw", "").strip() and not throw:
        raise CallRefused("Which throw on the hole is a number: 1, 2, 3 …")
    return CallIn(
        kinds=tuple(kind for kind in ("unmarked", "illegal") if kind in typed),
        hole_label=words["hole"].upper(),
        throw=min(throw, 99) if throw else None,
        what=words["what"],
        caller=words["caller"],
        confirmer=words["confirmer"],
        playoff="playoff" in typed,
    )


def _disc(owner: Entry, text: str) -> Disc | None:
    number = whole_number(text)
    return Disc.objects.filter(person=owner.person, pk=number).first() if number else None


def _submission(typed: dict[str, str]) -> UUID:
    try:
        return UUID(typed.get("submission", ""))
    except ValueError:
        return uuid4()


@staff(Role.DIRECTOR, Role.CARD_ROOM)
@require_POST
def take_back(request: EventRequest, slug: str, pk: int, above: AboveBags) -> HttpResponse:
    """The call does not count any more; its throws leave the card, and it stays to be read."""
    call = get_object_or_404(Call, pk=pk, round__event=request.event)
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
        messages.success(request, "The call is taken back.")
    return redirect(f"{reverse('bags:calls', args=[slug])}?round={call.round.number}")
