"""Reading the list of found things."""

from dataclasses import dataclass

from events.draw.models import Sheet
from events.entries.models import Entry
from events.logistics.above import Above, GivenBacks
from events.logistics.matching import Owner, Suggestion, suggest
from events.logistics.models import FoundThing
from events.logistics.taken import Claim, comes_off, unanswered
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round

TAKEN_KEY = "penalty.lost_disc_taken"


@dataclass(frozen=True, slots=True)
class Listed:
    """A found thing with whom it may belong to; nobody is suggested for what is gone."""

    thing: FoundThing
    suggestions: tuple[Suggestion, ...]


@dataclass(frozen=True, slots=True)
class Taken:
    """A disc that was taken from a player's lie, and whose throws are not given back yet."""

    thing: FoundThing
    text: str


@dataclass(frozen=True, slots=True)
class Page:
    label: str
    url: str


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


def taken_waiting(event: Event, book: Rulebook, given_back: GivenBacks) -> list[Taken]:
    """Discs that turned out to have been taken, while no ruling gives the throws back and nobody said that none do
    (1 query; with such a disc those of `given_back` too)."""
    things = list(
        FoundThing.objects.filter(
            event=event, taken_from__isnull=False, taken_settled_at=None
        ).select_related("round", "taken_from__person")
    )
    if not things:
        return []
    claims = [Claim(thing.pk, thing.taken_from_id or 0, thing.round_id) for thing in things]
    open_ = unanswered(claims, given_back(event))
    return [Taken(thing, _taken_text(thing, book)) for thing in things if thing.pk in open_]


def _taken_text(thing: FoundThing, book: Rulebook) -> str:
    assert thing.taken_from is not None
    hole = f" on hole {thing.hole_label}" if thing.hole_label else ""
    round_ = f" in round {thing.round.number}" if thing.round else ""
    off = f"{comes_off(book.int(TAKEN_KEY))} ({book.value(TAKEN_KEY).section})"
    return f"{thing.taken_from.person.name}: the lost disc was taken{hole}{round_}; {off}"


def ruling_pages(event: Event, waiting: list[Taken], above: Above) -> list[tuple[Taken, list[Page]]]:
    """Each with where its ruling is written: for its round, or for every round that has a tee sheet where nobody knows
    the round (1 query, none without a disc that waits)."""
    if not waiting:
        return []
    drawn = Round.objects.filter(event=event, sheets__state=Sheet.State.PUBLISHED).distinct()
    rounds = list(drawn.select_related("event").order_by("number"))
    found = []
    for taken in waiting:
        thing = taken.thing
        assert thing.taken_from is not None
        pages = [
            Page(f"round {each.number}", above.ruling_page(each, thing.taken_from, thing.hole_label))
            for each in rounds
            if thing.round_id in (None, each.pk)
        ]
        found.append((taken, pages))
    return found
