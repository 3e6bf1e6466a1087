"""Lines of a day that are kept elsewhere: the sun, the stops of play, the countdown, the shifts."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

from events.logistics.countdown.planned import Moment
from events.logistics.countdown.queries import Line as DueLine
from events.logistics.crew.duties import label_of
from events.logistics.crew.models import Need
from events.logistics.crew.queries import hours_of, shifts_between
from events.logistics.play import Stop
from events.logistics.running.clocks import Clocks
from events.logistics.running.delays import settled
from events.logistics.running.laying import DEADLINE, PEOPLE, PLAY, SUN, WEATHER, Line, moved_from
from events.setup.models import Event
from events.setup.sun import SunDay, to_the_minute


def sun_lines(sun: SunDay | None) -> Iterator[Line]:
    """Sunrise, sunset and twilight: nothing moves them."""
    if sun is None:
        return
    named = (
        ("first light", sun.civil.start),
        ("sunrise", sun.light.start),
        ("sunset", sun.light.end),
        ("dark", sun.civil.end),
    )
    for name, moment in named:
        if moment is not None:
            at = to_the_minute(moment).astimezone(UTC)
            yield Line(name, name.capitalize(), SUN, at, None, assumed="computed")


def stop_lines(clocks: Clocks) -> Iterator[Line]:
    for index, stop in enumerate(clocks.stops):
        label = f"Play stopped: {stop.cause}{_still(stop)}"
        yield Line(f"stop-{index}", label, WEATHER, stop.since, stop.until, danger=True)
    for round_ in clocks.rounds:
        if round_.begins is not None and round_.span is not None:
            label = f"Round {round_.number} goes on"
            yield Line(f"goes-on-{round_.number}", label, PLAY, round_.span.starts, round_.span.ends)


def _still(stop: Stop) -> str:
    if stop.given_up:
        return "; the round is not finished"
    return ", and still is; the restart is as things stand" if stop.lasts else ""


def due_lines(due: Sequence[DueLine], was: Mapping[str, Moment], clocks: Clocks) -> Iterator[Line]:
    """The duties and tasks of the countdown that have an hour; the day of a line is looked at afterwards.

    `was`: when each duty was due before any delay, by its key.
    """
    for line in due:
        if isinstance(line.due, datetime) and not line.over:
            what = f"{line.what} ({line.of})" if line.of else line.what
            said = "" if line.open else f", {line.said}"
            is_now = line.due.astimezone(UTC)
            before = was.get(line.key)
            before = before.astimezone(UTC) if isinstance(before, datetime) else is_now
            shown = Line(
                f"due-{line.key}",
                what,
                DEADLINE,
                settled(before, is_now, clocks.delays),
                None,
                owner=line.owner,
                assumed=f"{line.citation}{said}",
                needs=line.late,
            )
            yield moved_from(shown, before, None)


def shift_lines(event: Event, clocks: Clocks) -> Iterator[Line]:
    """The shifts of the day, those of one duty at the same hours as one line; who is missing needs somebody."""
    begin = event.at(clocks.day, time(0))
    end = event.at(clocks.day + timedelta(days=1), time(0))
    needs = Need.objects.filter(event=event, dropped_at__isnull=True).in_bulk()
    together: dict[tuple[str, datetime, datetime], list[tuple[str, str, int, Line]]] = {}
    for shift in shifts_between(event, begin, end, times=clocks.times):
        if shift.span is None:
            continue
        need = needs.get(shift.id)
        was = None if need is None else hours_of(need, clocks.first_times)
        line = Line(f"shift-{shift.id}", "", PEOPLE, shift.span.starts, shift.span.ends)
        line = moved_from(line, was.starts, was.ends) if was is not None else line
        names = ", ".join(shift.names)
        together.setdefault((shift.duty, shift.span.starts, shift.span.ends), []).append(
            (shift.place, names, shift.missing, line)
        )
    for (duty, _, _), members in together.items():
        yield _shift_line(label_of(duty), members)


def _shift_line(duty: str, members: Sequence[tuple[str, str, int, Line]]) -> Line:
    missing = sum(each[2] for each in members)
    alone = len(members) == 1
    who = members[0][1] or "nobody" if alone else _by_place(members)
    return replace(
        members[0][3],
        label=duty.capitalize() + ("" if alone else f" ×{len(members)}"),
        owner=who,
        place=members[0][0] if alone else "",
        assumed=f"{missing} missing" if missing else "",
        needs=missing > 0,
    )


def _by_place(members: Sequence[tuple[str, str, int, Line]]) -> str:
    return "; ".join(f"{place}: {names or 'nobody'}" for place, names, _, _ in members)
