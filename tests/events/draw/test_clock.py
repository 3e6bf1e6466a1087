"""When the tee sheet is due: Competition Manual 2025, 1.06.K (12 hours and 60 minutes as the rulebook has them)."""

from datetime import UTC, datetime

from events.draw.clock import Due, sheet_due


def at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 6, day, hour, minute, tzinfo=UTC)


def due(first, ended) -> Due | None:
    return sheet_due(first, ended, hours=12, minutes=60)


def test_the_first_round_is_due_twelve_hours_before_the_first_tee_time():
    assert due({"MPO": at(12, 9), "MA1": at(12, 8, 30)}, None) == Due(at(11, 20, 30), "MA1", ())


def test_on_the_same_day_an_hour_after_the_round_before_is_later():
    ended = {"MPO": at(12, 13, 15), "MA1": at(12, 12, 40)}
    assert due({"MPO": at(12, 15), "MA1": at(12, 14, 30)}, ended) == Due(at(12, 13, 40), "MA1", ())


def test_overnight_twelve_hours_before_the_start_are_later():
    assert due({"MPO": at(13, 9)}, {"MPO": at(12, 13)}) == Due(at(12, 21), "MPO", ())


def test_a_division_whose_round_goes_on_is_waited_for():
    ended = {"MPO": None, "MA1": at(12, 12)}
    assert due({"MPO": at(12, 15), "MA1": at(12, 15)}, ended) == Due(at(12, 13), "MA1", ("MPO",))
    assert due({"MPO": at(12, 15)}, ended) == Due(None, "", ("MPO",))


def test_a_division_that_did_not_play_the_round_before_waits_for_nothing():
    assert due({"MPO": at(12, 15)}, {"MA1": None}) == Due(at(12, 3), "MPO", ())


def test_without_tee_times_there_is_no_hour():
    assert due({}, None) is None
