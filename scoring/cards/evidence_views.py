"""Acts beside the grid of a card: who is right, verified, opened again, signed on paper, photos, radio calls."""

from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid5

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from events.setup.access import EventRequest, staff
from events.setup.asked import page_key, whole_number
from events.setup.figures import clock_text
from events.setup.models import Role, Round
from events.sheets.cells import clean
from scoring.cards import pages
from scoring.cards.agreeing import ready_cards
from scoring.cards.calling import farther_call, keep_call, take_back_call
from scoring.cards.deciding import decide_cells
from scoring.cards.keeping import CardRefused
from scoring.cards.models import CardPhoto, Confirmation
from scoring.cards.photos import keep_photo, put_photo_away
from scoring.cards.queries import cards_of
from scoring.cards.radio import CallUnread, read_call
from scoring.cards.signing import confirm, take_back_confirmation
from scoring.cards.verifying import unlock_card, verify_card
from scoring.cards.views import RADIO, WRITERS

CHECKED = "looked at in the card room"


def _round(request: EventRequest, number: int) -> Round:
    return get_object_or_404(Round.objects.select_related("event"), event=request.event, number=number)


def _act(
    request: EventRequest, round: Round, group: int | None, done: str, act: Callable[..., Any], **facts: Any
) -> HttpResponse:
    """Do it, say it, and go back to the card."""
    try:
        act(round=round, actor=request.actor, now=timezone.now(), **facts)
    except CardRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, done)
    return redirect(pages.room_url(request.event, round.number, group))


@staff(*WRITERS)
@require_POST
def decide(request: EventRequest, slug: str, round_number: int, group: int) -> HttpResponse:
    """Who is right, cell by cell: fields "cell ENTRY HOLE" hold the figure."""
    chosen = {}
    for name, value in request.POST.items():
        part = name.split(" ", 2)
        if len(part) == 3 and part[0] == "cell":
            entry, throws = whole_number(part[1]), whole_number(str(value))
            if entry is not None and throws is not None:
                chosen[entry, part[2]] = throws
    return _act(
        request,
        _round(request, round_number),
        group,
        f"Group {group}: decided. Every source stays to be read.",
        decide_cells,
        group_number=group,
        chosen=chosen,
        key=page_key(request.POST.get("key")),
        reason=clean(request.POST.get("reason", ""))[:200],
    )


@staff(*WRITERS)
@require_POST
def verify(request: EventRequest, slug: str, round_number: int, group: int) -> HttpResponse:
    round = _round(request, round_number)
    ready = {each.number: each.why for each in ready_cards(round, cards_of(round))}
    why = ready.get(group) or CHECKED
    done = f"Group {group} is verified: {why}."
    return _act(request, round, group, done, verify_card, group_number=group, why=why)


@staff(*WRITERS)
@require_POST
def verify_agreed(request: EventRequest, slug: str, round_number: int) -> HttpResponse:
    """Every card on which two sources agree, at once; the others are looked at one by one."""
    round = _round(request, round_number)
    done, refused = [], []
    for ready in ready_cards(round, cards_of(round)):
        if not ready.why:
            continue
        try:
            verify_card(
                round=round,
                group_number=ready.number,
                why=ready.why,
                actor=request.actor,
                now=timezone.now(),
            )
            done.append(str(ready.number))
        except CardRefused as why:
            refused.append(f"Group {ready.number}: {why}")
    if done:
        messages.success(request, f"Verified: group {', '.join(done)}.")
    for sentence in refused:
        messages.error(request, sentence)
    return redirect(pages.room_url(request.event, round.number, whole_number(request.POST.get("group"))))


@staff(Role.DIRECTOR)
@require_POST
def unlock(request: EventRequest, slug: str, round_number: int, group: int) -> HttpResponse:
    return _act(
        request,
        _round(request, round_number),
        group,
        f"Group {group} is open again.",
        unlock_card,
        group_number=group,
        reason=clean(request.POST.get("reason", ""))[:200],
    )


