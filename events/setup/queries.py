"""Reading the plan, and the rulebook as it holds for one event."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Count

from events.rulebook.divisions import divisions
from events.rulebook.loader import Rulebook, in_force
from events.rulebook.values import BadOverride, Override
from events.setup.advice import Advice, Outline, RoundPlan, advise
from events.setup.models import AddOn, Division, Event, Round, RuleOverride, Staff


def is_over(event: Event) -> bool:
    """Whether the event was declared over, as the database says now: a page may be older than that (1 query)."""
    return Event.objects.filter(pk=event.pk, over_at__isnull=False).exists()


def rulebook_for(event: Event) -> Rulebook:
    """The rulebook in force on the event's first day in its region, with the director's overrides (1 query).

    An override that no longer fits (its value left the rulebook with a new date or region) is left aside here
    and listed by `stray_overrides`: a page must not fail for it in the middle of a round.
    """
    return book_with(event, list(RuleOverride.objects.filter(event=event)))


def book_with(event: Event, overrides: list[RuleOverride]) -> Rulebook:
    """As `rulebook_for`, with overrides that were read already (no query)."""
    published = in_force(event.starts_on, event.region)
    held: dict[str, Override] = {}
    for row in overrides:
        override = Override(row.value, row.reason)
        if published.has(row.key) and _fits(event, row.key, override):
            held[row.key] = override
    return in_force(event.starts_on, event.region, held)


def _fits(event: Event, key: str, override: Override) -> bool:
    try:
        in_force(event.starts_on, event.region, {key: override})
    except BadOverride:
        return False
    return True


def stray_overrides(book: Rulebook, overrides: list[RuleOverride]) -> list[RuleOverride]:
    """Overrides that have no effect in this rulebook (no query)."""
    return [row for row in overrides if not (book.has(row.key) and book.value(row.key).overridden)]


def division_names(book: Rulebook) -> dict[str, str]:
    """Every published code with its name in plain words, in the published order (no query)."""
    return {found.code: found.name for found in divisions(book)}


@dataclass(frozen=True, slots=True)
class Plan:
    """All of an event's plan that its page shows."""

    divisions: list[Division]
    rounds: list[Round]
    addons: list[AddOn]
    staff: list[Staff]
    names: Mapping[str, str]
    advice: list[Advice]
    tee_interval: int
    round_minutes: int


def plan_of(event: Event) -> Plan:
    """The plan with its advice, in 6 queries whatever its size."""
    book = rulebook_for(event)
    offered = list(Division.objects.filter(event=event).order_by("order", "code"))
    rounds = list(Round.objects.filter(event=event).order_by("number"))
    return Plan(
        divisions=offered,
        rounds=rounds,
        addons=list(AddOn.objects.filter(event=event).order_by("name")),
        staff=list(
            Staff.objects.filter(event=event).select_related("user").order_by("user__first_name", "pk")
        ),
        names=division_names(book),
        advice=advise(_outline(event, offered, rounds), book),
        tee_interval=book.int("practice.tee_interval_minutes"),
        round_minutes=book.int("practice.round_minutes_18_holes.to"),
    )


def _outline(event: Event, offered: list[Division], rounds: list[Round]) -> Outline:
    holes = _holes_by_round(event)
    return Outline(
        tier=event.tier,
        starts_on=event.starts_on,
        ends_on=event.ends_on,
        codes=tuple(found.code for found in offered),
        rounds=tuple(
            RoundPlan(
                number=found.number,
                starts_at=event.at(found.date, found.first_start),
                holes=holes.get(found.number, {}),
            )
            for found in rounds
        ),
        registration_opens_at=event.registration_opens_at,
        registration_closes_at=event.registration_closes_at,
        checkin_closes_at=event.checkin_closes_at,
        handling_fee_cents=event.handling_fee_cents,
    )


def _holes_by_round(event: Event) -> dict[int, dict[str, int]]:
    """Round number → division code → holes of its layout (1 query).

    Layouts belong to the floor above: they are reached by the name of the relation, so nothing is imported.
    """
    rows = (
        Round.objects.filter(event=event, layout_uses__isnull=False)
        .values_list("number", "layout_uses__division__code")
        .annotate(holes=Count("layout_uses__layout__layout_holes"))
    )
    holes: dict[int, dict[str, int]] = {}
    for number, code, count in rows:
        holes.setdefault(number, {})[code] = count
    return holes
