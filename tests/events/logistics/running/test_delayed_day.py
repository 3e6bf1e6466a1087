"""A delay of 50 minutes, from where it is entered to the run of the day, the shifts and the calendars of the board."""

from collections.abc import Callable
from datetime import UTC, datetime, time

import pytest
import time_machine
from django.test import Client
from django.utils import timezone

import build
import build_cards
from events.draw.models import Delay, Moved, Pool
from events.draw.queries import published_of
from events.log.models import Act
from events.logistics.crew.duties import FIRST_START, LAST_START, ROUND_END
from events.logistics.crew.models import Need
from events.logistics.crew.queries import shifts_of
from events.logistics.running.anchors import CLOCK, FIXED
from events.logistics.running.delaying import DelayRefused, delay_day, take_back
from events.logistics.running.laying import Line
from events.logistics.running.models import RunItem
from events.logistics.running.queries import run_of
from events.safety.models import Suspension
from events.setup.models import Event, Role, Round

SignIn = Callable[[Role], Client]


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2026-06-12T{clock}:00+00:00").astimezone(UTC)


@pytest.fixture
def day(event: Event) -> Event:
    """Round 1 by tee times at 09:00 and 09:40, round 2 planned for 13:00; a starter, a card room, food, a licence."""
    Event.objects.filter(pk=event.pk).update(checkin_opens_at=at("07:00"), checkin_closes_at=at("08:30"))
    event.refresh_from_db()
    field = build_cards.make_field(event, 6)
    sheet = build_cards.publish(event.rounds.get(number=1), [field[:3], field[3:]])
    sheet.groups.filter(number=2).update(starts_at=at("09:40"))
    shift(event, 1, "starter", (FIRST_START, -20), (LAST_START, 10))
    shift(event, 1, "card_room", (FIRST_START, 30), (ROUND_END, 45))
    shift(event, 2, "starter", (FIRST_START, -20), (LAST_START, 10))
    item(event, "Hot food", CLOCK, "12:30")
    item(event, "Licence for music ends", FIXED, "20:00")
    return event


def shift(event: Event, number: int, duty: str, first: tuple[str, int], last: tuple[str, int]) -> None:
    Need.objects.create(
        event=event,
        duty=duty,
        place="tournament central",
        round=event.rounds.get(number=number),
        from_anchor=first[0],
        from_minutes=first[1],
        to_anchor=last[0],
        to_minutes=last[1],
    )


def item(event: Event, label: str, anchor: str, clock: str) -> None:
    RunItem.objects.create(
        event=event, day=event.starts_on, label=label, anchor=anchor, clock=time.fromisoformat(clock)
    )


def said(event: Event, now: datetime) -> dict[str, str]:
    """Label → its hours, with what it was; shifts by their hours."""
    return {
        line.label: hours(line) for line in run_of(event, event.starts_on, now).lines if line.lane != "people"
    }


def hours(line: Line) -> str:
    words = f"{line.starts:%H:%M}" + (f"–{line.ends:%H:%M}" if line.ends else "")
    was = f" was {line.was:%H:%M}" if line.was else ""
    return words + was + (f" was until {line.was_ends:%H:%M}" if line.was_ends else "")


def shifts(event: Event, now: datetime) -> list[str]:
    return [
        f"round {each.round_number} {each.duty} {each.span.starts:%H:%M}–{each.span.ends:%H:%M}"
        for each in shifts_of(event, now)
        if each.span is not None
    ]


def calendar(event: Event, number: int) -> list[str]:
    text = Client().get(f"/board/{event.slug}/round-{number}.ics").content.decode()
    return [line for line in text.split("\r\n") if line.startswith("DTSTART")]


def test_before_any_delay(day: Event) -> None:
    found = said(day, at("08:00"))
    assert found["Round 1, shotgun"] == "09:00–13:40"
    assert found["Round 1, last start"] == "09:40"
    assert found["Round 2, shotgun"] == "13:00–17:00"
    assert found["Hot food"] == "12:30"
    assert calendar(day, 1) == ["DTSTART:20260612T090000Z", "DTSTART:20260612T094000Z"]


