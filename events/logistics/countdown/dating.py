"""From the event's days and times to the date of every duty, with the working. Pure.

Days are calendar days at the event. Hours are hours that pass: they are counted in UTC, so that a night on which the
clocks change neither lengthens nor shortens a notice of 48 hours.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from events.draw.clock import sheet_due
from events.logistics.countdown.duties import CHAPTER, Rule
from events.rulebook.deadlines import business_days_after
from events.rulebook.loader import Rulebook
from events.rulebook.values import Plain

NOTHING_KNOWN = "no published value for this tier and region"
OTHER_DUTY = f"{CHAPTER}."
Moment = date | datetime


@dataclass(frozen=True, slots=True)
class DivisionTimes:
    """A division in a round. `ends`: when its round before is expected to be over, None in its first."""

    first: datetime
    tee_times: bool
    before_ends: datetime | None = None


@dataclass(frozen=True, slots=True)
class RoundPlan:
    """A round with its divisions. `shotguns`: the moments at which groups start together. `ends`: expected.

    `published`: since when its tee sheet is out, None while it is not.
    """

    number: int
    first: datetime
    ends: datetime
    divisions: Mapping[str, DivisionTimes]
    shotguns: tuple[datetime, ...] = ()
    published: datetime | None = None


@dataclass(frozen=True, slots=True)
class EventPlan:
    """The event's days and moments as they stand now. Moments are aware; None: not set."""

    zone: tzinfo
    first_day: date
    last_day: date
    registration_opens: datetime | None = None
    registration_closes: datetime | None = None
    checkin_opens: datetime | None = None
    over_at: datetime | None = None
    rounds: tuple[RoundPlan, ...] = ()

    def local(self, moment: datetime) -> datetime:
        return moment.astimezone(self.zone)


@dataclass(frozen=True, slots=True)
class Anchor:
    """A moment that a duty is dated from. `part` tells it from others of the same duty; `of` says it in words."""

    label: str
    when: Moment | None
    part: str = ""
    of: str = ""
    none: str = ""


@dataclass(frozen=True, slots=True)
class Duty:
    """A duty of this event. `due` is a day (until its end) or a moment; None, and `no_date` says why.

    `over`: what shows that it is done already, "" where nobody can know.
    """

    key: str
    rule: Rule
    of: str
    due: Moment | None
    no_date: str
    working: tuple[tuple[str, str], ...]
    over: str = ""


def dated(plan: EventPlan, rules: Sequence[Rule], book: Rulebook) -> list[Duty]:
    """Every duty with its date, one for each round, day or division that it is owed for."""
    found: dict[str, list[Duty]] = {}
    for rule in sorted(rules, key=lambda rule: rule.start.startswith(OTHER_DUTY)):
        if rule.start == "each_tee_sheet":
            found[rule.name] = list(_tee_sheets(plan, rule, book))
        elif rule.start.startswith(OTHER_DUTY):
            found[rule.name] = _after_a_duty(plan, rule, found.get(rule.start.removeprefix(OTHER_DUTY), []))
        else:
            found[rule.name] = [_duty(plan, rule, anchor) for anchor in _anchors(plan, rule.start)]
    return [duty for duties in found.values() for duty in duties]


def is_past(due: Moment, now: datetime, zone: tzinfo) -> bool:
    """A day is past when the next one has begun."""
    return now > due if isinstance(due, datetime) else now.astimezone(zone).date() > due


def order(due: Moment | None, zone: tzinfo) -> tuple[bool, datetime]:
    """For sorting: a day counts at its end, what has no date comes last."""
    if due is None:
        return True, datetime.max.replace(tzinfo=UTC)
    if isinstance(due, datetime):
        return False, due
    return False, datetime.combine(due, time(23, 59), tzinfo=zone)


def words(due: Moment) -> str:
    """Fri 12 June 2026, with the clock of the place where it is a moment."""
    day = f"{due:%a} {due.day} {due:%B %Y}"
    return f"{day} {due:%H:%M}" if isinstance(due, datetime) else day


