"""Writing the plan: the event's facts, its divisions, rounds and add-ons.

Every change raises the event's version. A page sends back the version that it showed; where somebody else
changed the plan in between, `Stale` is raised and nothing is written.
"""

from copy import copy
from datetime import date, datetime, time
from decimal import Decimal
from typing import TypedDict, Unpack

from django.db import transaction
from django.db.models import F, Max
from django.utils.text import slugify

from events.log.actions import Action
from events.log.models import Act
from events.log.services import Actor, record
from events.setup.models import AddOn, Division, Event, Round, StartType
from events.setup.over import hold_open
from events.setup.queries import rulebook_for
from events.setup.rows import PlanError, PlanOver, apply_facts, plain, remove_row, write_row

PLAN_ACTIONS = (
    Action.EVENT_CREATED,
    Action.EVENT_CHANGED,
    Action.EVENT_MOVED,
    Action.DIVISION_CHANGED,
    Action.ROUND_CHANGED,
    Action.ADDON_CHANGED,
)
# Facts from which rules, purse, cuts and ratings are worked out; the others say where, when and how it is shown.
RESULTS_REST_ON = frozenset(
    {"starts_on", "ends_on", "tier", "region", "time_zone", "currency", "handling_fee_cents"}
)


class Stale(PlanError):
    """The plan was changed after the page was shown; names who changed it and when (aware, or None)."""

    def __init__(self, event: Event) -> None:
        act = Act.objects.filter(chain_id=event.slug, action__in=PLAN_ACTIONS).order_by("-number").first()
        self.by = act.actor if act else "somebody else"
        self.at = act.at if act else None
        when = f" at {event.local(self.at):%H:%M}" if self.at else ""
        super().__init__(
            f"The plan was changed by {self.by}{when}. Nothing was saved: look again, save again."
        )


class UnknownDivision(PlanError):
    """The rulebook in force holds no division of this code."""


class NotThere(PlanError):
    """The event has no such division, round or add-on."""


class RoundOutOfTurn(PlanError):
    """Rounds are numbered without gaps: the next one is added last, the last one is removed first."""


class Facts(TypedDict, total=False):
    """What `create_event` and `change_event` take: fields as in `Event`, times aware, money in cents."""

    name: str
    starts_on: date
    ends_on: date
    tier: str
    region: str
    venue: str
    place: str
    latitude: Decimal | None
    longitude: Decimal | None
    time_zone: str
    units: str
    paper: str
    currency: str
    cap: int | None
    cap_pro: int | None
    cap_am: int | None
    registration_opens_at: datetime | None
    registration_closes_at: datetime | None
    checkin_opens_at: datetime | None
    checkin_closes_at: datetime | None
    handling_fee_cents: int
    cards: str
    avoid_repeats: bool
    days_off: list[str]
    show_town: bool


# --- The event -----------------------------------------------------------------------------------------


@transaction.atomic
def create_event(
    *, actor: Actor, now: datetime, slug: str = "", is_demo: bool = False, **facts: Unpack[Facts]
) -> Event:
    """A new event; needs at least name, starts_on and ends_on. The slug is made from the name unless given.

    Raises django's ValidationError, by field, for facts that cannot be.
    """
    event = Event(slug=slug or _free_slug(facts.get("name", "")), is_demo=is_demo, **facts)
    event.full_clean()
    event.save(force_insert=True)
    record(
        chain=event.slug,
        action=Action.EVENT_CREATED,
        subject=event.name,
        actor=actor,
        now=now,
        detail={name: plain(value) for name, value in facts.items()},
    )
    return event


@transaction.atomic
def change_event(*, event: Event, version: int, actor: Actor, now: datetime, **facts: Unpack[Facts]) -> Event:
    """The event with new facts; `version` is the one that the page showed. No change: no line in the log.

    Raises Stale, PlanOver for a fact that results rest on once the event is over, and django's ValidationError by
    field.
    """
    candidate = copy(event)
    changes = apply_facts(candidate, facts)
    if not changes:
        return event
    if RESULTS_REST_ON & changes.keys():
        hold_open(event, PlanOver)
    candidate.full_clean()
    claim(event=event, version=version)
    candidate.save(update_fields=list(changes))
    candidate.version = version + 1
    record(
        chain=event.slug,
        action=Action.EVENT_CHANGED,
        subject=candidate.name,
        actor=actor,
        now=now,
        detail=changes,
    )
    return candidate


def claim(*, event: Event, version: int) -> None:
    """Take the next version of the plan, or raise Stale where `version` is no longer the present one."""
    if not Event.objects.filter(pk=event.pk, version=version).update(version=F("version") + 1):
        raise Stale(event)


