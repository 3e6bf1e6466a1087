"""Who may stand which shift, and a suggestion for those that nobody stands. Pure, and the same for the same facts."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from events.logistics.crew.duties import CERTIFICATES, OWN_DIVISION_RULE
from events.logistics.play import Span


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who helps. `hours` empty: nobody asked, so any hour is tried. `minor` None: not asked.

    `playing` is when they play themselves, `own_division` when anybody of their division does.
    """

    id: int
    name: str
    duties: frozenset[str] = frozenset()
    certificates: Mapping[str, date | None] = field(default_factory=dict)
    minor: bool | None = None
    hours: tuple[Span, ...] = ()
    playing: tuple[Span, ...] = ()
    own_division: tuple[Span, ...] = ()

    def holds(self, kind: str, on: date) -> bool:
        """The certificate is there and does not expire before that day; without a day it is not known to hold."""
        until = self.certificates.get(kind)
        return until is not None and until >= on


@dataclass(frozen=True, slots=True)
class Task:
    """A shift to be stood. `on` is the day at the venue on which it ends."""

    id: int
    duty: str
    place: str
    span: Span
    on: date
    people: int = 1
    certificate: str = ""
    rules: bool = False
    road: bool = False


@dataclass(frozen=True, slots=True)
class Limits:
    """Minutes: between two places, of work in one go, of the rest after it, and of work on one day."""

    change: int
    in_one_go: int
    rest: int
    a_day: int


@dataclass(frozen=True, slots=True)
class Placing:
    task_id: int
    person_id: int


@dataclass(frozen=True, slots=True)
class Gap:
    """A place that stays free, and why: how many people each obstacle keeps away."""

    task_id: int
    missing: int
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Suggestion:
    placings: tuple[Placing, ...]
    gaps: tuple[Gap, ...]


# --- What keeps somebody from a shift ----------------------------------------------------------------------------


def obstacles(
    person: Person, task: Task, work: Sequence[Task], *, grown_up_there: bool, limits: Limits
) -> list[str]:
    """Why this person should not stand this shift beside `work`, in a few words each; empty: nothing is against it.

    `grown_up_there`: somebody of age stands the same shift.
    """
    return [
        *_of_the_person(person, task),
        *_of_the_road(person, task, grown_up_there),
        *_of_the_time(person, task, work, limits),
    ]


def _of_the_person(person: Person, task: Task) -> Iterator[str]:
    if person.duties and task.duty not in person.duties:
        yield "does other duties"
    if task.certificate and not person.holds(task.certificate, task.on):
        yield f"no {CERTIFICATES[task.certificate]} certificate that is known to hold"
    if task.rules and any(span.meets(task.span) for span in person.own_division):
        yield f"the own division plays ({OWN_DIVISION_RULE})"


def _of_the_road(person: Person, task: Task, grown_up_there: bool) -> Iterator[str]:
    if task.road and not grown_up_there and person.minor is not False:
        yield "a minor alone where vehicles pass" if person.minor else "age not asked, and vehicles pass"


def _of_the_time(person: Person, task: Task, work: Sequence[Task], limits: Limits) -> Iterator[str]:
    if any(span.meets(task.span) for span in person.playing):
        yield "plays"
    if person.hours and not any(span.holds(task.span) for span in person.hours):
        yield "cannot come then"
    apart = [other for other in work if not other.span.meets(task.span)]
    if len(apart) < len(work):
        yield "stands another shift"
    if any(_too_near(other, task, limits.change) for other in apart):
        yield f"less than {limits.change} minutes from another place"
    today = [other for other in apart if other.on == task.on]
    if task.span.minutes + sum(other.span.minutes for other in today) > limits.a_day:
        yield f"more than {in_hours(limits.a_day)} that day"
    if _in_one_go(task, today, limits) > limits.in_one_go:
        yield f"more than {in_hours(limits.in_one_go)} without a rest"


def in_hours(minutes: int) -> str:
    """300 as "5 hours", 330 as "5:30 hours"."""
    hours, rest = divmod(minutes, 60)
    if rest:
        return f"{hours}:{rest:02d} hours"
    return "1 hour" if hours == 1 else f"{hours} hours"


def _too_near(one: Task, other: Task, change: int) -> bool:
    if one.place == other.place:
        return False
    first, second = sorted((one.span, other.span), key=lambda span: span.starts)
    return (second.starts - first.ends).total_seconds() < change * 60


def _in_one_go(task: Task, work: Sequence[Task], limits: Limits) -> int:
    """Minutes of the row of shifts around this one with no rest between them."""
    spans = sorted((*(other.span for other in work), task.span), key=lambda span: span.starts)
    rows: list[list[Span]] = [[spans[0]]]
    for span in spans[1:]:
        if (span.starts - rows[-1][-1].ends).total_seconds() < limits.rest * 60:
            rows[-1].append(span)
        else:
            rows.append([span])
    row = next(found for found in rows if task.span in found)
    return sum(span.minutes for span in row)


