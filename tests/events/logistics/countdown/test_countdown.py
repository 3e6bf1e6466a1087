"""The countdown of an event: states, owners, own tasks, and what moves it."""

from datetime import date, datetime, time, timedelta
from typing import Any

import icalendar
import pytest
from django.db import IntegrityError, transaction

import build
from desk.above_the_safety import groups as groups_of
from events.draw.models import Pool
from events.draw.moving import publish_moved
from events.draw.services import make_draw, publish
from events.log.models import Act
from events.logistics.countdown.feed import calendar_of
from events.logistics.countdown.models import DutyMark, Task
from events.logistics.countdown.queries import Line, countdown_of, dropped_tasks
from events.logistics.countdown.services import (
    CountdownRefused,
    TaskFacts,
    add_task,
    change_task,
    drop_task,
    give_to,
    mark,
    open_feed,
    take_back_task,
)
from events.logistics.running.delaying import delay_day
from events.safety.models import Suspension
from events.safety.resuming import MOVE_TIMES, end_for_today, resume
from events.safety.suspending import suspend
from events.setup.models import Event, Round, StartType

BEFORE = build.NOW - timedelta(days=20)  # 23 May 2026, 7:00
DONE, NOT_NEEDED, OPEN = "done", "not_needed", "open"


def act(service: Any, **facts: Any) -> Any:
    return service(**facts, actor=build.ACTOR, now=BEFORE)


def line(event: Event, key: str, now: datetime = BEFORE) -> Line:
    return next(found for found in countdown_of(event, now).lines if key in found.keys)


def test_a_duty_is_late_soon_or_later(event: Event) -> None:
    countdown = countdown_of(event, BEFORE)

    assert "usual_permit" in [found.key for found in countdown.late]
    assert "usual_sponsors" in [found.key for found in countdown.late]  # 22 May
    assert "refund_half" in [found.key for found in countdown.soon]  # 28 May
    assert "report" in [found.key for found in countdown.later]
    assert "caps" in [found.key for found in countdown.undated]
    parts = (countdown.late, countdown.soon, countdown.later, countdown.undated, countdown.closed)
    assert sum(map(len, parts)) == len(countdown.lines)


def test_done_and_open_again(event: Event) -> None:
    act(mark, event=event, keys=["agreement"], state=DONE, reason="")
    found = line(event, "agreement")
    assert (found.open, found.late, found.said) == (False, False, "done, Tester, Sat 23 May 2026 07:00")

    act(mark, event=event, keys=["agreement"], state=OPEN, reason="")
    assert line(event, "agreement").open
    assert list(Act.objects.values_list("action", "subject")) == [
        ("duty.marked", "Hand in the agreement for the event"),
        ("duty.marked", "Hand in the agreement for the event"),
    ]


def test_not_needed_wants_a_reason(event: Event) -> None:
    with pytest.raises(CountdownRefused, match="Say why it is not needed"):
        act(mark, event=event, keys=["exceptions"], state=NOT_NEEDED, reason="  ")
    act(mark, event=event, keys=["exceptions"], state=NOT_NEEDED, reason="nobody is let in early")
    assert (line(event, "exceptions").open, line(event, "exceptions").reason) == (
        False,
        "nobody is let in early",
    )


def test_the_database_refuses_not_needed_without_a_reason(event: Event) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        DutyMark.objects.create(event=event, key="cut", state=NOT_NEEDED, at=BEFORE, by="x")


def test_what_is_not_on_the_countdown_is_refused(event: Event) -> None:
    for keys in (["tournament_format"], []):  # a C-tier owes none
        with pytest.raises(CountdownRefused, match="not on the countdown any more"):
            act(mark, event=event, keys=keys, state=DONE, reason="")


def test_the_report_that_is_in_is_not_late_after_ninety_days(event: Event) -> None:
    act(mark, event=event, keys=["report"], state=DONE, reason="")
    assert not line(event, "report_late").open


def test_a_refund_date_passes_by_itself(event: Event) -> None:
    assert line(event, "refund_full").over == "passed"  # 13 May
    assert line(event, "refund_half").over == ""


def test_whose_it_is(event: Event) -> None:
    assert line(event, "report").owner == "director"
    act(give_to, event=event, keys=["report"], owner=" Ondine ")
    assert (line(event, "report").owner, line(event, "report").open) == ("Ondine", True)
    act(give_to, event=event, keys=["report"], owner="")
    assert line(event, "report").owner == "director"


