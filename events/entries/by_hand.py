"""One entry by hand at the table: who it is, which division, what was paid, in one go."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet

from events.entries.finding import name_words
from events.entries.models import Entry, Payment
from events.entries.services import EntryRefused, add_entry, money_of, take_payment
from events.log.services import Actor
from events.setup.asked import whole_number
from events.setup.models import Division, Event
from players.models import Person
from players.names import sort_key

KNOWN_AT_MOST = 6
LONGEST_SOUGHT = 130  # letters: a given and a family name


class SameName(EntryRefused):
    """Somebody of this name is entered already, and nothing says that it is another person."""

    def __init__(self, entry: Entry) -> None:
        super().__init__(
            f"{entry.person} is entered in {entry.division.code} already. Is this another person?"
        )
        self.entry = entry


class NumberTaken(EntryRefused):
    """The member number belongs to somebody who is known already."""

    def __init__(self, person: Person) -> None:
        super().__init__(f"Member {person.member_number} is {person.name}: choose that person.")
        self.person = person


@transaction.atomic
def enter_by_hand(
    *,
    event: Event,
    person: Person | None,
    facts: Mapping[str, Any],
    division: Division,
    amount_cents: int | None,
    method: Payment.Method | None,
    exception: str = "",
    actor: Actor,
    now: datetime,
    desk: str = "",
    another: bool = False,
) -> Entry:
    """The new entry, confirmed where it is paid and there is room. All or nothing.

    `person` None: somebody new. `facts`: fields of the person; an empty one leaves what is known of somebody.
    `method` None: nothing is paid now; `amount_cents` None: the whole fee. `another`: whoever has the same name
    is somebody else. Raises SameName, NumberTaken, AlreadyEntered,
    NotEligible, EntryRefused, and django's ValidationError by field of the person.
    """
    if person is None and not another:
        _refuse_namesake(event, facts)
    known = _person(person, facts)
    entry = add_entry(
        event=event,
        person=known,
        division=division,
        received_at=now,
        exception=exception,
        actor=actor,
        now=now,
    )
    owed = money_of(entry).owed
    if method is not None and owed > 0:
        take_payment(
            entry=entry,
            amount_cents=owed if amount_cents is None else amount_cents,
            method=method,
            actor=actor,
            now=now,
            desk=desk,
        )
    entry.refresh_from_db()
    return entry


def _refuse_namesake(event: Event, facts: Mapping[str, Any]) -> None:
    """A name that is entered already is asked about, unless number or birth year tells the two apart."""
    name = sort_key(facts.get("family_name") or "", facts.get("given_name") or "")
    for entry in Entry.objects.filter(event=event, person__sort_name=name).select_related(
        "person", "division"
    ):
        told_apart = (
            (facts.get("member_number"), entry.person.member_number),
            (facts.get("birth_year"), entry.person.birth_year),
        )
        if not any(given and held and given != held for given, held in told_apart):
            raise SameName(entry)


def _person(person: Person | None, facts: Mapping[str, Any]) -> Person:
    number = facts.get("member_number")
    holder = Person.objects.filter(member_number=number).first() if number else None
    if holder is not None and (person is None or holder.pk != person.pk):
        raise NumberTaken(holder)
    kept = person or Person()
    for name, value in facts.items():
        if value not in (None, "") and not (value == "unknown" and person is not None):
            setattr(kept, name, value)
    kept.full_clean()
    kept.save()
    return kept


def known_people(event: Event, text: str) -> "QuerySet[Person]":
    """People known from this or other events who may be meant; `entered` says who is entered here (1 query)."""
    words = name_words(text, "")
    if words is None:
        return Person.objects.none()
    here = Entry.objects.filter(event=event, person=OuterRef("pk"))
    found = Person.objects.filter(words).annotate(entered=Exists(here))
    return found.order_by("sort_name", "pk")[:KNOWN_AT_MOST]


def offered_person(event: Event, pk: str | None, sought: str) -> Person | None:
    """The person of that id, if a search for `sought` offers them; else None (1 query).

    Ids are easily walked: whoever asks for a person of another event must know the name or the number.
    """
    number = whole_number(pk)
    if number is None:
        return None
    found = known_people(event, sought[:LONGEST_SOUGHT])
    return next((person for person in found if person.pk == number), None)