# --- Divisions -----------------------------------------------------------------------------------------


@transaction.atomic
def set_division(
    *,
    event: Event,
    code: str,
    fee_cents: int,
    cap: int | None = None,
    order: int | None = None,
    actor: Actor,
    now: datetime,
) -> Division:
    """Offer a division, or change its fee, cap or order (None: keep, or last). Raises UnknownDivision."""
    code = code.strip().upper()
    division = Division.objects.filter(event=event, code=code).first()
    if division is None and not rulebook_for(event).has(f"division.code.{code}"):
        raise UnknownDivision(f"{code or 'An empty code'} is not a published division code.")
    if order is None:
        last = Division.objects.filter(event=event).aggregate(last=Max("order"))["last"]
        order = division.order if division else (0 if last is None else last + 1)
    return write_row(
        division or Division(event=event, code=code),
        {"fee_cents": fee_cents, "cap": cap, "order": order},
        event=event,
        action=Action.DIVISION_CHANGED,
        actor=actor,
        now=now,
    )


@transaction.atomic
def remove_division(*, event: Event, code: str, actor: Actor, now: datetime) -> None:
    """Take a division out of the plan. Raises NotThere, and InUse where somebody entered it."""
    division = Division.objects.filter(event=event, code=code).first()
    if division is None:
        raise NotThere(f"{code} is not offered.")
    remove_row(division, event=event, action=Action.DIVISION_CHANGED, actor=actor, now=now)


# --- Rounds --------------------------------------------------------------------------------------------


@transaction.atomic
def set_round(
    *,
    event: Event,
    number: int,
    date: date,
    start_type: str = StartType.SHOTGUN,
    first_start: time = time(9, 0),
    interval_minutes: int = 10,
    actor: Actor,
    now: datetime,
) -> Round:
    """Add the next round or change one. Raises RoundOutOfTurn, and django's ValidationError by field."""
    round_ = Round.objects.filter(event=event, number=number).first()
    if round_ is None and number != Round.objects.filter(event=event).count() + 1:
        raise RoundOutOfTurn(f"Round {number} would leave a gap: rounds are numbered from 1 without one.")
    facts = {
        "date": date,
        "start_type": start_type,
        "first_start": first_start,
        "interval_minutes": interval_minutes,
    }
    return write_row(
        round_ or Round(event=event, number=number),
        facts,
        event=event,
        action=Action.ROUND_CHANGED,
        actor=actor,
        now=now,
    )


@transaction.atomic
def remove_round(*, event: Event, number: int, actor: Actor, now: datetime) -> None:
    """Take the last round out of the plan. Raises NotThere, RoundOutOfTurn, and InUse after its draw."""
    round_ = Round.objects.filter(event=event, number=number).first()
    if round_ is None:
        raise NotThere(f"There is no round {number}.")
    if Round.objects.filter(event=event, number__gt=number).exists():
        raise RoundOutOfTurn("Only the last round can be removed.")
    remove_row(round_, event=event, action=Action.ROUND_CHANGED, actor=actor, now=now)


# --- Add-ons -------------------------------------------------------------------------------------------


@transaction.atomic
def set_addon(
    *,
    event: Event,
    name: str,
    kind: str = AddOn.Kind.EXTRA,
    fee_cents: int = 0,
    included: bool = False,
    addon: AddOn | None = None,
    actor: Actor,
    now: datetime,
) -> AddOn:
    """Add an add-on or change one: the given one (which may be renamed), else the one of this name."""
    found = addon or AddOn.objects.filter(event=event, name=name).first()
    return write_row(
        found or AddOn(event=event),
        {"name": name, "kind": kind, "fee_cents": fee_cents, "included": included},
        event=event,
        action=Action.ADDON_CHANGED,
        actor=actor,
        now=now,
    )


@transaction.atomic
def remove_addon(*, event: Event, name: str, actor: Actor, now: datetime) -> None:
    """Take an add-on out of the plan. Raises NotThere, and InUse where it was sold."""
    addon = AddOn.objects.filter(event=event, name=name).first()
    if addon is None:
        raise NotThere(f"There is no add-on {name}.")
    remove_row(addon, event=event, action=Action.ADDON_CHANGED, actor=actor, now=now)


def _free_slug(name: str) -> str:
    """An address made of the name; numbered where it is taken, "event" where nothing of the name is left."""
    stem = slugify(name)[:50].strip("-") or "event"
    taken = set(Event.objects.filter(slug__startswith=stem).values_list("slug", flat=True))
    return (
        stem
        if stem not in taken
        else next(slug for slug in (f"{stem}-{n}" for n in range(2, len(taken) + 3)) if slug not in taken)
    )
