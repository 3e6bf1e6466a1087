"""From rows of the database to the plain facts that the rules of entering are asked with."""

from collections.abc import Iterable

from events.entries.caps import Applicant, Caps
from events.entries.eligibility import EventFacts, PersonFacts
from events.entries.membership import MemberFacts
from events.entries.models import IN_THE_FIELD, Entry, Status
from events.rulebook.divisions import division
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from players.models import Person


def person_facts(person: Person, rating: int | None = None) -> PersonFacts:
    """`rating`: the one that counted at entry; else the person's own."""
    return PersonFacts(
        playing_class=person.playing_class,
        birth_year=person.birth_year,
        may_enter_f=person.may_enter_f,
        rating=rating if rating is not None else person.rating,
    )


def event_facts(event: Event, offered: Iterable[str]) -> EventFacts:
    return EventFacts(tier=event.tier, year=event.starts_on.year, offered=frozenset(offered))


def member_facts(person: Person) -> MemberFacts:
    return MemberFacts(standing=person.membership, expires=person.membership_expires)


def caps_of(event: Event) -> Caps:
    """1 query."""
    divisions = dict(event.divisions.values_list("code", "cap"))
    return Caps(event=event.cap, pro=event.cap_pro, am=event.cap_am, divisions=divisions)


def applicants_of(event: Event, rulebook: Rulebook) -> list[Applicant]:
    """Every entry that holds, waits for or asks for a place (1 query)."""
    rows = (
        Entry.objects.filter(event=event)
        .exclude(status__in=[Status.WITHDRAWN, Status.DID_NOT_PLAY])
        .values_list("pk", "division__code", "received_at", "person__member_number", "status")
    )
    return [
        Applicant(
            key=pk,
            division=code,
            professional_class=division(rulebook, code).playing_class == "pro",
            paid_at=received_at,
            member_number=number,
            confirmed=status != Status.APPLIED,
            holds_place=status in IN_THE_FIELD,
        )
        for pk, code, received_at, number, status in rows
    ]
