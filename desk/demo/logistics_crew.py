"""The demo's helpers, its roster with some gaps, and two incidents, through the services."""

import random
from datetime import date, datetime, time, timedelta
from uuid import UUID, uuid5

from desk.demo.names import FAMILY, GIVEN_F, GIVEN_M
from events.entries.models import Entry, Status
from events.log.services import Actor
from events.logistics.crew.filling import suggest
from events.logistics.crew.models import Helper, Need
from events.logistics.crew.people import keep_certificate, keep_helper, keep_hours
from events.logistics.crew.roster import roster_of
from events.logistics.crew.services import keep_need, put, take_suggestion, work_out_shifts
from events.logistics.incidents.services import add_to, write_incident
from events.setup.models import Event

ACTOR = Actor(name="demo")
SUGGESTED = UUID("2f1d9c52-5b5e-4c0b-9a07-8f0c2f8f6a10")
# Role, radio channel, duties, certificates, years; None for an age that nobody asked.
CREW: tuple[tuple[str, str, tuple[str, ...], tuple[str, ...], int | None], ...] = (
    ("head official", "1", ("marshal",), ("official",), 51),
    ("official", "1", ("marshal",), ("official",), 38),
    ("official", "1", ("marshal", "starter"), ("official",), 44),
    ("first aid", "2", ("medical",), ("first_aid",), 33),
    ("first aid", "2", ("medical",), ("first_aid",), 29),
    ("starter", "1", ("starter", "check_in"), (), 60),
    ("card room", "3", ("card_room", "check_in"), (), 27),
    ("card room", "3", ("card_room", "check_in"), (), 35),
    ("weather", "1", ("weather",), (), 47),
    ("volunteer", "4", ("spotter", "water"), (), 22),
    ("volunteer", "4", ("spotter", "steward"), (), 31),
    ("volunteer", "4", ("spotter",), (), 16),
    ("volunteer", "4", (), (), 19),
    ("volunteer", "", (), (), None),
    ("equipment", "3", ("equipment", "check_in"), (), 41),
    ("official", "1", ("marshal",), ("official",), 57),
    ("official", "1", ("marshal", "starter"), ("official",), 36),
    ("volunteer", "4", ("spotter", "steward"), (), 24),
    ("volunteer", "4", ("spotter",), (), 52),
    ("volunteer", "4", ("spotter", "water"), (), 28),
    ("volunteer", "4", ("spotter", "steward"), (), 63),
    ("volunteer", "4", ("parking", "steward", "build"), (), 39),
    ("volunteer", "4", ("parking", "water", "build"), (), 45),
    ("weather", "1", ("weather", "check_in"), (), 58),
)
EXPIRED, NOT_ASKED = 4, 13  # of CREW: whose first-aid card runs out, and whose age and hours nobody asked


def add_crew(event: Event, *, seed: int, now: datetime) -> None:
    """Helpers with contacts and certificates, the shifts worked out, most of them filled, one booked twice."""
    rng = random.Random(f"crew {seed}")  # noqa: S311  invented people
    planned = now - timedelta(days=3)
    given, family = rng.sample(GIVEN_F + GIVEN_M, len(CREW)), rng.sample(FAMILY, len(CREW))
    helpers = [
        _helper(event, f"{given[number]} {family[number]}", number, planned) for number in range(len(CREW))
    ]
    _playing_official(event, planned)
    work_out_shifts(event=event, actor=ACTOR, now=planned)
    roster = roster_of(event)
    found = suggest(roster.people, roster.tasks, roster.placings, roster.limits)
    pairs = [(each.task_id, each.person_id) for each in found.placings]
    take_suggestion(event=event, pairs=pairs, batch=uuid5(SUGGESTED, event.slug), actor=ACTOR, now=planned)
    _build_up(event, helpers[NOT_ASKED], planned)
    _booked_twice(event, planned)
    _incidents(event, now)


def _helper(event: Event, name: str, number: int, now: datetime) -> Helper:
    role, channel, duties, certificates, years = CREW[number]
    minor = None if years is None else years < 18
    helper = keep_helper(
        event=event,
        helper=None,
        name=name,
        role=role,
        channel=channel,
        duties=duties,
        entry=None,
        contact={
            "phone": f"555 01{number:02d}",
            "minor": minor,
            "guardian": f"a parent, 555 02{number:02d}" if minor else "",
        },
        actor=ACTOR,
        now=now,
    )
    for kind in certificates:
        until = event.starts_on + timedelta(days=-20 if number == EXPIRED else 400)
        keep_certificate(helper=helper, kind=kind, expires_on=until, actor=ACTOR, now=now)
    if number != NOT_ASKED:
        keep_hours(helper=helper, spans=_there(event), actor=ACTOR, now=now)
    return helper