def test_a_stop_entered_on_the_safety_pages_moves_run_shifts_and_calendar(
    day: Event, client_as: SignIn
) -> None:
    home, director = f"/desk/{day.slug}/notices/suspension/", client_as(Role.DIRECTOR)
    with time_machine.travel(at("09:20"), tick=False):
        director.post(f"{home}start/", {"cause": "flood", "sounded": "on"})
    stop = Suspension.objects.get()
    with time_machine.travel(at("10:10"), tick=False):
        director.post(f"{home}{stop.pk}/resume/", {"mode": "move_times", "reason": "the brook is down"})
        now = timezone.now()
    day.refresh_from_db()
    found = said(day, now)
    assert found["Round 1, shotgun"] == "09:00–14:30 was until 13:40"  # who had started keeps the start
    assert found["Round 1, last start"] == "10:30 was 09:40"
    assert found["Round 1, last cards due"] == "15:00 was 14:10"
    assert found["Round 2, shotgun"] == "13:50–17:50 was 13:00 was until 17:00"
    assert found["Two-minute signal"] == "13:48 was 12:58"
    assert found["Hot food"] == "13:20 was 12:30"
    assert found["Licence for music ends"] == "20:00"
    assert found["Check-in"] == "07:00–08:30"
    assert found["Players’ meeting"] == "08:35–08:45"
    assert found["Play stopped: flooding"] == "09:20–10:10"
    assert shifts(day, now) == [
        "round 1 starter 08:40–10:40",
        "round 1 card_room 09:30–15:15",
        "round 2 starter 13:30–14:00",
    ]
    assert calendar(day, 1) == ["DTSTART:20260612T090000Z", "DTSTART:20260612T103000Z"]
    page = director.get(f"/desk/{day.slug}/logistics/day/?day=2026-06-12").content.decode()
    assert "was 09:40" in page
    assert "Play stopped 09:20–10:10: flooding" in page


def test_while_a_stop_lasts_the_day_stands_as_the_restart_stands(day: Event, client_as: SignIn) -> None:
    home, director = f"/desk/{day.slug}/notices/suspension/", client_as(Role.DIRECTOR)
    with time_machine.travel(at("09:20"), tick=False):
        director.post(f"{home}start/", {"cause": "lightning", "sounded": "on"})
    found = said(day, at("09:30"))
    assert found["Round 1, last start"] == "10:10 was 09:40"  # 30 minutes after the signal at the earliest
    assert found["Hot food"] == "13:00 was 12:30"
    assert Pool.objects.filter(round__number=2).count() == 0  # nothing is written until play goes on


def test_while_a_stop_lasts_round_and_shifts_stand_by_the_same_restart(day: Event, client_as: SignIn) -> None:
    """The signal at 9:20, so half an hour later at the earliest: no part of the day is reckoned by the ten minutes that
    the stop has lasted."""
    home, director = f"/desk/{day.slug}/notices/suspension/", client_as(Role.DIRECTOR)
    with time_machine.travel(at("09:20"), tick=False):
        director.post(f"{home}start/", {"cause": "lightning", "sounded": "on"})
    now = at("09:30")
    found = said(day, now)
    assert found["Round 1, shotgun"] == "09:00–14:10 was until 13:40"
    assert found["Round 2, shotgun"] == "13:30–17:30 was 13:00 was until 17:00"
    assert shifts(day, now) == [
        "round 1 starter 08:40–10:20",
        "round 1 card_room 09:30–14:55",
        "round 2 starter 13:10–13:40",
    ]
    drawn = [line for line in run_of(day, day.starts_on, now).lines if line.lane == "people"]
    assert [hours(line) for line in drawn] == [
        "08:40–10:20 was until 09:50",
        "09:30–14:55 was until 14:25",
        "13:10–13:40 was 12:40 was until 13:10",
    ]


