"""How check-in stands: the one big count, and what is open over the whole field."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from events.entries.asking import asks_of
from events.entries.caps import next_from_waitlist, order_of_entry
from events.entries.facts import applicants_of, caps_of
from events.entries.models import IN_THE_FIELD, Entry, Status
from events.entries.queries import DeskCounts, desk_counts, entries_to_ask
from events.log.services import revision
from events.rulebook.loader import Rulebook
from events.setup.figures import money_text
from events.setup.models import Event

# What `asks_of` looks at: 1,000 entrants are counted after each act, and whole rows would take twice as long.
ASKED_OF = (
    "status",
    "guardian",
    "conduct_signed_at",
    "division__code",
    "person__birth_year",
    "person__membership",
    "person__membership_expires",
)


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the panel, as `parts/stand.html` shows it. `url` leads to what it counts, where there is a page."""

    label: str
    value: str
    needs: bool = False
    url: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """`seen` is the revision of the log that the panel shows; `missing`: expected, not in, and check-in closed."""

    counts: DeskCounts
    items: tuple[Item, ...]
    seen: int
    closes_at: datetime | None
    closed: bool
    missing: int


def standing_of(event: Event, rulebook: Rulebook, now: datetime) -> Standing:
    """6 queries, whatever the size of the field; 7 while somebody waits."""
    seen = revision(event.slug)  # read first: what changes meanwhile is fetched again
    counts = desk_counts(event)
    closes = event.checkin_closes_at
    closed = closes is not None and now >= closes
    out = counts.expected - counts.checked_in
    items = (
        _waitlist(event, counts, rulebook),
        *_money(event, counts),
        *_open(event, counts, rulebook),
    )
    return Standing(counts, items, seen, closes, closed, out if closed else 0)


def _waitlist(event: Event, counts: DeskCounts, rulebook: Rulebook) -> Item:
    """Who is to be promoted now; while no place is free, who waits first (2 queries, 3 while somebody waits)."""
    url = reverse("entries:waitlist", args=[event.slug])
    applicants = applicants_of(event, rulebook)
    free = next_from_waitlist(applicants, caps_of(event))
    waiting = (each for each in order_of_entry(applicants) if not each.holds_place)
    first = free or next(waiting, None)
    if first is None:
        return Item("waitlist", str(counts.waitlist), url=url)
    family = Entry.objects.values_list("person__family_name", flat=True).get(pk=first.key)
    label = f"a place is free, next: {family}" if free else f"waitlist, first: {family}"
    return Item(label, str(counts.waitlist), needs=free is not None, url=url)


def _money(event: Event, counts: DeskCounts) -> list[Item]:
    url = f"{reverse('entries:list', args=[event.slug])}?owing=on"
    due = Item("money due", money_text(counts.owed_cents, event.currency), counts.owed_cents > 0, url)
    taken = [Item(f"taken: {each.label}", money_text(each.cents, event.currency)) for each in counts.taken]
    return [due, *(taken or [Item("taken at the desk", money_text(0, event.currency))])]


def _open(event: Event, counts: DeskCounts, rulebook: Rulebook) -> list[Item]:
    """What the field still has to bring, counted over everybody expected (1 query)."""
    field = entries_to_ask(event).filter(status__in=[*IN_THE_FIELD, Status.APPLIED]).only(*ASKED_OF)
    asks = [asks_of(entry, event, rulebook) for entry in field]
    juniors = sum(1 for each in asks if each.guardian_must)
    members = sum(1 for each in asks if each.membership)
    unsigned = sum(1 for each in asks if each.conduct)
    return [
        Item("juniors without a guardian", str(juniors), juniors > 0),
        Item("memberships to ask for", str(members), members > 0),
        Item("conduct notes to sign", str(unsigned)),
        Item("packs given, left", f"{counts.packs_given}, {max(0, counts.expected - counts.packs_given)}"),
    ]
