"""The roster with its facts for the arithmetic: who helps, when they play, what each shift asks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from events.logistics.crew.checking import Caution, cautions_of, needs_relief
from events.logistics.crew.duties import DUTIES
from events.logistics.crew.filling import Limits, Person, Placing, Task
from events.logistics.crew.models import Helper
from events.logistics.crew.playing import OutOf, nobody_out, played_by
from events.logistics.crew.queries import Shift, Stands, shifts_of
from events.logistics.play import Span
from events.logistics.playing_times import playing_times
from events.setup.models import Event
from events.setup.queries import rulebook_for


@dataclass(frozen=True, slots=True)
class Roster:
    """Everything about the shifts of an event. `people` are those who have not left; `helpers` the same by id."""

    shifts: tuple[Shift, ...]
    helpers: Mapping[int, Helper]
    people: tuple[Person, ...]
    tasks: tuple[Task, ...]
    limits: Limits

    @property
    def crew(self) -> dict[int, list[int]]:
        return {shift.id: [each.helper_id for each in shift.stands] for shift in self.shifts}

    @property
    def placings(self) -> list[Placing]:
        return [Placing(task, person) for task, crew in self.crew.items() for person in crew]

    def with_post(self, need_id: int, helper_id: int) -> "Roster":
        """The roster with one more on a shift, for what is decided next."""
        more = Stands(0, helper_id, self.helpers[helper_id].name, "", None)
        shifts = tuple(
            replace(shift, stands=(*shift.stands, more)) if shift.id == need_id else shift
            for shift in self.shifts
        )
        return replace(self, shifts=shifts)

    @property
    def missing(self) -> int:
        return sum(shift.missing for shift in self.shifts)

    @property
    def cautions(self) -> list[Caution]:
        return cautions_of(self.people, self.tasks, self.crew, self.limits)

    @property
    def long_shifts(self) -> set[int]:
        return {task.id for task in self.tasks if needs_relief(task, self.limits)}


def limits_of(event: Event) -> Limits:
    minutes = rulebook_for(event).table("practice.crew_minutes")
    return Limits(
        change=_minutes(minutes, "change"),
        in_one_go=_minutes(minutes, "in_one_go"),
        rest=_minutes(minutes, "rest"),
        a_day=_minutes(minutes, "a_day"),
    )


def _minutes(table: Mapping[str, object], name: str) -> int:
    return int(str(table[name]))


def roster_of(event: Event, now: datetime | None = None, *, out_of: OutOf = nobody_out) -> Roster:
    """The roster in 18 queries, however many shifts and people. `out_of`: whom a cut has put out."""
    times = playing_times(event, now).rounds
    shifts = tuple(shifts_of(event, times=times))
    helpers = list(
        Helper.objects.filter(event=event, left_at__isnull=True)
        .select_related("contact", "entry__division")
        .prefetch_related("certificates", "free_hours")
        .order_by("name", "pk")
    )
    playing, divisions = played_by(event, [helper for helper in helpers if helper.entry_id], times, out_of)
    people = tuple(_person(helper, playing, divisions) for helper in helpers)
    tasks = tuple(_task(event, shift, shift.span) for shift in shifts if shift.span is not None)
    return Roster(shifts, {helper.pk: helper for helper in helpers}, people, tasks, limits_of(event))


def _person(
    helper: Helper, playing: Mapping[int, Sequence[Span]], divisions: Mapping[int, Sequence[Span]]
) -> Person:
    contact = getattr(helper, "contact", None)
    entry = helper.entry
    return Person(
        id=helper.pk,
        name=helper.name,
        duties=frozenset(helper.duties),
        certificates={row.kind: row.expires_on for row in helper.certificates.all()},
        minor=contact.minor if contact else None,
        hours=tuple(Span(row.starts_at, row.ends_at) for row in helper.free_hours.all()),
        playing=tuple(playing.get(entry.pk, ())) if entry else (),
        own_division=tuple(divisions.get(entry.pk, ())) if entry else (),
    )


def _task(event: Event, shift: Shift, span: Span) -> Task:
    duty = DUTIES[shift.duty]
    return Task(
        id=shift.id,
        duty=shift.duty,
        place=shift.place,
        span=span,
        on=event.local(span.ends).date(),
        people=shift.people,
        certificate=duty.certificate,
        rules=duty.rules,
        road=shift.road,
    )
