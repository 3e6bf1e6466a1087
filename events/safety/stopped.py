"""Reading a stop: since when, until when at the earliest, what that rests on, and what is to be sounded next."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from events.rulebook.loader import Rulebook
from events.safety.lightning import LightningSet, lightning_set
from events.safety.models import Evidence, HornSound, Position, Suspension
from events.safety.restart import (
    STOP,
    STOP_AGAIN,
    TWO_MINUTES,
    Clock,
    HornCall,
    RestartRule,
    next_call,
    restart_clock,
    restart_rule,
    resume_calls,
    stop_calls,
)
from events.safety.weather import as_seen, chosen_sets
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for

BEFORE_THE_SIGNAL = timedelta(hours=2)


@dataclass(frozen=True, slots=True)
class Stop:
    """A stop that lasts. `restart` is when play may go on as things stand: the earliest, or a later one that the
    director has named, or an earlier one that was named with a reason. `overtaken`: a named restart that new
    evidence has moved. Times are in the zone of the event.
    """

    suspension: Suspension
    clock: Clock
    rule: RestartRule
    limits: LightningSet
    restart: datetime
    named: bool
    overtaken: bool
    evidence: tuple[Evidence, ...]
    horns: tuple[HornSound, ...]
    calls: tuple[HornCall, ...]

    @property
    def early(self) -> bool:
        """The restart stands before the earliest, by the director's word."""
        return self.restart < self.clock.earliest

    def next_at(self, now: datetime) -> HornCall | None:
        """The signal to sound next. One that was left out does not stand in the way of a later one that is due."""
        found = next_call(self.calls, _sounded(self.horns, self.calls))
        if found is None:
            return None
        due = [call for call in self.calls if found.due < call.due <= now]
        return due[-1] if due else found


def open_suspension(event: Event) -> Suspension | None:
    """The stop that lasts, if any (1 query)."""
    return Suspension.objects.filter(event=event, ended_at__isnull=True).first()


def stop_now(event: Event, book: Rulebook | None = None) -> Stop | None:
    """1 query while play goes on; 4 more in a stop, 5 without a rulebook in hand."""
    suspension = open_suspension(event)
    if suspension is None:
        return None
    return stop_of(event, suspension, book or rulebook_for(event))


def stop_of(event: Event, suspension: Suspension, book: Rulebook) -> Stop:
    """The stop with its clock (3 queries). Evidence counts whatever the cause was: lightning spares no flood."""
    signal = event.local(suspension.signalled_at)
    rule = restart_rule(book)
    limits = lightning_set(book, chosen_sets(event).get("lightning", ""))
    rows = tuple(
        Evidence.objects.filter(
            event=event, seen_at__gte=signal - BEFORE_THE_SIGNAL, taken_back_at__isnull=True
        ).order_by("seen_at", "pk")
    )
    clock = restart_clock(signal, [as_seen(row) for row in rows], limits, rule)
    restart, overtaken = _restart(event, suspension, clock, rows, limits, rule)
    horns = tuple(HornSound.objects.filter(suspension=suspension).order_by("pk"))
    calls = (*stop_calls(signal, rule), *resume_calls(restart, rule))
    return Stop(
        suspension=suspension,
        clock=clock,
        rule=rule,
        limits=limits,
        restart=restart,
        named=suspension.restart_at is not None and not overtaken,
        overtaken=overtaken,
        evidence=rows,
        horns=horns,
        calls=calls,
    )


def _restart(
    event: Event,
    suspension: Suspension,
    clock: Clock,
    rows: tuple[Evidence, ...],
    limits: LightningSet,
    rule: RestartRule,
) -> tuple[datetime, bool]:
    """When play may go on, and whether what the director named was overtaken by evidence that came after."""
    if suspension.restart_at is None or suspension.restart_named_at is None:
        return clock.earliest, False
    named = event.local(suspension.restart_at)
    if named >= clock.earliest:
        return named, False
    if not suspension.restart_reason:
        return clock.earliest, True
    known = [as_seen(row) for row in rows if row.at <= suspension.restart_named_at]
    then = restart_clock(clock.signal, known, limits, rule)
    overtaken = clock.earliest > then.earliest
    return (clock.earliest if overtaken else named), overtaken


def _sounded(horns: tuple[HornSound, ...], calls: tuple[HornCall, ...]) -> set[str]:
    """What counts as sounded: the stop once and for all, the restart's signals only for the restart that stands."""
    due = {call.signal: call.due for call in calls}
    found = {
        horn.signal for horn in horns if horn.signal in {STOP, STOP_AGAIN} or horn.due_at == due[horn.signal]
    }
    # Whoever was told two minutes is not told to stop once more when the clock is moved.
    return found | ({STOP_AGAIN} if any(horn.signal == TWO_MINUTES for horn in horns) else set())


def positions_of(suspension: Suspension) -> dict[tuple[int, int], Position]:
    """(round id, group number) → where the group stood; the newest row counts (1 query)."""
    rows = Position.objects.filter(suspension=suspension).select_related("round").order_by("pk")
    return {(row.round_id, row.group_number): row for row in rows}


def went_on(round: Round, group_number: int) -> Position | None:
    """Where a group stood in the last stop of its round that play has gone on from, or goes on another day (1 query).

    Its `suspension` is there without a further query.
    """
    ended = [Suspension.Ended.RESUMED, Suspension.Ended.NEXT_DAY]
    rows = Position.objects.filter(round=round, group_number=group_number, suspension__ended__in=ended)
    return rows.select_related("suspension").order_by("-suspension__ended_at", "-pk").first()
