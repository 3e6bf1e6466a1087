"""Reading the countdown: duties and own tasks with their dates, whose they are and how they stand."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo
from itertools import groupby

from events.logistics.countdown.dating import Duty, dated, is_past, order
from events.logistics.countdown.duties import FORCES, MUST, USUAL, Beside, rules_for
from events.logistics.countdown.models import CalendarFeed, DutyMark, Task
from events.logistics.countdown.planned import EventPlan, Moment, short, words
from events.logistics.countdown.times import event_plan
from events.logistics.play import RoundTimes
from events.logistics.playing_times import playing_times
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Role
from events.setup.queries import rulebook_for

SOON = timedelta(days=7)
OWN = "own task"
ROLE_WORDS: Mapping[str, str] = {role.value: str(role.label) for role in Role}
State = DutyMark.State


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the countdown. `keys` are what is marked with it: several where divisions share a date.

    `due_words` has the date in words, or why there is none. `over`: done as the rest of the program shows; it
    cannot be marked. `late` and `soon` hold of what is open only. `task` is set for an own task.
    """

    keys: tuple[str, ...]
    what: str
    of: str
    when: str
    due: Moment | None
    due_words: str
    due_short: str
    owner: str
    state: str
    reason: str
    said: str
    over: str
    late: bool
    soon: bool
    passes: bool
    force: str
    slips: str
    citation: str
    trust: str
    note: str
    working: tuple[tuple[str, str], ...]
    task: Task | None = None
    beside: tuple[Beside, ...] = ()

    @property
    def open(self) -> bool:
        return self.state == State.OPEN and not self.over

    @property
    def key(self) -> str:
        return self.keys[0]


@dataclass(frozen=True, slots=True)
class Countdown:
    """All lines in the order of their dates, parted by what they ask for; `plan` is what they were dated from."""

    lines: tuple[Line, ...]
    plan: EventPlan

    @property
    def late(self) -> list[Line]:
        return [line for line in self.lines if line.late]

    @property
    def soon(self) -> list[Line]:
        return [line for line in self.lines if line.soon]

    @property
    def later(self) -> list[Line]:
        return [line for line in self.lines if line.open and line.due and not line.late and not line.soon]

    @property
    def undated(self) -> list[Line]:
        return [line for line in self.lines if line.open and line.due is None]

    @property
    def closed(self) -> list[Line]:
        return [line for line in self.lines if not line.open]

    @property
    def open_count(self) -> int:
        return sum(line.open for line in self.lines)

    @property
    def owners(self) -> list[str]:
        return sorted({line.owner for line in self.lines})


def countdown_of(
    event: Event,
    now: datetime,
    book: Rulebook | None = None,
    times: Mapping[int, RoundTimes] | None = None,
) -> Countdown:
    """The countdown as it stands (12 queries, 11 with a rulebook and 2 with the times of play too in hand; 3 more while
    play is suspended). It moves with the event by itself."""
    book = book or rulebook_for(event)
    plan = event_plan(event, playing_times(event, now, book).rounds if times is None else times)
    marks = {mark.key: mark for mark in DutyMark.objects.filter(event=event)}
    duties = dated(plan, rules_for(book, event.tier, len(plan.rounds)), book)
    tasks = Task.objects.filter(event=event, dropped_at__isnull=True).order_by("number")
    lines = [_duty_line(duty, marks, plan, now) for duty in duties]
    lines += [_task_line(task, marks.get(task.key), plan, now) for task in tasks]
    lines.sort(key=lambda line: (order(line.due, plan.zone), line.what, line.of))
    return Countdown(tuple(_joined(lines)), plan)


def pressing(event: Event, book: Rulebook, now: datetime) -> tuple[list[Line], list[Line]]:
    """What is required or an own task, and late; and what of it is due today, in the order of the dates.

    Tee sheets have their own line on the day page. From the opening of registration or the first day on, or since
    somebody uses the countdown; before that it reminds nobody (1 query at most, else 12, 15 while play is suspended).
    """
    asked = (FORCES[MUST], OWN)
    if not (_begun(event, now) or DutyMark.objects.filter(event=event).exists()):
        return [], []
    countdown = countdown_of(event, now, book)
    lines = [line for line in countdown.lines if line.open and line.force in asked and not line.passes]
    lines = [line for line in lines if not line.key.startswith("tee_sheet/")]
    today = now.astimezone(countdown.plan.zone).date()
    due_today = [line for line in lines if not line.late and line.due and _day(line.due, countdown) == today]
    return [line for line in lines if line.late], due_today


def _begun(event: Event, now: datetime) -> bool:
    opens = event.registration_opens_at
    return (opens is not None and opens <= now) or event.local(now).date() >= event.starts_on


