"""Dates of duties: they move with the event, and hours are hours that pass."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.logistics.countdown.dating import NOTHING_KNOWN, Duty, dated, is_past
from events.logistics.countdown.duties import rules_for
from events.logistics.countdown.planned import DivisionTimes, EventPlan, RoundPlan
from events.rulebook.deadlines import business_days_after
from events.rulebook.loader import in_force
from events.rulebook.values import Override

FIRST = date(2026, 6, 12)
TIERS = ("worlds", "major", "elite", "A", "B", "C", "league")
REGIONS = ("north_america", "elsewhere")


def plan_on(first: date, zone: tzinfo = UTC) -> EventPlan:
    """Two rounds on two days from 9:00, MA1 at tee times and FA1 by shotgun, all moments set."""

    def at(days: int, hour: int) -> datetime:
        day = first + timedelta(days=days)
        return datetime(day.year, day.month, day.day, hour, tzinfo=zone)

    def round_(number: int, before: datetime | None) -> RoundPlan:
        times = DivisionTimes(at(number - 1, 9), tee_times=True, before_ends=before)
        divisions = {"MA1": times, "FA1": replace(times, tee_times=False)}
        return RoundPlan(number, at(number - 1, 9), at(number - 1, 14), divisions, (at(number - 1, 9),))

    return EventPlan(
        zone=zone,
        first_day=first,
        last_day=first + timedelta(days=1),
        registration_opens=at(-90, 18),
        registration_closes=at(-7, 20),
        checkin_opens=at(0, 7),
        rounds=(round_(1, None), round_(2, at(0, 14))),
    )


def dates(plan: EventPlan, tier: str, region: str) -> dict[str, Duty]:
    book = in_force(plan.first_day, region)
    return {duty.key: duty for duty in dated(plan, rules_for(book, tier, len(plan.rounds)), book)}


@settings(max_examples=50)
@given(st.integers(-300, 300).filter(bool), st.sampled_from(TIERS), st.sampled_from(REGIONS))
def test_a_moved_event_moves_every_dated_duty(days: int, tier: str, region: str) -> None:
    """By as many days. A span of business days ends on a working day; 1 December is a day of the calendar."""
    before = dates(plan_on(FIRST), tier, region)
    moved_to = FIRST + timedelta(days=days)
    after = dates(plan_on(moved_to), tier, region)

    assert before.keys() == after.keys()
    for key, duty in before.items():
        due = after[key].due
        if duty.rule.fixed is not None:
            assert due == date(moved_to.year - 1, 12, 1)
        elif duty.rule.business:
            assert due == business_days_after(moved_to + timedelta(days=1), 2)
        elif duty.due is None:
            assert due is None
            assert duty.no_date == NOTHING_KNOWN
        else:
            assert due == duty.due + timedelta(days=days), key


@given(st.sampled_from(TIERS), st.sampled_from(REGIONS))
def test_every_duty_has_a_date_once_the_event_is_planned_or_says_that_none_is_published(
    tier: str, region: str
) -> None:
    without = {key for key, duty in dates(plan_on(FIRST), tier, region).items() if duty.due is None}
    # Found nowhere: agreement of a league, fees of an elite event or less and what follows them, outside North America.
    assert without <= {"agreement", "fees", "fees_late"}
    assert without == set() or region == "elsewhere"


def test_hours_are_hours_that_pass_when_the_clocks_change() -> None:
    """Clocks in Chicago go forward on 8 March 2026: 48 hours before Monday 7:00 is Saturday 6:00."""
    zone = ZoneInfo("America/Chicago")
    notice = dates(plan_on(date(2026, 3, 9), zone), "B", "north_america")["check_in_notice"]

    assert notice.due == datetime(2026, 3, 7, 6, 0, tzinfo=zone)


@pytest.mark.parametrize(
    ("now", "past"),
    [
        (datetime(2026, 6, 13, 3, 59, tzinfo=UTC), False),  # 23:59 on the 12th in New York
        (datetime(2026, 6, 13, 4, 0, tzinfo=UTC), True),
    ],
)
def test_a_day_ends_at_midnight_of_the_place(now: datetime, past: bool) -> None:
    assert is_past(FIRST, now, ZoneInfo("America/New_York")) is past


@pytest.mark.parametrize(
    ("last_day", "due"),
    [
        (date(2026, 6, 12), date(2026, 6, 16)),  # Friday: Monday, Tuesday
        (date(2026, 6, 13), date(2026, 6, 16)),
        (date(2026, 6, 14), date(2026, 6, 16)),
        (date(2026, 6, 15), date(2026, 6, 17)),
    ],
)
def test_business_days(last_day: date, due: date) -> None:
    assert business_days_after(last_day, 2) == due


@pytest.mark.parametrize(
    ("off", "due"),
    [
        (["2026-06-15"], date(2026, 6, 17)),  # the Monday is a holiday: Tuesday, Wednesday
        (["2026-06-13", "2026-06-14"], date(2026, 6, 16)),  # a weekend is no business day anyway
        (["2026-06-15", "2026-06-16", "2026-06-17"], date(2026, 6, 19)),
    ],
)
def test_business_days_pass_over_the_days_off_and_say_so(off: list[str], due: date) -> None:
    days = frozenset(date.fromisoformat(day) for day in off)
    plan = replace(plan_on(date(2026, 6, 12)), days_off=days)  # to Saturday 13 June
    found = next(
        duty
        for duty in dated(
            plan, rules_for(in_force(FIRST, "north_america"), "B", 2), in_force(FIRST, "north_america")
        )
        if duty.rule.business
    )
    assert found.due == due
    counted = dict(found.working)["counted"]
    assert "Public holidays are not known" in counted
    assert ("Mon 15 June 2026" in counted) == ("2026-06-15" in off)


def test_what_is_not_set_gives_no_date_and_says_so() -> None:
    bare = EventPlan(zone=UTC, first_day=FIRST, last_day=FIRST)
    found = dates(bare, "B", "north_america")

    assert (found["caps"].due, found["caps"].no_date) == (None, "when registration opens is not set")
    assert (found["course_rules"].due, found["course_rules"].no_date) == (None, "no round is planned yet")
    assert not any(key.startswith(("tee_sheet", "restroom", "scores_day")) for key in found)


def test_the_working_shows_what_it_is_counted_from_and_the_figures_source() -> None:
    notice = dates(plan_on(FIRST), "B", "north_america")["check_in_notice"]

    assert notice.working == (
        ("check-in opens", "Fri 12 June 2026 07:00"),
        ("before it", "48 hours"),
        ("the figure", "Competition Manual 2025, 1.04.D"),
        (
            "note",
            "What check-in asks of players is sent to them at least this long before the first check-in time.",
        ),
        ("due", "Wed 10 June 2026 07:00"),
    )


def test_a_directors_own_figure_moves_the_duty() -> None:
    overrides = {"check_in.notice_hours": Override(72, "people come from far away")}
    book = in_force(FIRST, "north_america", overrides)
    found = {duty.key: duty for duty in dated(plan_on(FIRST), rules_for(book, "B", 2), book)}

    assert found["check_in_notice"].due == datetime(2026, 6, 9, 7, tzinfo=UTC)
    assert ("note", "Set by the director for this event: people come from far away") in found[
        "check_in_notice"
    ].working


def test_the_report_counts_from_the_declaration_once_the_event_is_over() -> None:
    over = datetime(2026, 6, 13, 18, 30, tzinfo=UTC)
    found = dates(replace(plan_on(FIRST), over_at=over), "B", "north_america")

    assert found["report"].due == over + timedelta(hours=72)
    assert found["report_late"].due == date(2026, 6, 16) + timedelta(days=90)
