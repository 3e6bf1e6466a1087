"""Reading entries: lists with what is owed, and the counts of the desk."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time

from django.db.models import (
    Count,
    Exists,
    F,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
)
from django.db.models.functions import Coalesce

from events.entries.caps import Applicant, Scope, Wait, order_of_entry, place, waitlist_lists
from events.entries.facts import applicants_of, caps_of
from events.entries.models import IN_THE_FIELD, Entry, EntryAddOn, Payment, Status
from events.rulebook.divisions import division as published
from events.rulebook.loader import Rulebook
from events.setup.models import AddOn, Event, Round

NOBODY_YET = 2**62  # the key of an entry that is only asked about: after every other


def with_money(entries: "QuerySet[Entry]") -> "QuerySet[Entry]":
    """Adds `charged`, `paid` and `owed` (cents) to each entry, in the same query."""
    extras = (
        EntryAddOn.objects.filter(entry=OuterRef("pk"), addon__included=False)
        .order_by()
        .values("entry")
        .annotate(sum=Sum("addon__fee_cents"))
        .values("sum")
    )
    payments = (
        Payment.objects.filter(entry=OuterRef("pk"))
        .order_by()
        .values("entry")
        .annotate(sum=Sum("amount_cents"))
        .values("sum")
    )
    money = IntegerField()
    return entries.annotate(
        charged=F("fee_cents") + Coalesce(Subquery(extras, output_field=money), Value(0)),
        paid=F("paid_elsewhere_cents") + Coalesce(Subquery(payments, output_field=money), Value(0)),
    ).annotate(owed=F("charged") - F("paid"))


def entries_of(event: Event) -> "QuerySet[Entry]":
    """Every entry with person, division and money, by surname (1 query)."""
    found = with_money(Entry.objects.filter(event=event)).select_related("person", "division")
    return found.order_by("person__sort_name", "pk")


def entries_to_ask(event: Event) -> "QuerySet[Entry]":
    """As `entries_of`, with `membership_sold`: whether the temporary membership fee is among the add-ons (1 query)."""
    sold = EntryAddOn.objects.filter(entry=OuterRef("pk"), addon__kind=AddOn.Kind.MEMBERSHIP)
    return entries_of(event).annotate(membership_sold=Exists(sold))


def pools_of(event: Event, entries: Sequence[Entry]) -> dict[int, str]:
    """Entry id → pool of the first round: of the published sheet, else the one planned for the division (2 queries).

    Pools belong to the floor above: they are reached by the names of relations, so nothing is imported. An
    entry whose division is split over several pools, or has none, is left out until the sheet is published.
    """
    first = Round.objects.filter(event=event, number=1)
    planned: dict[int, list[str]] = {}
    for division, label in first.filter(pools__retired=False).values_list("pools__divisions", "pools__label"):
        planned.setdefault(division, []).append(label)
    seated = dict(
        first.filter(
            sheets__state="published", sheets__seats__entry__in=[entry.pk for entry in entries]
        ).values_list("sheets__seats__entry_id", "sheets__seats__group__pool__label")
    )
    found = {}
    for entry in entries:
        labels = planned.get(entry.division_id, [])
        label = seated.get(entry.pk) or (labels[0] if len(labels) == 1 else "")
        if label:
            found[entry.pk] = label
    return found


def round_without_seat(entry: Entry) -> int | None:
    """Number of the latest published round that has no seat for this entry; None: none, or seated (1 query).

    Sheets belong to the floor above, and are reached by the names of relations as in `pools_of`.
    """
    published = Round.objects.filter(event=entry.event_id, sheets__state="published").order_by("-number")
    latest = published.annotate(
        seated=Exists(
            Entry.objects.filter(
                pk=entry.pk, seats__sheet__round=OuterRef("pk"), seats__sheet__state="published"
            )
        )
    ).values_list("number", "seated")
    number, seated = latest.first() or (None, True)
    return None if seated else number


@dataclass(frozen=True, slots=True)
class MethodSum:
    method: str
    label: str
    cents: int


@dataclass(frozen=True, slots=True)
class DeskCounts:
    """The big count of the desk. `expected` are all confirmed players, checked in or not."""

    checked_in: int
    expected: int
    applied: int
    waitlist: int
    owed_cents: int
    owing: int
    taken: tuple[MethodSum, ...]
    packs_given: int


def desk_counts(event: Event) -> DeskCounts:
    """2 queries."""
    expecting = Q(status__in=IN_THE_FIELD)
    owing = Q(status__in=[*IN_THE_FIELD, Status.APPLIED], owed__gt=0)
    row = with_money(Entry.objects.filter(event=event)).aggregate(
        checked_in=Count("pk", filter=expecting & Q(checked_in_at__isnull=False)),
        expected=Count("pk", filter=expecting),
        applied=Count("pk", filter=Q(status=Status.APPLIED)),
        waitlist=Count("pk", filter=Q(status=Status.WAITLISTED)),
        owing=Count("pk", filter=owing),
        owed_cents=Coalesce(Sum("owed", filter=owing), Value(0)),
        packs_given=Count("pk", filter=Q(pack_given_at__isnull=False)),
    )
    sums = (
        Payment.objects.filter(entry__event=event)
        .order_by()
        .values_list("method")
        .annotate(cents=Sum("amount_cents"))
    )
    taken = dict(sums)
    methods = tuple(
        MethodSum(method.value, method.label, taken[method.value])
        for method in Payment.Method
        if taken.get(method.value)
    )
    return DeskCounts(taken=methods, **row)


def waitlists(event: Event, rulebook: Rulebook) -> dict[Scope, tuple[Entry, ...]]:
    """Every waitlist in its order, by the scope that is full (3 queries)."""
    lists = waitlist_lists(applicants_of(event, rulebook), caps_of(event))
    waiting = {entry.pk: entry for entry in entries_of(event).filter(status=Status.WAITLISTED)}
    return {scope: tuple(waiting[key] for key in keys if key in waiting) for scope, keys in lists.items()}


def in_order_of_entry(event: Event, rulebook: Rulebook) -> list[int]:
    """Ids of all entries in the order in which their fees arrived (1 query)."""
    return [each.key for each in order_of_entry(applicants_of(event, rulebook))]


def start_of_event(event: Event) -> datetime:
    """First start of the first round; midnight of the first day while no round is planned (1 query)."""
    first = event.rounds.order_by("date", "first_start").first()
    if first is None:
        return event.at(event.starts_on, time(0, 0))
    return event.at(first.date, first.first_start)


def waits_at(event: Event, code: str, rulebook: Rulebook) -> Wait | None:
    """Where somebody who paid for this division now would wait; None while there is room (3 queries)."""
    others = applicants_of(event, rulebook)
    last = max((each.paid_at for each in others if each.paid_at), default=start_of_event(event))
    newcomer = Applicant(NOBODY_YET, code, published(rulebook, code).professional, last)
    found = place([*others, newcomer], caps_of(event))[NOBODY_YET]
    return found.waits_at[0] if found.waits_at else None
