"""Evidence, the restart clock and the horn: what resets, what does not, and clocks that change meanwhile."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rulebook.loader import in_force
from events.safety.lightning import Strike, Thunder, judged, lightning_set
from events.safety.restart import (
    RESUME,
    STOP,
    TWO_MINUTES,
    next_call,
    restart_clock,
    restart_rule,
    resume_calls,
    stop_calls,
)
from events.safety.triggers import UnknownSet

BOOK = in_force(date(2026, 6, 14), "north_america")
RULE = restart_rule(BOOK)
ANY = lightning_set(BOOK)
COUNT = lightning_set(BOOK, "thirty_thirty")
SIGNAL = datetime(2026, 6, 14, 14, 0, tzinfo=UTC)


def minutes(number: float) -> datetime:
    return SIGNAL + timedelta(minutes=number)


def test_the_first_set_offered_is_the_sport_s_with_any_thunder():
    assert (ANY.key, ANY.thunder, round(ANY.strike_m)) == ("sport_and_thunder", "any", 24140)


def test_an_unknown_set_names_those_that_there_are():
    with pytest.raises(UnknownSet, match="there are sport, sport_and_thunder, thirty_thirty"):
        lightning_set(BOOK, "mine")


def test_after_a_stop_thunder_of_any_count_resets_the_30_30_clock():
    far = Thunder(minutes(10), 55)

    assert judged(far, COUNT).counts is False
    assert judged(far, COUNT, stopped=True).counts is True
    assert restart_clock(SIGNAL, [far], COUNT, RULE).earliest == minutes(40)


def test_what_does_not_count_is_kept_with_its_reason():
    clock = restart_clock(SIGNAL, [Strike(minutes(5), 40_000)], ANY, RULE)

    assert [(each.counts, each.why) for each in clock.counted] == [
        (False, "strike at 24.9 miles, beyond 15 miles")
    ]
    assert clock.sentence == "30 minutes after the signal at 14:00"


def test_the_sentence_names_the_event_that_the_clock_rests_on():
    strike = Strike(minutes(7), 19_312.128)
    clock = restart_clock(SIGNAL, [strike, Strike(minutes(-2), 14_484)], ANY, RULE)

    assert clock.last == strike
    assert clock.sentence == (
        "30 minutes after the last event that counts: strike at 12.0 miles, within 15 miles, at 14:07"
    )


def test_play_stopped_for_another_cause_rests_on_the_signal_alone():
    clock = restart_clock(SIGNAL, [Strike(minutes(20), 100)], None, RULE)

    assert (clock.earliest, clock.counted, len(clock.sources)) == (minutes(30), (), 1)


def test_thirty_minutes_are_thirty_minutes_while_the_clocks_go_back():
    zone = ZoneInfo("Europe/Helsinki")
    signal = datetime(2026, 10, 25, 0, 50, tzinfo=UTC).astimezone(
        zone
    )  # 03:50, ten minutes before it is 3 again
    clock = restart_clock(signal, [Strike(signal + timedelta(0), 100)], ANY, RULE)

    assert clock.earliest.astimezone(UTC) == datetime(2026, 10, 25, 1, 20, tzinfo=UTC)
    assert clock.earliest.isoformat(timespec="minutes") == "2026-10-25T03:20+02:00"
    assert clock.warning.isoformat(timespec="minutes") == "2026-10-25T03:18+02:00"


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(-60, 240), st.integers(0, 60_000), st.booleans()), max_size=8),
    st.randoms(),
)
def test_order_does_not_matter_and_more_evidence_never_makes_it_earlier(found, random):
    evidence = [
        Thunder(minutes(at), far % 100) if thunder else Strike(minutes(at), far) for at, far, thunder in found
    ]
    shuffled = random.sample(evidence, len(evidence))
    clock = restart_clock(SIGNAL, evidence, ANY, RULE)

    assert restart_clock(SIGNAL, shuffled, ANY, RULE) == clock
    assert minutes(30) <= restart_clock(SIGNAL, evidence[1:], ANY, RULE).earliest <= clock.earliest
    near = [e.at for e in evidence if isinstance(e, Thunder) or e.distance_m <= ANY.strike_m]
    assert clock.earliest == max([SIGNAL, *near]) + timedelta(minutes=30)


def test_the_prompter_goes_through_the_signals():
    calls = [*stop_calls(SIGNAL, RULE), *resume_calls(minutes(30), RULE)]

    said = []
    sounded: list[str] = []
    while (call := next_call(calls, sounded)) is not None:
        said.append((call.words, call.due))
        sounded.append(call.signal)
    assert said == [
        ("Stop play: three blasts.", SIGNAL),
        ("Stop play, again: three blasts.", minutes(1)),
        ("Two minutes: two blasts.", minutes(28)),
        ("Resume play: one long blast.", minutes(30)),
    ]


def test_nobody_is_told_to_stop_again_after_the_two_minute_signal():
    calls = [*stop_calls(SIGNAL, RULE), *resume_calls(minutes(30), RULE)]

    assert next_call(calls, {STOP, TWO_MINUTES}).signal == RESUME
    assert next_call(calls, {STOP, TWO_MINUTES, RESUME}) is None