def _there(event: Event) -> list[tuple[datetime, datetime]]:
    """From four hours before each day's first start to twelve after it: a demo's day may begin at any hour."""
    starts: dict[date, datetime] = {}
    for round_ in event.rounds.order_by("number"):
        starts.setdefault(event.local(round_.first_start_at).date(), round_.first_start_at)
    return [(start - timedelta(hours=4), start + timedelta(hours=12)) for start in starts.values()]


def _playing_official(event: Event, now: datetime) -> None:
    """A player who is certified too: may rule while the own division does not play."""
    entry = (
        Entry.objects.filter(event=event, status=Status.CONFIRMED)
        .select_related("person")
        .order_by("pk")
        .first()
    )
    if entry is None:
        return
    helper = keep_helper(
        event=event,
        helper=None,
        name=entry.person.name,
        role="official who plays",
        channel="1",
        duties=("marshal",),
        entry=entry,
        contact={"minor": False},
        actor=ACTOR,
        now=now,
    )
    until = event.ends_on + timedelta(days=100)
    keep_certificate(helper=helper, kind="official", expires_on=until, actor=ACTOR, now=now)


def _build_up(event: Event, helper: Helper, now: datetime) -> None:
    """A shift with hours of its own, the evening before."""
    day = event.starts_on - timedelta(days=1)
    facts = {
        "duty": "build",
        "place": "car park, then the course",
        "people": 3,
        "starts_at": event.at(day, time(17)),
        "ends_at": event.at(day, time(20)),
        "task": "Unload the van by box, hang the banners, mark the lines that the list of the course names.",
    }
    need = keep_need(event=event, need=None, facts=facts, actor=ACTOR, now=now)
    put(need=need, helper=helper, actor=ACTOR, now=now)


def _booked_twice(event: Event, now: datetime) -> None:
    """One is put on a second shift at the same time, as it happens on the telephone."""
    roster = roster_of(event)
    watch = next((shift for shift in roster.shifts if shift.duty == "weather" and shift.stands), None)
    free = next(
        (
            shift
            for shift in roster.shifts
            if shift.missing
            and watch
            and shift.round_id == watch.round_id
            and shift.duty not in {"marshal", "medical"}
        ),
        None,
    )
    if watch is not None and free is not None:
        helper = roster.helpers[watch.stands[0].helper_id]
        put(need=Need.objects.get(pk=free.id), helper=helper, actor=ACTOR, now=now)


def _incidents(event: Event, now: datetime) -> None:
    begun = event.rounds.order_by("number").first()
    if begun is None or begun.first_start_at > now - timedelta(minutes=40):
        return  # nobody has played yet
    at = begun.first_start_at + timedelta(minutes=30)
    turned = write_incident(
        event=event,
        facts={
            "kind": "injury",
            "happened_at": at,
            "place": "hole 9, wet steps below the tee",
            "round_number": 1,
            "who": "a spectator",
            "what": "Slipped on the second step and turned an ankle. Could stand, did not want to walk.",
            "witnesses": "the group on the tee",
            "done": "First aid came with the cart at once. The steps were roped off.",
            "done_by": "first aid",
        },
        actor=ACTOR,
        now=at + timedelta(minutes=5),
    )
    add_to(
        incident=turned,
        text="Was driven home by a friend. The venue's owner was told about the steps.",
        actor=ACTOR,
        now=at + timedelta(minutes=9),
    )
    write_incident(
        event=event,
        facts={
            "kind": "ruling",
            "happened_at": at + timedelta(minutes=4),
            "place": "hole 4",
            "round_number": 1,
            "who": "group 4",
            "what": "Asked whether a disc that leans on the bank of the pond is out of bounds.",
            "witnesses": "the whole group",
            "done": "Surrounded by water: out of bounds, one throw. The group had seen the same.",
            "done_by": "the marshal of the zone",
        },
        actor=ACTOR,
        now=at + timedelta(minutes=10),
    )