def short(due: Moment) -> str:
    """Fri 12 Jun 2026, for a narrow column."""
    day = f"{due:%a} {due.day} {due:%b %Y}"
    return f"{day} {due:%H:%M}" if isinstance(due, datetime) else day


def _duty(plan: EventPlan, rule: Rule, anchor: Anchor) -> Duty:
    due = None
    if rule.fixed is not None:
        due = _fixed(plan, rule.fixed)
    elif anchor.when is not None and rule.amount is not None:
        due = _shifted(plan, rule, anchor.when)
    no_date = "" if due else (anchor.none if anchor.when is None else NOTHING_KNOWN)
    return Duty(
        key=f"{rule.name}/{anchor.part}" if anchor.part else rule.name,
        rule=rule,
        of=anchor.of,
        due=due,
        no_date=no_date,
        working=_working(rule, anchor, due),
    )


def _fixed(plan: EventPlan, day: Mapping[str, Plain]) -> date:
    month, of_month, years = (int(str(day[name])) for name in ("month", "day", "years_before"))
    return date(plan.first_day.year - years, month, of_month)


def _shifted(plan: EventPlan, rule: Rule, when: Moment) -> Moment:
    amount = rule.amount or 0
    if rule.unit == "days":
        day = plan.local(when).date() if isinstance(when, datetime) else when
        if rule.business:
            return business_days_after(day, amount)
        return day + timedelta(days=amount if rule.after else -amount)
    if not isinstance(when, datetime):
        when = datetime.combine(when, time(0), tzinfo=plan.zone)
    span = timedelta(**{rule.unit: amount})
    return plan.local(when.astimezone(UTC) + (span if rule.after else -span))


def _working(rule: Rule, anchor: Anchor, due: Moment | None) -> tuple[tuple[str, str], ...]:
    lines = []
    if rule.fixed is None:
        lines.append((anchor.label, words(anchor.when) if anchor.when else anchor.none))
        if rule.amount:
            count = f"{'business ' if rule.business else ''}{rule.unit}"
            far = f"{rule.amount} {count if rule.amount != 1 else count.removesuffix('s')}"
            lines.append(("after it" if rule.after else "before it", far))
    if rule.figure is not None:
        lines.append(("the figure", rule.figure.citation))
        lines += [("note", remark) for remark in rule.figure.remarks]
    lines.append(("due", words(due) if due else "no date"))
    return tuple(lines)


def _after_a_duty(plan: EventPlan, rule: Rule, bases: Sequence[Duty]) -> list[Duty]:
    return [
        _duty(plan, rule, Anchor(f"due: {base.rule.what.lower()}", base.due, none=base.no_date))
        for base in bases
    ]


def _tee_sheets(plan: EventPlan, rule: Rule, book: Rulebook) -> Iterator[Duty]:
    """For each division that starts at tee times: the later of two moments (1.06.K)."""
    hours = book.value("publish.hours_before_first_tee_time")
    minutes = book.value("publish.minutes_after_previous_round")
    for round_ in plan.rounds:
        for code, times in round_.divisions.items():
            if not times.tee_times:
                continue
            ended = None if times.before_ends is None else {code: times.before_ends.astimezone(UTC)}
            due = sheet_due(
                {code: times.first.astimezone(UTC)},
                ended,
                hours=book.int(hours.key),
                minutes=book.int(minutes.key),
            )
            at = plan.local(due.at) if due is not None and due.at is not None else None
            lines = [
                (f"first tee time of {code}", words(times.first)),
                ("before it", f"{hours.value} hours"),
            ]
            if times.before_ends is not None:
                lines += [
                    ("its round before ends, as expected", words(times.before_ends)),
                    ("after it", f"{minutes.value} minutes"),
                ]
            lines.append(("due, the later one", words(at) if at else "no date"))
            yield Duty(
                key=f"{rule.name}/{round_.number}/{code}",
                rule=rule,
                of=f"round {round_.number}: {code}",
                due=at,
                no_date="",
                working=tuple(lines),
                over=f"published {words(plan.local(round_.published))}" if round_.published else "",
            )


