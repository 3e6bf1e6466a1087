"""Lost and found: one page, worked by keyboard, and its paper."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.entries.models import Entry
from events.entries.paper_views import head_of
from events.logistics.above import Above
from events.logistics.forms import FoundForm, HandOverForm
from events.logistics.models import FoundThing
from events.logistics.prints import found_list
from events.logistics.queries import TAKEN_KEY, found_things, owners_of, ruling_pages, taken_waiting
from events.logistics.services import (
    FoundRefused,
    hand_in,
    hand_over,
    hold_again,
    settle_taken,
    was_not_taken,
    was_taken,
)
from events.logistics.tabs import logistics_tabs
from events.logistics.taken import comes_off
from events.setup.access import EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.asked import whole_number
from events.setup.models import Role
from events.setup.overview import moment_text
from events.setup.queries import rulebook_for

AT_THE_TABLE = (Role.DIRECTOR, Role.DESK)
READERS = (*AT_THE_TABLE, Role.CARD_ROOM, Role.MARSHAL)
RULE_WRITERS = (Role.DIRECTOR, Role.CARD_ROOM, Role.MARSHAL)  # whom the page of penalties lets in


@staff(*READERS, write=())
def found(request: EventRequest, slug: str, above: Above) -> HttpResponse:
    return _page(request, above, FoundForm(event=request.event))


def _page(request: EventRequest, above: Above, form: FoundForm, status: int = 200) -> HttpResponse:
    """Telephone numbers help to find an owner; only the desk sees them."""
    may_write = request.role in AT_THE_TABLE
    event, book = request.event, rulebook_for(request.event)
    waiting = taken_waiting(event, book, above.given_back)
    open_ = {taken.thing.pk for taken in waiting}
    listed = found_things(request.event, with_contact=may_write)
    context: dict[str, Any] = {
        "form": form,
        "held": [each for each in listed if each.thing.held],
        "gone": [each.thing for each in listed if not each.thing.held],
        "taken": ruling_pages(event, waiting, above),
        "waiting": open_,
        "answered": [e.thing for e in listed if e.thing.taken_from_id and e.thing.pk not in open_],
        "owners": owners_of(request.event, with_contact=False) if may_write else [],
        "may_write": may_write,
        "may_settle": request.role in (Role.DIRECTOR, Role.CARD_ROOM),
        "may_rule": request.role in RULE_WRITERS,
        "comes_off": comes_off(book.int(TAKEN_KEY)),
        "rule": book.value(TAKEN_KEY).citation,
        "tabs": logistics_tabs(request.event, "logistics:found"),
    }
    return render(request, "logistics/found.html", context, status=status)


@staff(*AT_THE_TABLE)
@require_POST
def hand_in_page(request: EventRequest, slug: str, above: Above) -> HttpResponse:
    form = FoundForm(request.POST, event=request.event)
    if not form.is_valid():
        return _page(request, above, form, 422)
    try:
        thing = hand_in(event=request.event, **form.cleaned_data, actor=request.actor, now=timezone.now())
    except FoundRefused as refused:
        form.add_error(None, str(refused))
        return _page(request, above, form, 422)
    messages.success(request, f"No. {thing.number} is written down: put the number on it.")
    return redirect("logistics:found", slug)


@staff(*AT_THE_TABLE)
@require_POST
def hand_over_page(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    thing = get_object_or_404(FoundThing, pk=pk, event=request.event)
    form = HandOverForm(request.POST, event=request.event)
    if not form.is_valid():
        messages.error(request, "Choose who has it now from the list, or write a name.")
        return redirect("logistics:found", slug)
    return _act(
        request, hand_over, "No. {0.number} is {0.outcome}: {0.outcome_to}.", thing=thing, **form.cleaned_data
    )


@staff(*AT_THE_TABLE)
@require_POST
def hold_again_page(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    thing = get_object_or_404(FoundThing, pk=pk, event=request.event)
    return _act(request, hold_again, "No. {0.number} is held again.", thing=thing)


@staff(*AT_THE_TABLE)
@require_POST
def taken_page(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """With `entry` the disc was taken from that player; without, that word is taken back."""
    thing = get_object_or_404(FoundThing, pk=pk, event=request.event)
    chosen = whole_number(request.POST.get("entry"))
    if chosen is None:
        return _act(request, was_not_taken, "No. {0.number} was not taken.", thing=thing)
    entry = get_object_or_404(Entry.objects.select_related("person"), pk=chosen, event=request.event)
    return _act(request, was_taken, "The card room is told about no. {0.number}.", thing=thing, entry=entry)


@staff(Role.CARD_ROOM)
@require_POST
def settled_page(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    thing = get_object_or_404(FoundThing, pk=pk, event=request.event)
    reason = request.POST.get("reason", "")
    return _act(request, settle_taken, "No. {0.number} needs no ruling.", thing=thing, reason=reason)


def _act(request: EventRequest, service: Callable[..., FoundThing], done: str, **facts: Any) -> HttpResponse:
    try:
        thing = service(**facts, actor=request.actor, now=timezone.now())
    except FoundRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, done.format(thing))
    return redirect("logistics:found", request.event.slug)


@staff(*READERS, write=())
def found_paper(request: EventRequest, slug: str) -> HttpResponse:
    """To pin up at the table: no owner's name and no number to ring, since anybody reads it."""
    event = request.event
    things = [each.thing for each in found_things(event, with_contact=False)]
    printed = moment_text(event, timezone.now())
    return shown_pdf(found_list(head_of(event), things, event.local, printed=printed), f"{slug}-found.pdf")
