"""A stop in words: where to go, what the time rests on, and how the words change when the clock is over."""

from datetime import datetime

import pytest

import build
from events.safety.models import Suspension
from events.safety.readings import note_lightning
from events.safety.stop_words import Place, StopShown, holes_words, places_in, stop_shown
from events.safety.stopped import stop_now
from events.safety.suspending import name_restart, sound_horn, suspend
from events.setup.models import Event


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2026-06-12T{clock}:00+00:00")


@pytest.fixture
def suspension(event: Event) -> Suspension:
    return suspend(
        event=event,
        cause="lightning",
        words="",
        where_to_go="Clubhouse: holes 1 to 6; Your closed car",
        signalled_at=at("14:00"),
        sounded=True,
        groups=[],
        actor=build.ACTOR,
        now=at("14:00"),
    )


def shown(event: Event, clock: str) -> StopShown:
    stop = stop_now(event)
    assert stop is not None
    return stop_shown(stop, event, at(clock))


@pytest.mark.parametrize(
    ("holes", "words"),
    [
        (("Upper 1", "Upper 2", "Upper 3", "Upper 9"), "holes 1 to 3, 9"),
        (("Upper 7",), "hole 7"),
        (("Upper 1", "Upper 2"), "holes 1, 2"),
        (("Upper 4", "Lower 4"), "hole 4"),
        (("Upper 12A", "Upper 12B"), "holes 12A, 12B"),
        (("Lower 1", "Upper 7", "Upper 8", "Upper 9"), "Lower 1, Upper 7 to 9"),
        (("Long North 3",), "hole 3"),
    ],
)
def test_holes_are_said_as_runs(holes: tuple[str, ...], words: str) -> None:
    assert holes_words(holes) == words


def test_places_stand_between_semicolons_or_on_lines() -> None:
    assert places_in("Clubhouse: holes 1 to 6; Your closed car\nBarn:hole 9;") == (
        Place("Clubhouse", "holes 1 to 6"),
        Place("Your closed car", ""),
        Place("Barn", "hole 9"),
    )


def test_a_stop_says_what_its_time_rests_on(event: Event, suspension: Suspension) -> None:
    said = shown(event, "14:05")
    assert (said.label, f"{said.restart:%H:%M}", said.rests) == (
        "earliest restart",
        "14:30",
        "30 minutes after the signal at 14:00.",
    )
    assert said.signals == "Signal given 14:00."
    assert said.newest == ""
    assert said.moves == "Every further strike within 15 miles, and any thunder, moves it."
    assert said.sounds == "Two blasts: two minutes. One long blast: play."


def test_it_says_the_newest_evidence_in_the_events_units(event: Event, suspension: Suspension) -> None:
    note_lightning(
        event=event,
        kind="strike",
        typed="9 mi",
        source="strike service",
        seen_at="",
        actor=build.ACTOR,
        now=at("14:07"),
    )
    assert shown(event, "14:08").newest == "strike at 14.5 km, strike service"
    Event.objects.filter(pk=event.pk).update(units="ft")
    event.refresh_from_db()
    assert shown(event, "14:08").newest == "strike at 9.0 mi, strike service"


def test_no_restart_is_promised_once_the_clock_is_over(event: Event, suspension: Suspension) -> None:
    said = shown(event, "14:30")
    assert (said.passed, said.label) == (True, "no restart before the long blast; the clock stood at")


def test_a_named_restart_says_who_named_it(event: Event, suspension: Suspension) -> None:
    name_restart(suspension=suspension, restart_at=at("14:45"), reason="", actor=build.ACTOR, now=at("14:05"))
    said = shown(event, "14:06")
    assert said.label == "restart"
    assert said.rests == "Named by Tester. Earliest 14:30: 30 minutes after the signal at 14:00."
    name_restart(
        suspension=suspension,
        restart_at=at("14:20"),
        reason="siren test",
        actor=build.ACTOR,
        now=at("14:06"),
    )
    said = shown(event, "14:07")
    assert (said.label, said.rests) == ("restart, as the director decides", "Named by Tester: siren test.")


def test_the_signals_are_said_with_their_times(event: Event, suspension: Suspension) -> None:
    sound_horn(suspension=suspension, signal="stop_again", actor=build.ACTOR, now=at("14:01"))
    assert shown(event, "14:02").signals == "Signal given 14:00, repeated 14:01."