def _anchors(plan: EventPlan, start: str) -> list[Anchor]:
    """Raises KeyError for a start that this program does not know: a slip of the rulebook's own file."""
    single = {
        "first_day": lambda: Anchor("first day", plan.first_day),
        "last_day": lambda: Anchor("last day", plan.last_day),
        "registration_opens": lambda: _set(plan, "registration opens", plan.registration_opens),
        "registration_closes": lambda: _set(plan, "registration closes", plan.registration_closes),
        "checkin_opens": lambda: _set(plan, "check-in opens", plan.checkin_opens),
        "first_start": lambda: _start(plan, "first start", plan.rounds[:1]),
        "last_round": lambda: _start(plan, "start of the last round", plan.rounds[-1:]),
        "event_over": lambda: _over(plan),
    }
    if start in single:
        return [single[start]()]
    return list(_EACH[start](plan))


def _set(plan: EventPlan, label: str, moment: datetime | None) -> Anchor:
    if moment is None:
        return Anchor(label, None, none=f"when {label} is not set")
    return Anchor(label, plan.local(moment))


def _start(plan: EventPlan, label: str, rounds: Sequence[RoundPlan]) -> Anchor:
    if not rounds:
        return Anchor(label, None, none="no round is planned yet")
    return Anchor(label, plan.local(rounds[0].first))


def _over(plan: EventPlan) -> Anchor:
    """The manual says after the event: from its declaration, before it from the end of the last day."""
    if plan.over_at is not None:
        return Anchor("event declared over", plan.local(plan.over_at))
    return Anchor(
        "end of the last day", datetime.combine(plan.last_day + timedelta(days=1), time(0), tzinfo=plan.zone)
    )


def _days(plan: EventPlan) -> dict[date, list[RoundPlan]]:
    found: dict[date, list[RoundPlan]] = {}
    for round_ in plan.rounds:
        found.setdefault(plan.local(round_.first).date(), []).append(round_)
    return found


def _each_day(plan: EventPlan) -> Iterator[Anchor]:
    for number, (day, rounds) in enumerate(sorted(_days(plan).items()), start=1):
        first = plan.local(min(round_.first for round_ in rounds))
        yield Anchor("first start of the day", first, f"day{number}", f"{day:%A}")


def _each_day_end(plan: EventPlan) -> Iterator[Anchor]:
    for number, (day, rounds) in enumerate(sorted(_days(plan).items()), start=1):
        last = plan.local(max(round_.ends for round_ in rounds))
        yield Anchor("the day's last round ends, as expected", last, f"day{number}", f"{day:%A}")


def _each_round_end(plan: EventPlan) -> Iterator[Anchor]:
    for round_ in plan.rounds:
        yield Anchor(
            "the round ends, as expected",
            plan.local(round_.ends),
            str(round_.number),
            f"round {round_.number}",
        )


def _each_tee_round(plan: EventPlan) -> Iterator[Anchor]:
    for round_ in plan.rounds:
        firsts = [times.first for times in round_.divisions.values() if times.tee_times]
        if firsts:
            first = plan.local(min(firsts))
            yield Anchor("first tee time", first, str(round_.number), f"round {round_.number}")


def _each_shotgun(plan: EventPlan) -> Iterator[Anchor]:
    for round_ in plan.rounds:
        for number, moment in enumerate(round_.shotguns, start=1):
            yield Anchor(
                "shotgun start",
                plan.local(moment),
                f"{round_.number}/{number}",
                f"round {round_.number}",
            )


_EACH = {
    "each_day": _each_day,
    "each_day_end": _each_day_end,
    "each_round_end": _each_round_end,
    "each_tee_round": _each_tee_round,
    "each_shotgun_round": _each_shotgun,
}