def test_own_tasks_move_with_the_event_or_stay_on_their_day(event: Event) -> None:
    act(add_task, event=event, facts=TaskFacts("Ask the ferry", "first_day", 14))
    act(add_task, event=event, facts=TaskFacts("Write to the newspaper", "last_day", 2, owner="Ondine"))
    act(add_task, event=event, facts=TaskFacts("Concert in the park", due_on=date(2026, 6, 1)))
    keys = ("own/1", "own/2", "own/3")
    assert [line(event, key).due for key in keys] == [date(2026, 5, 29), date(2026, 6, 15), date(2026, 6, 1)]
    assert [line(event, key).owner for key in keys] == ["nobody yet", "Ondine", "nobody yet"]

    event.starts_on, event.ends_on = date(2026, 7, 12), date(2026, 7, 13)
    event.save()
    assert [line(event, key).due for key in keys] == [date(2026, 6, 28), date(2026, 7, 15), date(2026, 6, 1)]


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        (TaskFacts(" "), "Say what is to be done."),
        (TaskFacts("x", "first_day"), "Write how many days, from 0 to 1000."),
        (TaskFacts("x", "first_day", 1001), "Write how many days, from 0 to 1000."),
        (TaskFacts("x", "", 3), "Say whether the days count before the first day or after the last."),
        (
            TaskFacts("x", "last_day", 3, date(2026, 6, 1)),
            "Give a day, or a number of days before or after the event; not both.",
        ),
        (TaskFacts("x", "never", 3), "Choose days before the first day, or after the last."),
    ],
)
def test_a_task_that_cannot_be(event: Event, facts: TaskFacts, sentence: str) -> None:
    with pytest.raises(CountdownRefused) as refused:
        act(add_task, event=event, facts=facts)
    assert str(refused.value) == sentence
    assert not Task.objects.exists()


def test_a_task_is_changed_dropped_and_taken_back(event: Event) -> None:
    task = act(add_task, event=event, facts=TaskFacts("Ask the ferry"))
    act(change_task, task=task, facts=TaskFacts("Ask both ferries", "first_day", 3), version=1)
    with pytest.raises(CountdownRefused, match="Somebody else changed this task meanwhile"):
        act(change_task, task=task, facts=TaskFacts("Ask nobody"), version=1)
    assert line(event, "own/1").what == "Ask both ferries"

    act(drop_task, task=task)
    assert [each.what for each in dropped_tasks(event)] == ["Ask both ferries"]
    with pytest.raises(CountdownRefused, match="dropped already"):
        act(drop_task, task=task)
    act(take_back_task, task=task)
    with pytest.raises(CountdownRefused, match="is on the countdown"):
        act(take_back_task, task=task)
    assert line(event, "own/1").due == date(2026, 6, 9)


def tee_times(event: Event) -> list[Round]:
    """Both rounds at tee times on one day, from 9:00 and from 15:00, with a field to draw."""
    rounds = list(event.rounds.order_by("number"))
    for round_, hour in zip(rounds, (9, 15), strict=True):
        round_.start_type, round_.first_start = StartType.TEE_TIMES, time(hour)
        round_.save()
    for _ in range(8):
        build.make_entry(event)
    return rounds


def test_tee_sheets_of_divisions_that_share_a_date_stand_in_one_row(event: Event) -> None:
    tee_times(event)
    first, second = line(event, "tee_sheet/1/MA1"), line(event, "tee_sheet/2/MA1")

    assert (first.keys, first.of) == (("tee_sheet/1/FA1", "tee_sheet/1/MA1"), "round 1: FA1, MA1")
    assert first.due == event.at(date(2026, 6, 11), time(21))
    # Round 1 ends at 13:00 as expected, an hour later is the later moment.
    assert second.due == event.at(date(2026, 6, 12), time(14))
    act(mark, event=event, keys=first.keys, state=DONE, reason="")
    assert not line(event, "tee_sheet/1/FA1").open


def play(event: Event) -> Round:
    """Round 1 published for 9:00."""
    first = tee_times(event)[0]
    pool = Pool.objects.create(
        round=first, label="A", start_type=StartType.TEE_TIMES, first_start_at=first.first_start_at
    )
    pool.divisions.set(event.divisions.all())
    sheet = make_draw(round=first, method="random", seed="1", actor=build.ACTOR, now=BEFORE)
    publish(sheet=sheet, actor=build.ACTOR, now=BEFORE)
    return first


def test_a_published_sheet_needs_no_tick(event: Event) -> None:
    play(event)
    found = line(event, "tee_sheet/1/MA1")

    assert (found.open, found.over) == (False, "published Sat 23 May 2026 07:00")
    with pytest.raises(CountdownRefused, match="There is nothing to say of it"):
        act(mark, event=event, keys=found.keys, state=DONE, reason="")


def test_a_delay_of_fifty_minutes_moves_what_comes_after(event: Event) -> None:
    first = play(event)
    before = line(event, "tee_sheet/2/MA1").due
    starts = {
        group.number: group.starts_at + timedelta(minutes=50)
        for group in first.sheets.get(state="published").groups.all()
    }
    act(publish_moved, round=first, starts=starts, notes=[], reason="fog")

    assert isinstance(before, datetime)
    assert line(event, "tee_sheet/2/MA1").due == before + timedelta(minutes=50)


