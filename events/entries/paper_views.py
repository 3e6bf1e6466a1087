"""Paper of the table: the check-in list for when the laptop dies, and slips with codes."""

from collections.abc import Callable
from typing import Literal, cast

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from events.entries.asking import Asks, asks_of
from events.entries.models import IN_THE_FIELD, Entry, Status
from events.entries.prints import CheckInRow, CheckInSlip, checkin_list, checkin_slips
from events.entries.queries import entries_to_ask
from events.paper.page import EventHead
from events.setup.access import EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.models import Event, Role
from events.setup.overview import days_text, moment_text
from events.setup.queries import rulebook_for

OwnPage = Callable[[HttpRequest, Entry], str]
WRITERS = (Role.DIRECTOR, Role.DESK)


def head_of(event: Event) -> EventHead:
    """The event as every sheet names it (no query)."""
    return EventHead(
        name=event.name,
        place=", ".join(part for part in (event.venue, event.place) if part),
        dates_text=days_text(event.starts_on, event.ends_on),
        currency=event.currency,
        units=cast(Literal["m", "ft"], event.units),
        paper=cast(Literal["A4", "Letter"], event.paper),
    )


@staff(*WRITERS)
def check_in_list(request: EventRequest, slug: str) -> HttpResponse:
    event, rulebook = request.event, rulebook_for(request.event)
    rows = [_row(entry, asks_of(entry, event, rulebook)) for entry in _expected(event)]
    printed = moment_text(event, timezone.now())
    return shown_pdf(checkin_list(head_of(event), rows, printed=printed), f"{slug}-check-in.pdf")


@staff(*WRITERS)
def slips(request: EventRequest, slug: str, own_page: OwnPage | None = None) -> HttpResponse:
    """Slips to hand out. `own_page` comes from the floor above: the address of the player's own page, which the
    code then opens on a phone; the desk's scanner reads the entry's code out of it."""
    found = [_slip(entry, own_page(request, entry) if own_page else "") for entry in _expected(request.event)]
    printed = moment_text(request.event, timezone.now())
    return shown_pdf(checkin_slips(head_of(request.event), found, printed=printed), f"{slug}-slips.pdf")


def _expected(event: Event) -> list[Entry]:
    """Who may come to the table, waiting players too: they come for a place (1 query)."""
    return list(entries_to_ask(event).filter(status__in=[*IN_THE_FIELD, Status.APPLIED, Status.WAITLISTED]))


def _listed(entry: Entry) -> str:
    person = entry.person
    return f"{person.family_name}, {person.given_name}" if person.given_name else person.family_name


def _number(entry: Entry) -> str | None:
    return str(entry.person.member_number) if entry.person.member_number else None


def _row(entry: Entry, asks: Asks) -> CheckInRow:
    return CheckInRow(
        listed=_listed(entry),
        division=entry.division.code,
        member_number=_number(entry),
        owed_cents=asks.owed,
        pack=f"{entry.pack}, given".lstrip(", ") if entry.pack_given_at else entry.pack,
        checked_in=entry.checked_in_at is not None,
        membership_missing=bool(asks.membership),
        guardian_missing=bool(asks.guardian),
        conduct_unsigned=asks.conduct,
        note="waitlist" if entry.status == Status.WAITLISTED else "",
    )


def _slip(entry: Entry, qr: str) -> CheckInSlip:
    return CheckInSlip(
        name=entry.person.name,
        division=entry.division.code,
        code=entry.code,
        member_number=_number(entry),
        listed=_listed(entry),
        qr=qr,
    )