def _day(due: Moment, countdown: Countdown) -> date:
    return countdown.plan.local(due).date() if isinstance(due, datetime) else due


def dropped_tasks(event: Event) -> Sequence[Task]:
    """Own tasks that can be taken back in, the last dropped first (1 query)."""
    return list(Task.objects.filter(event=event, dropped_at__isnull=False).order_by("-dropped_at"))


def feeds_of(event: Event) -> Sequence[CalendarFeed]:
    """The addresses that are open, everybody's first (1 query)."""
    return list(CalendarFeed.objects.filter(event=event, revoked_at__isnull=True).order_by("owner"))


def _duty_line(duty: Duty, marks: Mapping[str, DutyMark], plan: EventPlan, now: datetime) -> Line:
    rule, mark = duty.rule, _mark_of(duty, marks)
    past = duty.due is not None and is_past(duty.due, now, plan.zone)
    over = duty.over or ("passed" if rule.passes and past else "")
    line = Line(
        keys=(duty.key,),
        what=rule.what,
        of=duty.of,
        when=rule.when,
        due=duty.due,
        due_words=words(duty.due) if duty.due else duty.no_date,
        due_short=short(duty.due) if duty.due else duty.no_date,
        owner=(mark.owner if mark and mark.owner else "") or ROLE_WORDS.get(rule.owner, rule.owner),
        state=mark.state if mark else State.OPEN,
        reason=mark.reason if mark else "",
        said=_said(mark, plan.zone),
        over=over,
        late=False,
        soon=False,
        passes=rule.passes,
        force=FORCES[rule.force],
        slips=rule.slips,
        citation="no source" if rule.force == USUAL and not rule.source.note else rule.source.citation,
        trust=rule.source.trust_words,
        note=rule.source.note,
        working=duty.working,
        beside=rule.beside,
    )
    return _timed(line, past, plan.zone, now)


def _mark_of(duty: Duty, marks: Mapping[str, DutyMark]) -> DutyMark | None:
    """What is said of a duty holds of the last day on which it can be late, too."""
    base = duty.rule.start.partition(".")[2] if duty.rule.start.startswith("duty.") else ""
    return marks.get(duty.key) or (marks.get(base) if base else None)


def _task_line(task: Task, mark: DutyMark | None, plan: EventPlan, now: datetime) -> Line:
    due = task.due_on
    working: tuple[tuple[str, str], ...] = ()
    if task.start:
        first = task.start == Task.Start.FIRST_DAY
        day, span = (plan.first_day if first else plan.last_day), timedelta(days=task.days or 0)
        due = day - span if first else day + span
        working = ((f"{task.days} {task.get_start_display()}", words(day)), ("due", words(due)))
    past = due is not None and is_past(due, now, plan.zone)
    line = Line(
        keys=(task.key,),
        what=task.what,
        of="",
        when="",
        due=due,
        due_words=words(due) if due else "no date was given",
        due_short=short(due) if due else "no date was given",
        owner=(mark.owner if mark and mark.owner else "") or task.owner or "nobody yet",
        state=mark.state if mark else State.OPEN,
        reason=mark.reason if mark else "",
        said=_said(mark, plan.zone),
        over="",
        late=False,
        soon=False,
        passes=False,
        force=OWN,
        slips=task.slips,
        citation="",
        trust="",
        note="",
        working=working,
        task=task,
    )
    return _timed(line, past, plan.zone, now)


def _timed(line: Line, past: bool, zone: tzinfo, now: datetime) -> Line:
    late = line.open and past and not line.passes
    _, at = order(line.due, zone)
    soon = line.open and line.due is not None and not late and at <= now + SOON
    return replace(line, late=late, soon=soon)


def _said(mark: DutyMark | None, zone: tzinfo) -> str:
    if mark is None or mark.state == State.OPEN:
        return ""
    return f"{mark.get_state_display()}, {mark.by}, {words(mark.at.astimezone(zone))}"


def _joined(lines: Iterable[Line]) -> Iterable[Line]:
    """Divisions of one round that share a date, an owner and a state stand in one row."""

    def same(line: Line) -> tuple[object, ...]:
        round_, _, division = line.of.partition(": ")
        alone = "" if division else line.key
        return line.what, line.due, round_, line.owner, line.state, line.reason, line.over, alone

    for _, group in groupby(lines, same):
        found = list(group)
        first = found[0]
        if len(found) > 1:
            round_ = first.of.partition(": ")[0]
            codes = ", ".join(line.of.partition(": ")[2] for line in found)
            first = replace(first, keys=tuple(line.key for line in found), of=f"{round_}: {codes}")
        yield first