def test_a_round_that_is_given_up_ends_at_the_stop(day: Event, client_as: SignIn) -> None:
    """It asks for no cards, what comes later keeps its hours, and the shifts of the round end with it."""
    home, director = f"/desk/{day.slug}/notices/suspension/", client_as(Role.DIRECTOR)
    with time_machine.travel(at("11:00"), tick=False):
        director.post(f"{home}start/", {"cause": "flood", "sounded": "on"})
    stop = Suspension.objects.get()
    with time_machine.travel(at("11:30"), tick=False):
        director.post(f"{home}{stop.pk}/cancel/", {"reason": "the bridge is gone"})
    now = at("11:40")
    found = said(day, now)
    assert found["Round 1, shotgun, not finished"] == "09:00–11:00 was until 13:40"
    assert "Round 1, last cards due" not in found
    assert found["Round 2, shotgun"] == "13:00–17:00"
    assert found["Hot food"] == "12:30"
    assert found["Play stopped: flooding; the round is not finished"] == "11:00–11:30"
    assert shifts(day, now) == [
        "round 1 starter 08:40–09:50",
        "round 1 card_room 09:30–11:45",
        "round 2 starter 12:40–13:10",
    ]


def test_a_round_that_is_given_up_before_anybody_started_is_not_played(day: Event) -> None:
    stop = {"cause": "flood", "by": "x", "ended": "cancelled", "ended_at": at("08:40")}
    Suspension.objects.create(event=day, signalled_at=at("08:30"), **stop)
    run = run_of(day, day.starts_on, at("08:45"))
    assert not [line.label for line in run.lines if line.label.startswith("Round 1")]
    assert "Round 1 is not played: it was given up before anybody had started." in run.warnings
    assert [each for each in shifts(day, at("08:45")) if each.startswith("round 1")] == []


def test_a_delay_typed_by_hand_moves_the_same(day: Event, client_as: SignIn) -> None:
    page, director = f"/desk/{day.slug}/logistics/day/", client_as(Role.DIRECTOR)
    with time_machine.travel(at("08:10"), tick=False):
        typed = {"day": "2026-06-12", "since": "08:30", "minutes": "50", "reason": "fog"}
        answer = director.post(f"{page}delay/", typed, follow=True)
        now = timezone.now()
    assert "From 08:30 the day is 50 minutes later." in answer.content.decode()
    day.refresh_from_db()
    found = said(day, now)
    assert found["Check-in"] == "07:00–09:20 was until 08:30"
    assert found["Round 1, shotgun"] == "09:50–14:30 was 09:00 was until 13:40"
    assert found["Round 1, last start"] == "10:30 was 09:40"
    assert found["Round 2, shotgun"] == "13:50–17:50 was 13:00 was until 17:00"
    assert found["Hot food"] == "13:20 was 12:30"
    assert found["Licence for music ends"] == "20:00"
    assert shifts(day, now) == [
        "round 1 starter 09:30–10:40",
        "round 1 card_room 10:20–15:15",
        "round 2 starter 13:30–14:00",
    ]
    assert calendar(day, 1) == ["DTSTART:20260612T095000Z", "DTSTART:20260612T103000Z"]
    act = Act.objects.filter(action="day.delayed").get()
    assert act.detail["moved"] == ["round 2", "round 1, version 2"]


def typed_delay(event: Event, since: str, minutes: int, now: str) -> Delay:
    return delay_day(
        event=event, since=at(since), minutes=minutes, reason="fog", actor=build.ACTOR, now=at(now)
    )


def test_a_delay_is_taken_back_until_what_it_moved_begins(day: Event) -> None:
    before = (said(day, at("08:10")), shifts(day, at("08:10")), calendar(day, 1))
    first, second = typed_delay(day, "08:30", 20, "08:10"), typed_delay(day, "09:30", 30, "08:15")
    with pytest.raises(DelayRefused, match="newest delay first"):
        take_back(delay=first, actor=build.ACTOR, now=at("08:20"))
    for row in (second, first):
        take_back(delay=row, actor=build.ACTOR, now=at("08:20"))
    day.refresh_from_db()
    assert (said(day, at("08:20")), shifts(day, at("08:20")), calendar(day, 1)) == before
    with pytest.raises(DelayRefused, match="taken back already"):
        take_back(delay=first, actor=build.ACTOR, now=at("08:20"))
    third = typed_delay(day, "09:30", 30, "09:00")
    with pytest.raises(DelayRefused, match="has begun"):
        take_back(delay=third, actor=build.ACTOR, now=at("10:00"))


