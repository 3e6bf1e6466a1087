"""Stopping play and going on: what is written, what is refused, what moves."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

import build
import build_cards
from desk.above_the_safety import ABOVE_SAFETY
from desk.day import day_of
from events.draw.models import Group, Sheet
from events.draw.services import reopen
from events.log.models import Act
from events.safety.models import HornSound, Notice, Position, Suspension
from events.safety.penalties import penalise
from events.safety.readings import note_lightning
from events.safety.resuming import cancel_round, end_for_today, new_start, resume
from events.safety.stopped import Stop, stop_now
from events.safety.suspending import (
    RestartTooEarly,
    SuspensionRefused,
    name_restart,
    note_position,
    sound_horn,
    suspend,
)
from events.setup.models import Event, Round
from scoring.cards.models import CardLine, Ruling, StandingLine

SIGNAL = datetime.fromisoformat("2026-06-12T14:00:00+00:00")


def at(clock: str) -> datetime:
    hour, minute = clock.split(":")
    return SIGNAL.replace(hour=int(hour), minute=int(minute))


@pytest.fixture
def round_(event: Event) -> Round:
    """Three groups: on the course at 14:00 since 13:00, since 13:50, and to start at 14:10."""
    round_ = event.rounds.get(number=1)
    field = build_cards.make_field(event, 9)
    sheet = build_cards.publish(round_, [field[:3], field[3:6], field[6:]])
    for number, clock in ((1, "13:00"), (2, "13:50"), (3, "14:10")):
        Group.objects.filter(sheet=sheet, number=number).update(starts_at=at(clock))
    build_cards.save(round_, 1, [build_cards.line(entry, [3, 3, 4, 3, *[None] * 14]) for entry in field[:3]])
    return round_


def stop(event: Event, clock: str = "14:00", **facts: Any) -> Suspension:
    facts = {
        "cause": "lightning",
        "words": "",
        "where_to_go": "",
        "signalled_at": at(clock),
        "sounded": True,
        "groups": ABOVE_SAFETY.groups(event, at(clock)),
        "now": at(clock),
        **facts,
    }
    return suspend(event=event, actor=build.ACTOR, **facts)


def strike(event: Event, clock: str, miles: int) -> None:
    note_lightning(
        event=event,
        kind="strike",
        typed=f"{miles} mi",
        source="strike service",
        seen_at="",
        actor=build.ACTOR,
        now=at(clock),
    )


def standing(event: Event) -> Stop:
    found = stop_now(event)
    assert found is not None
    return found


def next_signal(event: Event, clock: str) -> tuple[str, str]:
    call = standing(event).next_at(at(clock))
    assert call is not None
    return call.signal, f"{call.due:%H:%M}"


def go_on(event: Event, suspension: Suspension, clock: str, **facts: Any) -> list[Sheet]:
    facts = {"mode": "move_times", "sounded": True, "reason": "", **facts}
    return resume(
        suspension=suspension,
        groups=ABOVE_SAFETY.groups(event, at(clock)),
        actor=build.ACTOR,
        now=at(clock),
        **facts,
    )


def starts(round_: Round) -> list[str]:
    groups = Group.objects.filter(sheet__round=round_, sheet__state=Sheet.State.PUBLISHED).order_by("number")
    return [f"{group.starts_at:%a %H:%M}" for group in groups]


def test_a_stop_posts_its_notice_keeps_positions_and_logs(event: Event, round_: Round) -> None:
    suspension = stop(event)
    notice = Notice.objects.get()
    assert (notice.kind, notice.title, notice.suspension) == ("suspended", "Play is suspended", suspension)
    stood = [(p.group_number, p.hole_label, p.holes_played, p.source) for p in Position.objects.all()]
    assert stood == [(1, "5", 4, "scores"), (2, "", None, "scores")]  # not known is not the first hole
    acts = list(Act.objects.order_by("number").values_list("action", flat=True))
    assert acts[-3:] == ["notice.posted", "play.suspended", "play.horn"]
    assert HornSound.objects.get().sounded_at == SIGNAL


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"cause": "boredom"}, "Choose why play stops."),
        (
            {"signalled_at": at("14:05")},
            "The signal is still to come: leave the time empty, and sound it now.",
        ),
        ({"signalled_at": at("01:05")}, "That is more than twelve hours ago: write the time as 14:05."),
    ],
)
def test_a_stop_that_cannot_be_is_refused(event: Event, facts: dict[str, Any], words: str) -> None:
    with pytest.raises(SuspensionRefused) as refused:
        stop(event, **facts)
    assert str(refused.value) == words
    assert Notice.objects.count() == 0


def test_there_is_one_stop_at_a_time(event: Event) -> None:
    stop(event)
    with pytest.raises(SuspensionRefused, match=r"^Play is suspended already\.$"):
        stop(event, "14:01")


def test_each_event_that_counts_moves_the_earliest_restart(event: Event) -> None:
    stop(event)
    assert f"{standing(event).restart:%H:%M}" == "14:30"
    strike(event, "14:07", 12)
    assert f"{standing(event).restart:%H:%M}" == "14:37"
    strike(event, "14:21", 18)
    assert f"{standing(event).restart:%H:%M}" == "14:37"


def test_lightning_counts_in_a_stop_for_another_cause(event: Event) -> None:
    stop(event, cause="wind")
    strike(event, "14:15", 9)
    assert f"{standing(event).restart:%H:%M}" == "14:45"


def test_the_clock_counts_from_the_signal_that_was_sounded(event: Event) -> None:
    suspension = stop(event, sounded=False)
    assert next_signal(event, "14:00") == ("stop", "14:00")
    sound_horn(suspension=suspension, signal="stop", actor=build.ACTOR, now=at("14:02"))
    assert f"{standing(event).clock.signal:%H:%M}" == "14:02"
    assert f"{standing(event).restart:%H:%M}" == "14:32"
    assert next_signal(event, "14:02") == ("stop_again", "14:03")
    assert next_signal(event, "14:31") == ("two_minutes", "14:30")  # what was left out is not in the way


def test_the_two_minutes_are_sounded_anew_when_the_clock_was_moved(event: Event) -> None:
    suspension = stop(event)
    with pytest.raises(SuspensionRefused, match=r"^The two minutes are sounded at 14:28, not before\.$"):
        sound_horn(suspension=suspension, signal="two_minutes", actor=build.ACTOR, now=at("14:20"))
    sound_horn(suspension=suspension, signal="two_minutes", actor=build.ACTOR, now=at("14:28"))
    assert next_signal(event, "14:28") == ("resume", "14:30")
    strike(event, "14:29", 4)
    assert next_signal(event, "14:29") == ("two_minutes", "14:57")


def test_a_restart_before_the_earliest_needs_a_reason_and_falls_to_the_next_event(event: Event) -> None:
    suspension = stop(event)
    named = {"suspension": suspension, "restart_at": at("14:20"), "actor": build.ACTOR, "now": at("14:05")}
    with pytest.raises(RestartTooEarly):
        name_restart(reason=" ", **named)
    name_restart(reason="false alarm, the siren was a test", **named)
    assert (standing(event).early, f"{standing(event).restart:%H:%M}") == (True, "14:20")
    assert Act.objects.order_by("number").last().reason == "false alarm, the siren was a test"  # type: ignore[union-attr]
    strike(event, "14:10", 3)
    after = standing(event)
    assert (after.early, after.overtaken, f"{after.restart:%H:%M}") == (False, True, "14:40")


def test_a_later_restart_stands_until_an_event_overtakes_it(event: Event) -> None:
    suspension = stop(event)
    name_restart(suspension=suspension, restart_at=at("14:45"), reason="", actor=build.ACTOR, now=at("14:05"))
    assert (standing(event).named, f"{standing(event).restart:%H:%M}") == (True, "14:45")
    strike(event, "14:40", 3)
    assert (standing(event).overtaken, f"{standing(event).restart:%H:%M}") == (True, "15:10")


def test_going_on_moves_starts_that_were_to_come_and_keeps_scores(event: Event, round_: Round) -> None:
    suspension = stop(event)
    scores = list(CardLine.objects.order_by("pk").values_list("entry", "throws", "current"))
    (sheet,) = go_on(event, suspension, "14:52")
    assert (sheet.version, sheet.reason) == (2, "play suspended 14:00–14:52: lightning")
    assert starts(round_) == ["Fri 13:00", "Fri 13:50", "Fri 15:02"]
    assert sheet.notes == [
        "Play suspended 14:00–14:52: lightning.",
        "Group 1 goes on from hole 5.",
        "Group 2 goes on from where it stood, which is not written down.",
    ]
    assert list(CardLine.objects.order_by("pk").values_list("entry", "throws", "current")) == scores
    states = dict(Notice.objects.values_list("kind", "withdrawn_at"))
    assert states == {"suspended": at("14:52"), "resumed": None}
    assert Sheet.objects.get(round=round_, version=1).state == "superseded"
    assert stop_now(event) is None


def test_as_you_were_moves_only_starts_before_the_restart(event: Event, round_: Round) -> None:
    suspension = stop(event)
    go_on(event, suspension, "14:52", mode="as_you_were")
    assert starts(round_) == ["Fri 13:00", "Fri 13:50", "Fri 14:52"]


def test_before_the_restart_play_goes_on_only_with_a_reason(event: Event, round_: Round) -> None:
    suspension = stop(event)
    with pytest.raises(RestartTooEarly, match=r"^The earliest restart is 14:30: "):
        go_on(event, suspension, "14:29")
    go_on(event, suspension, "14:29", reason="false alarm")
    act = Act.objects.get(action="play.resumed")
    assert (act.reason, act.detail["before it, the director decides"]) == ("false alarm", True)


def test_an_open_draft_follows_and_stays_a_draft(event: Event, round_: Round) -> None:
    reopen(round=round_, actor=build.ACTOR, now=build.NOW)
    suspension = stop(event)
    go_on(event, suspension, "14:52")
    draft = Sheet.objects.get(round=round_, state=Sheet.State.DRAFT)
    assert draft.version == 3
    assert f"{draft.groups.get(number=3).starts_at:%H:%M}" == "15:02"


def test_a_round_goes_on_tomorrow_with_the_same_distances(event: Event, round_: Round) -> None:
    suspension = stop(event)
    groups = ABOVE_SAFETY.groups(event, at("18:00"))
    facts = {"suspension": suspension, "reason": "dark", "actor": build.ACTOR, "now": at("18:00")}
    with pytest.raises(SuspensionRefused, match="a later day"):
        end_for_today(restart_at=at("20:00"), groups=groups, **facts)
    with pytest.raises(SuspensionRefused, match=r"1\.09\.D"):
        end_for_today(restart_at=at("08:00") + timedelta(days=2), groups=groups, **facts)
    before = ABOVE_SAFETY.groups(event, at("14:00"))
    end_for_today(restart_at=at("08:00") + timedelta(days=1), groups=before, **facts)
    assert starts(round_) == ["Fri 13:00", "Fri 13:50", "Sat 08:10"]
    suspension.refresh_from_db()
    assert suspension.ended == "next_day"
    assert Position.objects.count() == 2


def test_a_round_that_is_not_finished_says_why(event: Event, round_: Round) -> None:
    suspension = stop(event)
    with pytest.raises(SuspensionRefused, match=r"^Say why the round is not finished\.$"):
        cancel_round(suspension=suspension, reason="", actor=build.ACTOR, now=at("18:00"))
    cancel_round(suspension=suspension, reason="flooded", actor=build.ACTOR, now=at("18:00"))
    assert Notice.objects.filter(withdrawn_at=None).get().kind == "cancelled"
    assert Sheet.objects.filter(round=round_).count() == 1


def test_a_position_by_hand_takes_the_place_of_what_was_known(event: Event, round_: Round) -> None:
    suspension = stop(event)
    group = ABOVE_SAFETY.groups(event, at("14:05"))[1]
    facts = {"suspension": suspension, "group": group, "actor": build.ACTOR, "now": at("14:05")}
    with pytest.raises(SuspensionRefused, match=r"^Group 2 plays no hole 44\.$"):
        note_position(hole_label="44", note="", **facts)
    note_position(hole_label="3", note="two lies marked", **facts)
    (sheet,) = go_on(event, suspension, "14:52")
    assert sheet.notes[-1] == "Group 2 goes on from hole 3 (two lies marked)."


def test_playing_on_costs_two_throws_beside_the_card_once(event: Event, round_: Round) -> None:
    suspension = stop(event)
    group = ABOVE_SAFETY.groups(event, at("14:05"))[0]
    player = group.players[0][0]
    facts = {
        "suspension": suspension,
        "group": group,
        "entry_id": player,
        "what": "on",
        "hole_label": "4",
        "above": ABOVE_SAFETY,
        "actor": build.ACTOR,
        "now": at("14:05"),
    }
    with pytest.raises(SuspensionRefused, match="evidence"):
        penalise(evidence="", **facts)
    penalise(evidence="marshal on hole 4", **facts)
    ruling = Ruling.objects.get()
    assert (ruling.throws, ruling.hole_label, ruling.rule) == (2, "4", "Competition Manual 2025, 1.07.H")
    assert StandingLine.objects.get(entry=player).total == 3 + 3 + 4 + 3 + 2
    with pytest.raises(Exception, match="already"):
        penalise(evidence="again", **facts)


def test_a_start_moves_by_whole_minutes(event: Event, round_: Round) -> None:
    waiting = ABOVE_SAFETY.groups(event, at("14:00"))[2]
    restart = at("14:52") + timedelta(seconds=20)
    assert new_start(waiting, "move_times", SIGNAL, restart) == at("15:03")
    assert new_start(waiting, "as_you_were", SIGNAL, restart) == at("14:53")


@pytest.mark.parametrize("events", [1, 3])
def test_reading_a_stop_takes_the_same_queries(
    event: Event, django_assert_num_queries: Callable[..., Any], events: int
) -> None:
    with django_assert_num_queries(1):
        stop_now(event)
    stop(event)
    for minute in range(events):
        strike(event, f"14:0{minute + 1}", 5)
    with django_assert_num_queries(5):  # the stop, overrides, chosen sets, evidence, signals
        stop_now(event)


def test_the_day_page_says_first_that_play_is_suspended(event: Event, round_: Round) -> None:
    suspension = stop(event)
    (first, *_) = day_of(event, at("14:28")).todo
    assert (first.text, first.when) == (
        "Play is suspended: lightning; Two minutes: two blasts.",
        "restart 14:30",
    )
    cancel_round(suspension=suspension, reason="flooded", actor=build.ACTOR, now=at("18:00"))
    (first, *_) = day_of(event, at("18:01")).todo
    assert first.text == "A round was not finished: choose what counts"
