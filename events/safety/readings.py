"""Writing weather down: readings, lightning and thunder, what was a mistake, and which limits the event goes by."""

from datetime import datetime, timedelta
from decimal import Decimal

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.safety.clock_times import NotATime, moment_typed
from events.safety.lightning import lightning_set
from events.safety.models import Evidence, Reading, ThresholdSet
from events.safety.pasted import NAMES, TypedReading, readings_in
from events.safety.triggers import KINDS, UnknownSet, limit_set
from events.safety.units import NotAReading, count_seconds, distance_m
from events.setup.models import Event
from events.setup.queries import rulebook_for

LIGHTNING = "lightning"
_CENT = Decimal("0.01")
_OLDEST = timedelta(days=7)


class ReadingRefused(Exception):
    """What was typed cannot be taken down; the message is a sentence to show."""


@transaction.atomic
def take_readings(
    *, event: Event, text: str, source: str, read_at: str, actor: Actor, now: datetime
) -> list[Reading]:
    """Take down every reading of a typed or pasted text, or none of them.

    `read_at` is a clock time at the venue, "" for now; a time on a line of the text goes before it. Raises
    ReadingRefused: a figure without unit, what no weather has, a time to come, no source, an event that is over.
    """
    source = _source(event, source)
    try:
        typed = readings_in(text)
        moments = [_moment(event, each.clock or read_at, now) for each in typed]
    except (NotAReading, NotATime) as problem:
        raise ReadingRefused(str(problem)) from None
    rows = [
        _reading(event, each, source, moment, actor, now) for each, moment in zip(typed, moments, strict=True)
    ]
    Reading.objects.bulk_create(rows)
    record(
        chain=event.slug,
        action=Action.READING_TAKEN,
        subject=", ".join(_words(each) for each in typed),
        actor=actor,
        now=now,
        detail={"source": source, "read_at": sorted({moment.isoformat() for moment in moments})},
    )
    return rows


def _reading(
    event: Event, typed: TypedReading, source: str, moment: datetime, actor: Actor, now: datetime
) -> Reading:
    return Reading(
        event=event,
        quantity=typed.quantity,
        value=typed.value.quantize(_CENT),
        typed=typed.typed[:40],
        source=source,
        read_at=moment,
        at=now,
        by=actor.name[:150],
    )


@transaction.atomic
def note_lightning(
    *, event: Event, kind: str, typed: str, source: str, seen_at: str, actor: Actor, now: datetime
) -> Evidence:
    """A strike (`typed`: its distance, `12 mi`) or thunder (`typed`: seconds from flash to bang, "" where nobody
    counted). `seen_at` is a clock time at the venue, "" for now. Raises ReadingRefused.
    """
    if kind not in Evidence.Kind.values:
        raise ReadingRefused("Lightning is a strike that a service places, or thunder that was heard.")
    source = _source(event, source)
    strike = kind == Evidence.Kind.STRIKE
    if strike and not typed.strip():
        raise ReadingRefused("How far off was the strike? Write 12 mi or 19 km.")
    try:
        moment = _moment(event, seen_at, now)
        figure = distance_m(typed) if strike else count_seconds(typed) if typed.strip() else None
    except (NotAReading, NotATime) as problem:
        raise ReadingRefused(str(problem)) from None
    whole = None if figure is None else int(figure.to_integral_value("ROUND_FLOOR"))  # nearer, never further
    row = Evidence.objects.create(
        event=event,
        kind=kind,
        distance_m=whole if strike else None,
        seconds=None if strike else whole,
        source=source,
        seen_at=moment,
        at=now,
        by=actor.name[:150],
    )
    record(
        chain=event.slug,
        action=Action.LIGHTNING_SEEN,
        subject=evidence_words(row),
        actor=actor,
        now=now,
        detail={"source": source, "typed": typed.strip(), "seen_at": moment.isoformat()},
    )
    return row


@transaction.atomic
def take_back(*, row: Reading | Evidence, reason: str, actor: Actor, now: datetime) -> Reading | Evidence:
    """A reading or a piece of evidence that was a mistake: it counts no more, and stays to be read.

    Raises ReadingRefused without a reason, and for one that is taken back already.
    """
    reason = reason.strip()
    if not reason:
        raise ReadingRefused("Say in a few words why it is taken back.")
    row = type(row).objects.select_for_update().select_related("event").get(pk=row.pk)
    if row.taken_back_at is not None:
        raise ReadingRefused(f"It was taken back by {row.taken_back_by} already.")
    row.taken_back_at, row.taken_back_by, row.taken_back_reason = now, actor.name[:150], reason[:200]
    row.save(update_fields=["taken_back_at", "taken_back_by", "taken_back_reason"])
    reading = isinstance(row, Reading)
    record(
        chain=row.event.slug,
        action=Action.READING_TAKEN_BACK if reading else Action.LIGHTNING_TAKEN_BACK,
        subject=f"{NAMES[row.quantity]} {row.typed}" if isinstance(row, Reading) else evidence_words(row),
        actor=actor,
        now=now,
        reason=reason[:200],
    )
    return row


@transaction.atomic
def choose_thresholds(*, event: Event, kind: str, key: str, actor: Actor, now: datetime) -> ThresholdSet:
    """Which published set of limits the event goes by for a kind of weather. Raises ReadingRefused."""
    book = rulebook_for(event)
    if kind not in (*KINDS, LIGHTNING):
        raise ReadingRefused(f"There are no limits for {kind[:20]!r}.")
    try:
        found = lightning_set(book, key) if kind == LIGHTNING else limit_set(book, kind, key)
    except UnknownSet as problem:
        raise ReadingRefused(str(problem)) from None
    row = ThresholdSet.objects.create(event=event, kind=kind, chosen=found.key, at=now, by=actor.name[:150])
    record(
        chain=event.slug,
        action=Action.THRESHOLDS_CHOSEN,
        subject=found.title,
        actor=actor,
        now=now,
        detail={"kind": kind, "chosen": found.key, "source": found.source},
    )
    return row


def evidence_words(row: Evidence) -> str:
    """For the log, as it is kept: kilometres and seconds. Pages say it in the event's units."""
    if row.kind == Evidence.Kind.STRIKE:
        return f"strike at {(row.distance_m or 0) / 1000:.1f} km"
    return "thunder heard" if row.seconds is None else f"thunder heard, {row.seconds} s"


def _source(event: Event, source: str) -> str:
    if event.over_at is not None:
        raise ReadingRefused("The event is over: nothing is written down any more.")
    source = " ".join(source.split())[:120]
    if not source:
        raise ReadingRefused("Say where it comes from: the instrument, the service, or who heard it.")
    return source


def _moment(event: Event, typed: str, now: datetime) -> datetime:
    moment = moment_typed(typed, event.zone, now)
    if moment < now - _OLDEST:
        raise NotATime("That is more than a week ago: write the time as 14:05.")
    return moment


def _words(typed: TypedReading) -> str:
    return f"{NAMES[typed.quantity]} {typed.typed}"