def test_two_delays_add_up_and_the_first_hours_stay_known(day: Event) -> None:
    typed_delay(day, "08:30", 20, "08:10")
    typed_delay(day, "10:00", 30, "08:20")
    day.refresh_from_db()
    found = said(day, at("08:30"))
    assert found["Round 1, shotgun"] == "09:20–14:30 was 09:00 was until 13:40"
    assert (
        found["Round 1, last start"] == "10:30 was 09:40"
    )  # moved to 10:00 by the first, so the second finds it
    assert found["Round 2, shotgun"] == "13:50–17:50 was 13:00 was until 17:00"
    assert found["Hot food"] == "13:20 was 12:30"
    assert Moved.objects.filter(round__number=1).count() == 2


@pytest.mark.parametrize(
    ("since", "minutes", "now", "words"),
    [
        ("09:00", 0, "08:00", "1 to 720"),
        ("09:00", 721, "08:00", "1 to 720"),
        ("08:00", 30, "09:00", "things would come before now"),
    ],
)
def test_a_delay_that_cannot_be(day: Event, since: str, minutes: int, now: str, words: str) -> None:
    with pytest.raises(DelayRefused, match=words):
        typed_delay(day, since, minutes, now)
    assert (Delay.objects.count(), Moved.objects.count()) == (0, 0)


def test_neither_in_a_stop_nor_after_the_event_nor_on_another_day(day: Event, client_as: SignIn) -> None:
    with pytest.raises(DelayRefused, match="days of the event"):
        delay_day(
            event=day,
            since=datetime(2026, 6, 20, 9, tzinfo=UTC),
            minutes=10,
            reason="fog",
            actor=build.ACTOR,
            now=at("08:00"),
        )
    with time_machine.travel(at("09:20"), tick=False):
        client_as(Role.DIRECTOR).post(f"/desk/{day.slug}/notices/suspension/start/", {"cause": "wind"})
    with pytest.raises(DelayRefused, match="restart moves the day"):
        typed_delay(day, "10:00", 10, "09:30")
    Event.objects.filter(pk=day.pk).update(over_at=at("09:40"))
    with pytest.raises(DelayRefused, match="event is over"):
        typed_delay(day, "10:00", 10, "09:50")


def test_only_the_rounds_of_that_day_move_and_each_start_as_far_as_it_is_to_come(day: Event) -> None:
    other = Round.objects.create(event=day, number=3, date=day.ends_on, first_start=time(9))
    typed_delay(day, "09:30", 50, "09:10")
    first = published_of(day.rounds.get(number=1))
    assert first is not None
    assert [
        f"{start:%H:%M}" for start in first.groups.order_by("number").values_list("starts_at", flat=True)
    ] == [
        "09:00",
        "10:30",
    ]
    assert not Moved.objects.filter(round=other).exists()


def test_a_round_that_goes_on_another_day_ends_at_the_stop_and_begins_at_the_restart(
    day: Event, client_as: SignIn
) -> None:
    home, director = f"/desk/{day.slug}/notices/suspension/", client_as(Role.DIRECTOR)
    with time_machine.travel(at("11:00"), tick=False):
        director.post(f"{home}start/", {"cause": "fire", "sounded": "on"})
    stop = Suspension.objects.get()
    with time_machine.travel(at("11:30"), tick=False):
        director.post(f"{home}{stop.pk}/next-day/", {"time": "2026-06-13 08:00", "reason": "smoke"})
    now = at("11:40")
    assert said(day, now)["Round 1, shotgun"] == "09:00–11:00 was until 13:40"
    assert "Round 1, last cards due" not in said(day, now)
    (warning,) = [each for each in run_of(day, day.starts_on, now).warnings if "has ended" in each]
    assert "round 2 is still set for 13:00" in warning
    second = run_of(day, day.ends_on, now).lines
    # The group of 09:40 had 2:40 of 4:00 left to play.
    assert [hours(line) for line in second if line.label == "Round 1 goes on"] == ["08:00–10:40"]
    assert [hours(line) for line in second if line.label == "Round 1, last cards due"] == ["11:10"]
