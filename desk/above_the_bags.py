"""What bags may not look up or write themselves: the card beside which a call is booked, and which cards are in."""

from collections.abc import Mapping
from datetime import datetime

from django.db.models import F
from django.http import HttpRequest
from django.urls import reverse

from desk.signin import qr_image, reachable
from events.bags.above import AboveBags, Measured
from events.bags.calls import RULES, CallRefused
from events.bags.links import bag_path
from events.bags.models import Call
from events.draw.models import Group, Seat, Sheet
from events.entries.models import Entry
from events.log.services import Actor
from events.safety.weather import newest_readings
from events.setup.models import Event, Round
from scoring.cards.models import Card, Ruling
from scoring.cards.rulings import RulingRefused, make_ruling, take_back_ruling


def _origin(call: Call) -> str:
    return f"disc call {call.pk}"


def book(call: Call, rule: str, actor: Actor, now: datetime) -> None:
    """A ruling beside the player's card for the call's throws. Raises CallRefused."""
    try:
        make_ruling(
            entry=call.entry,
            round=call.round,
            hole_label=call.hole_label,
            throws=call.throws,
            rule=rule,
            what="illegal disc thrown" if call.rule == RULES["illegal"] else "unmarked disc thrown",
            caller=call.caller,
            confirmer=call.confirmer,
            origin=_origin(call),
            actor=actor,
            now=now,
        )
    except RulingRefused as refused:
        raise CallRefused(str(refused)) from refused


def unbook(call: Call, reason: str, actor: Actor, now: datetime) -> None:
    """The ruling of the call counts no longer. Raises CallRefused."""
    ruling = Ruling.objects.filter(origin=_origin(call)).first()
    if ruling is None:
        return  # a warning, or a playoff: nothing was booked
    try:
        take_back_ruling(ruling=ruling, reason=reason, actor=actor, now=now)
    except RulingRefused as refused:
        raise CallRefused(str(refused)) from refused


def closed(entry: Entry) -> frozenset[int]:
    """Numbers of the rounds whose card is in (1 query)."""
    seats = Seat.objects.filter(
        entry=entry,
        sheet__state=Sheet.State.PUBLISHED,
        sheet__round__cards__returned_at__isnull=False,
        sheet__round__cards__group_number=F("group__number"),
    )
    return frozenset(seats.values_list("sheet__round__number", flat=True))


def all_in(event: Event) -> frozenset[int]:
    """Numbers of the rounds that were played: a published tee sheet, and every group's card is in (2 queries)."""
    groups = Group.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
    drawn = set(groups.values_list("sheet__round__number", "number"))
    returned = Card.objects.filter(round__event=event, returned_at__isnull=False)
    out = drawn - set(returned.values_list("round__number", "group_number"))
    return frozenset(number for number, _ in drawn) - {number for number, _ in out}


def own_page(request: HttpRequest, entry: Entry) -> str:
    """The whole address of a player's own page, as a phone on the network reaches it."""
    return reachable(request, bag_path(entry))


def weather(event: Event, now: datetime) -> Mapping[str, Measured]:
    """Today's newest wind and temperature of the weather desk (1 query)."""
    today = event.local(now).date()
    return {
        latest.quantity: Measured(float(latest.value), latest.at)
        for latest in newest_readings(event)
        if latest.quantity in ("wind", "temperature") and event.local(latest.at).date() == today
    }


def links(event: Event, round: Round) -> Mapping[str, str]:
    return {"cards": f"{reverse('cards:room', args=[event.slug])}?round={round.number}"}


ABOVE_BAGS = AboveBags(
    book=book,
    unbook=unbook,
    closed=closed,
    all_in=all_in,
    reachable=reachable,
    qr_image=qr_image,
    weather=weather,
    links=links,
)