# --- The suggestion ----------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Roster:
    """What everybody stands while the suggestion grows."""

    people: Mapping[int, Person]
    tasks: Mapping[int, Task]
    limits: Limits
    work: dict[int, list[Task]] = field(default_factory=lambda: defaultdict(list))
    crew: dict[int, list[int]] = field(default_factory=lambda: defaultdict(list))

    def put(self, task: Task, person_id: int) -> None:
        self.work[person_id].append(task)
        self.crew[task.id].append(person_id)

    def take(self, task: Task, person_id: int) -> None:
        self.work[person_id].remove(task)
        self.crew[task.id].remove(person_id)

    def against(self, person: Person, task: Task) -> list[str]:
        there = [self.people[other] for other in self.crew[task.id] if other in self.people]
        grown_up = any(other.minor is False for other in there if other.id != person.id)
        others = [other for other in self.work[person.id] if other.id != task.id]
        return obstacles(person, task, others, grown_up_there=grown_up, limits=self.limits)

    def free_for(self, task: Task) -> list[Person]:
        """Who may stand it, whoever has worked least first; rare certificates are kept for where they are asked."""
        found = [
            person
            for person in self.people.values()
            if person.id not in self.crew[task.id] and not self.against(person, task)
        ]
        return sorted(found, key=lambda person: self._preference(person, task))

    def _preference(self, person: Person, task: Task) -> tuple[object, ...]:
        spare = 0 if task.certificate else len(person.certificates)
        minutes = sum(other.span.minutes for other in self.work[person.id])
        return (task.duty not in person.duties, spare, minutes, person.name, person.id)


def suggest(
    people: Sequence[Person],
    tasks: Sequence[Task],
    placed: Sequence[Placing],
    limits: Limits,
    *,
    now: datetime | None = None,
) -> Suggestion:
    """Fill what nobody stands, without moving anybody who is placed already. With `now`, only what is not over then.

    Shifts that the fewest can stand come first; where one stays free, somebody who was just suggested elsewhere is
    moved there if another can take over. Nobody gets a shift that `obstacles` speaks against.
    """
    by_id = {task.id: task for task in tasks}
    roster = _Roster({person.id: person for person in sorted(people, key=lambda one: one.id)}, by_id, limits)
    for placing in placed:
        if placing.task_id in by_id:
            roster.put(by_id[placing.task_id], placing.person_id)
    open_ = [task for task in tasks if now is None or task.span.ends > now]
    free = {task.id: len(roster.free_for(task)) for task in open_}
    order = sorted(open_, key=lambda task: (free[task.id], task.span.starts, task.place, task.id))
    new: list[Placing] = []
    for task in order:
        while len(roster.crew[task.id]) < task.people:
            found = next(iter(roster.free_for(task)), None)
            if found is not None:
                roster.put(task, found.id)
                new.append(Placing(task.id, found.id))
            elif not _moved(roster, task, new):
                break
    gaps = [_gap(roster, task) for task in order if len(roster.crew[task.id]) < task.people]
    return Suggestion(
        tuple(sorted(new, key=lambda each: (each.task_id, each.person_id))),
        tuple(sorted(gaps, key=lambda gap: gap.task_id)),
    )


def _moved(roster: _Roster, task: Task, new: list[Placing]) -> bool:
    """Move one of the new placings to `task` if another takes over there; True when it is done."""
    for placing in list(new):
        if placing.person_id in roster.crew[task.id]:
            continue
        mover, before = roster.people[placing.person_id], roster.tasks[placing.task_id]
        roster.take(before, mover.id)
        if not roster.against(mover, task):
            roster.put(task, mover.id)
            instead = next((one for one in roster.free_for(before) if one.id != mover.id), None)
            if instead is not None and _still_right(roster, before, mover):
                roster.put(before, instead.id)
                if _still_right(roster, before, mover):
                    new.remove(placing)
                    new += [Placing(task.id, mover.id), Placing(before.id, instead.id)]
                    return True
                roster.take(before, instead.id)
            roster.take(task, mover.id)
        roster.put(before, mover.id)
    return False


def _still_right(roster: _Roster, task: Task, gone: Person) -> bool:
    """Whoever is left on a shift still may be there after somebody went: a minor may have lost the grown-up."""
    left = [roster.people[other] for other in roster.crew[task.id] if other in roster.people]
    return all(not roster.against(person, task) for person in left if person.id != gone.id)


def _gap(roster: _Roster, task: Task) -> Gap:
    counts: dict[str, int] = {}
    for person in roster.people.values():
        if person.id in roster.crew[task.id]:
            continue
        for words in roster.against(person, task)[:1]:
            counts[words] = counts.get(words, 0) + 1
    why = [
        f"{count}: {words}" for words, count in sorted(counts.items(), key=lambda each: (-each[1], each[0]))
    ]
    return Gap(task.id, task.people - len(roster.crew[task.id]), tuple(why) or ("nobody is on the list",))
