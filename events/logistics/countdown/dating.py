"""From the event's days and times to the date of every duty, with the working. Pure.

Days are calendar days at the event. Hours are hours that pass: they are counted in UTC, so that a night on which the
clocks change neither lengthens nor shortens a notice of 48 hours.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from events.draw.clock import sheet_due
from events.logistics.countdown.anchors import Anchor, anchors_of
from events.logistics.countdown.duties import CHAPTER, Rule
from events.logistics.countdown.planned import EventPlan, Moment, words
from events.rulebook.deadlines import business_days_after
from events.rulebook.loader import Rulebook
from events.rulebook.values import Plain

NOTHING_KNOWN = "no published value for this tier and region"
OTHER_DUTY = f"{CHAPTER}."


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
            found[rule.name] = [_duty(plan, rule, anchor) for anchor in anchors_of(plan, rule.start)]
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


def _duty(plan: EventPlan, rule: Rule, anchor: Anchor) -> Duty:
    due = None
    if rule.fixed is not None:
        due = _fixed(plan, rule.fixed)
    elif anchor.when is not None and rule.amount is not None:
        due = _shifted(plan, rule, anchor.when)
    ended = _ended(plan, rule, due)
    due = ended.when if ended is not None else due
    no_date = "" if due else (anchor.none if anchor.when is None else NOTHING_KNOWN)
    return Duty(
        key=f"{rule.name}/{anchor.part}" if anchor.part else rule.name,
        rule=rule,
        of=anchor.of,
        due=due,
        no_date=no_date,
        working=_working(plan, rule, anchor, due, ended),
    )


def _ended(plan: EventPlan, rule: Rule, due: Moment | None) -> Anchor | None:
    """The moment that ends the duty before its own date, if one does; a day lasts until its end."""
    if not rule.not_after or due is None:
        return None
    (anchor,) = anchors_of(plan, rule.not_after)
    if anchor.when is None or order(anchor.when, plan.zone) >= order(due, plan.zone):
        return None
    return anchor


def _fixed(plan: EventPlan, day: Mapping[str, Plain]) -> date:
    month, of_month, years = (int(str(day[name])) for name in ("month", "day", "years_before"))
    return date(plan.first_day.year - years, month, of_month)


def _shifted(plan: EventPlan, rule: Rule, when: Moment) -> Moment:
    amount = rule.amount or 0
    if rule.unit == "days":
        day = plan.local(when).date() if isinstance(when, datetime) else when
        if rule.business:
            return business_days_after(day, amount, off=plan.days_off)
        return day + timedelta(days=amount if rule.after else -amount)
    if not isinstance(when, datetime):
        when = datetime.combine(when, time(0), tzinfo=plan.zone)
    span = timedelta(**{rule.unit: amount})
    return plan.local(when.astimezone(UTC) + (span if rule.after else -span))


def _working(
    plan: EventPlan, rule: Rule, anchor: Anchor, due: Moment | None, ended: Anchor | None
) -> tuple[tuple[str, str], ...]:
    lines = []
    if rule.fixed is None:
        lines.append((anchor.label, words(anchor.when) if anchor.when else anchor.none))
        if rule.amount:
            count = f"{'business ' if rule.business else ''}{rule.unit}"
            far = f"{rule.amount} {count if rule.amount != 1 else count.removesuffix('s')}"
            lines.append(("after it" if rule.after else "before it", far))
            lines += [("counted", _business(plan))] if rule.business else []
    if rule.figure is not None:
        lines.append(("the figure", rule.figure.citation))
        lines += [("note", remark) for remark in rule.figure.remarks]
    if ended is not None and ended.when is not None:
        lines.append((f"{ended.label}, which is earlier", words(ended.when)))
    lines.append(("due", words(due) if due else "no date"))
    return tuple(lines)


def _business(plan: EventPlan) -> str:
    off = [words(day) for day in sorted(plan.days_off)]
    but = f"but for {', '.join(off)}" if off else "no day off is entered"
    return f"Monday to Friday, {but}. Public holidays are not known unless the event names them."


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
