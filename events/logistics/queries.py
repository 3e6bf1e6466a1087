"""Reading the list of found things."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.db.models import Q

from events.entries.models import Entry
from events.logistics.matching import Owner, Suggestion, suggest
from events.logistics.models import FoundThing
from events.setup.models import Event

TAKEN_RULE = "Official Rules of Disc Golf 2025, 805.03"
TAKEN_THROWS = -2


@dataclass(frozen=True, slots=True)
class Listed:
    """A found thing with whom it may belong to; nobody is suggested for what is gone."""

    thing: FoundThing
    suggestions: tuple[Suggestion, ...]


@dataclass(frozen=True, slots=True)
class Taken:
    """A disc that was taken from a player's lie, and whose throws are not given back yet."""

    text: str
    query: str  # of the card room's address, where the round and the group are known
    thing_id: int


def owners_of(event: Event, *, with_contact: bool) -> list[Owner]:
    """Everybody who is entered, by name (1 query). Telephone numbers only for those who may see them."""
    entries = Entry.objects.filter(event=event).select_related(
        "person", *(["person__contact"] if with_contact else [])
    )
    return [_owner(entry, with_contact=with_contact) for entry in entries.order_by("person__sort_name", "pk")]


def _owner(entry: Entry, *, with_contact: bool) -> Owner:
    person = entry.person
    contact = getattr(person, "contact", None) if with_contact else None
    return Owner(
        entry_id=entry.pk,
        name=person.name,
        family_name=person.family_name,
        given_name=person.given_name,
        member_number=person.member_number,
        phone=contact.phone if contact else "",
    )


def found_things(event: Event, *, with_contact: bool) -> list[Listed]:
    """What is held first, by number, then what is gone (2 queries)."""
    owners = owners_of(event, with_contact=with_contact)
    things = FoundThing.objects.filter(event=event).select_related(
        "round", "outcome_entry__person", "taken_from__person"
    )
    listed = [Listed(thing, suggest(thing.written, owners) if thing.held else ()) for thing in things]
    return sorted(listed, key=lambda each: (not each.thing.held, each.thing.number))


def open_found(event: Event) -> list[str]:
    """One sentence for each thing that nobody has collected (1 query)."""
    held = FoundThing.objects.filter(event=event, outcome=FoundThing.Outcome.HELD)
    return [f"Nobody has collected no. {thing.number}, {describe(thing)}." for thing in held]


def describe(thing: FoundThing) -> str:
    """The thing and where it lay: 'blue disc, hole 7'. What is written on it stays on the desk's own list: it is a
    name, often a telephone number, and proves who owns it."""
    return ", ".join([thing.what, *([f"hole {thing.hole_label}"] if thing.hole_label else [])])


def taken_waiting(event: Event) -> list[Taken]:
    """Discs that turned out to have been taken and whose card does not show it yet (1 query).

    The card room writes it: 2 throws less on the hole, before the event ends (Official Rules 2025, 805.03).
    """
    rows = FoundThing.objects.filter(
        Q(taken_settled_at=None), event=event, taken_from__isnull=False
    ).select_related("round", "taken_from__person")
    return [_taken(thing) for thing in rows]


def _taken(thing: FoundThing) -> Taken:
    assert thing.taken_from is not None
    hole = f" on hole {thing.hole_label}" if thing.hole_label else ""
    round_ = f" in round {thing.round.number}" if thing.round else ""
    text = (
        f"{thing.taken_from.person.name}: the lost disc was taken{hole}{round_}; 2 throws come off (805.03)"
    )
    query = urlencode({"round": thing.round.number}) if thing.round else ""
    return Taken(text, query, thing.pk)