@staff(*WRITERS)
@require_POST
def sign(request: EventRequest, slug: str, round_number: int, group: int) -> HttpResponse:
    """The players ticked have signed the paper card: "signed ENTRY" holds the total that they signed."""
    round, key = _round(request, round_number), page_key(request.POST.get("key"))
    signed = 0
    for name, value in request.POST.items():
        part = name.split(" ")
        entry, total = whole_number(part[-1]), whole_number(str(value))
        if part[0] != "signed" or len(part) != 2 or entry is None or total is None:
            continue
        try:
            confirm(
                round=round,
                group_number=group,
                entry_id=entry,
                source=Confirmation.Source.PAPER,
                total=total,
                key=uuid5(key, str(entry)),
                actor=request.actor,
                now=timezone.now(),
            )
            signed += 1
        except CardRefused as refused:
            messages.error(request, str(refused))
    if signed:
        messages.success(request, f"Group {group}: {signed} signed on paper.")
    return redirect(pages.room_url(request.event, round.number, group))


@staff(*WRITERS)
@require_POST
def unsign(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """A yes that was recorded by mistake."""
    found = get_object_or_404(
        Confirmation.objects.select_related("card__round__event", "entry__person"),
        pk=pk,
        card__round__event=request.event,
    )
    try:
        take_back_confirmation(confirmation=found, actor=request.actor, now=timezone.now())
    except CardRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{found.entry.person.name}: the confirmation is taken back.")
    return redirect(pages.room_url(request.event, found.card.round.number, found.card.group_number))


@staff(*WRITERS)
@require_POST
def photo(request: EventRequest, slug: str, round_number: int, group: int) -> HttpResponse:
    round = _round(request, round_number)
    file = request.FILES.get("photo")
    if file is None:
        messages.error(request, "Choose a picture first.")
        return redirect(pages.room_url(request.event, round.number, group))
    done = f"Group {group}: the photo is kept with the card."
    return _act(request, round, group, done, keep_photo, group_number=group, file=file)


@staff(*WRITERS, write=())
@require_safe
@never_cache
def photo_image(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """The picture itself, for those who type cards."""
    found = get_object_or_404(CardPhoto, pk=pk, card__round__event=request.event)
    answer = HttpResponse(bytes(found.image), content_type="image/jpeg")
    answer["Content-Disposition"] = f'inline; filename="card-{found.pk}.jpg"'
    return answer


@staff(*WRITERS)
@require_POST
def photo_away(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    found = get_object_or_404(
        CardPhoto.objects.select_related("card__round__event").defer("image"),
        pk=pk,
        card__round__event=request.event,
    )
    try:
        put_photo_away(photo=found, actor=request.actor, now=timezone.now())
    except CardRefused as refused:
        messages.error(request, str(refused))
    return redirect(pages.room_url(request.event, found.card.round.number, found.card.group_number))


@staff(*RADIO)
@require_POST
def radio(request: EventRequest, slug: str, round_number: int) -> HttpResponse:
    """One line as it is heard; what cannot be read comes back with its sentence, still typed."""
    round, line = _round(request, round_number), request.POST.get("line", "")[:200]
    group = whole_number(request.POST.get("group"))
    try:
        call = read_call(line)
        keep_call(
            round=round,
            call=call,
            key=page_key(request.POST.get("key")),
            actor=request.actor,
            now=timezone.now(),
        )
    except (CallUnread, CardRefused) as refused:
        messages.error(request, str(refused))
        return redirect(pages.room_url(request.event, round.number, group, radio=line))
    farther = farther_call(round, call)
    if farther is not None:
        messages.warning(
            request,
            f"Radio: group {call.group}, through {call.through}, is kept but does not count: an earlier call"
            f" ({clock_text(request.event.local(farther.at))}) says through {farther.through}."
            " Take that one back if it was wrong.",
        )
        return redirect(pages.room_url(request.event, round.number, call.group))
    messages.success(request, f"Radio: group {call.group}, through {call.through}, is kept.")
    return redirect(pages.room_url(request.event, round.number, group, radio=""))


@staff(*RADIO)
@require_POST
def radio_back(request: EventRequest, slug: str, round_number: int, group: int, call: UUID) -> HttpResponse:
    done = f"Group {group}: the radio call counts no longer."
    return _act(
        request, _round(request, round_number), group, done, take_back_call, group_number=group, key=call
    )
