"""The moments that duties are dated from: of the whole event, or one for each day, round or shared start. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from events.logistics.countdown.planned import EventPlan, Moment, RoundPlan


@dataclass(frozen=True, slots=True)
class Anchor:
    """A moment that a duty is dated from. `part` tells it from others of the same duty; `of` says it in words."""

    label: str
    when: Moment | None
    part: str = ""
    of: str = ""
    none: str = ""


def anchors_of(plan: EventPlan, start: str) -> list[Anchor]:
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