def test_a_stop_of_fifty_minutes_ended_by_the_safety_pages_moves_the_calendar(event: Event) -> None:
    """Nobody has started: the tee times move by the delay, and with them what the calendar says."""
    first = play(event)
    feed = act(open_feed, event=event, owner="")
    before = starts_in(calendar_of(feed, BEFORE))
    signal = first.first_start_at - timedelta(minutes=30)
    back = signal + timedelta(minutes=50)
    stop = suspend(
        event=event,
        cause="fire",
        words="",
        where_to_go="",
        signalled_at=signal,
        sounded=True,
        groups=groups_of(event, signal),
        actor=build.ACTOR,
        now=signal,
    )
    groups = groups_of(event, signal)
    resume(
        suspension=stop, mode=MOVE_TIMES, sounded=True, reason="", groups=groups, actor=build.ACTOR, now=back
    )
    after = starts_in(calendar_of(feed, BEFORE))

    moved = {key: after[key] - before[key] for key in ("round-1", "tee_sheet-2-FA1")}
    assert moved == {"round-1": timedelta(minutes=50), "tee_sheet-2-FA1": timedelta(minutes=50)}


def test_a_delay_typed_while_a_round_is_played_moves_the_calendar(event: Event) -> None:
    """Who is out is held up by it, so the round ends later, and what hangs on its end comes later with it."""
    first = play(event)
    feed = act(open_feed, event=event, owner="")
    now = first.first_start_at + timedelta(hours=1)
    before = starts_in(calendar_of(feed, now))
    delay_day(event=event, since=now, minutes=50, reason="fog", actor=build.ACTOR, now=now)
    after = starts_in(calendar_of(feed, now))

    keys = ("round-1", "round-2", "tee_sheet-2-MA1")
    assert [after[key] - before[key] for key in keys] == [
        timedelta(minutes=minutes) for minutes in (0, 50, 50)
    ]
    # The group of 9:10 is in at 14:00 instead of 13:10, an hour later is the later moment.
    assert line(event, "tee_sheet/2/MA1").due == event.at(date(2026, 6, 12), time(15))


def test_a_round_lasts_by_its_holes(event: Event) -> None:
    """Common practice: 4 hours for 18 holes, so 27 holes from 9:00 are over at 15:00."""
    first = tee_times(event)[0]
    long = build.make_layout(event, "Long", pars=(3,) * 27, tees="long")
    build.use_layout(first, long, "FA1")

    assert line(event, "tee_sheet/2/MA1").due == event.at(date(2026, 6, 12), time(14))
    assert line(event, "tee_sheet/2/FA1").due == event.at(date(2026, 6, 12), time(16))


def test_a_round_that_is_given_up_ends_at_the_stop(event: Event) -> None:
    first = play(event)
    signal = first.first_start_at + timedelta(hours=2)
    stop = {"cause": "flood", "by": "x", "ended_at": signal + timedelta(minutes=30)}
    Suspension.objects.create(event=event, signalled_at=signal, ended="cancelled", **stop)

    assert line(event, "tee_sheet/2/MA1").due == event.at(date(2026, 6, 12), time(12))


def test_a_round_that_goes_on_the_next_day_ends_there(event: Event) -> None:
    """The group of 9:10 had 2:10 of 4 hours left at the stop, and goes on at 8:00."""
    first = play(event)
    event.rounds.filter(number=2).update(date=event.ends_on)
    signal = first.first_start_at + timedelta(hours=2)
    stop = suspend(
        event=event,
        cause="fire",
        words="",
        where_to_go="",
        signalled_at=signal,
        sounded=True,
        groups=groups_of(event, signal),
        actor=build.ACTOR,
        now=signal,
    )
    end_for_today(
        suspension=stop,
        restart_at=event.at(event.ends_on, time(8)),
        reason="smoke",
        groups=groups_of(event, signal),
        actor=build.ACTOR,
        now=signal + timedelta(minutes=10),
    )

    assert line(event, "tee_sheet/2/MA1", signal + timedelta(hours=1)).due == event.at(
        event.ends_on, time(11, 10)
    )


def starts_in(text: str) -> dict[str, Any]:
    entries = icalendar.Calendar.from_ical(text).walk("VEVENT")
    return {
        str(entry["UID"]).partition("-countdown-")[2].partition("@")[0]: entry.decoded("DTSTART")
        for entry in entries
    }


def test_a_stop_of_fifty_minutes_makes_the_round_longer_for_who_had_started(event: Event) -> None:
    first = play(event)
    before = line(event, "tee_sheet/2/MA1").due
    signal = first.first_start_at + timedelta(hours=1)
    Suspension.objects.create(
        event=event,
        cause="lightning",
        signalled_at=signal,
        by="x",
        ended="resumed",
        ended_at=signal + timedelta(minutes=50),
    )

    assert isinstance(before, datetime)
    assert line(event, "tee_sheet/2/MA1").due == before + timedelta(minutes=50)


@pytest.mark.parametrize("rounds", [1, 3])
def test_the_countdown_costs_twelve_queries(db: None, django_assert_num_queries: Any, rounds: int) -> None:
    event = build.make_event(rounds=rounds)
    for number in range(rounds):
        act(add_task, event=event, facts=TaskFacts(f"task {number}"))
        act(mark, event=event, keys=[f"own/{number + 1}"], state=DONE, reason="")
    event = Event.objects.get()
    with django_assert_num_queries(12):
        countdown_of(event, BEFORE)
