"""The dated duties and the tier table, row by row, for an event of each tier inside and outside North America.

Every expected date below was counted by hand from the published figure that its comment names.
"""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from events.logistics.countdown.dating import Duty, dated
from events.logistics.countdown.duties import rules_for
from events.logistics.countdown.planned import DivisionTimes, EventPlan, RoundPlan
from events.rulebook.loader import in_force

pytestmark = pytest.mark.published

NA, OUT = "north_america", "elsewhere"
TIERS = ("worlds", "major", "elite", "A", "B", "C", "league")
FIRST, LAST = date(2025, 6, 13), date(2025, 6, 15)  # a Friday to a Sunday
HERE, THERE = in_force(FIRST, NA), in_force(FIRST, OUT)


def at(day: int, hour: int, minute: int = 0, month: int = 6) -> datetime:
    return datetime(2025, month, day, hour, minute, tzinfo=UTC)


def _round(number: int, day: int, *, ended: datetime | None) -> RoundPlan:
    """MPO goes out at 9:00 by tee times, FPO at 13:00 by shotgun; both are expected back five hours later."""
    return RoundPlan(
        number=number,
        first=at(day, 9),
        ends=at(day, 18),
        divisions={
            "MPO": DivisionTimes(at(day, 9), tee_times=True, before_ends=ended),
            "FPO": DivisionTimes(at(day, 13), tee_times=False, before_ends=ended),
        },
        shotguns=(at(day, 13),),
    )


PLAN = EventPlan(
    zone=UTC,
    first_day=FIRST,
    last_day=LAST,
    registration_opens=at(1, 18, month=3),
    registration_closes=at(6, 20),
    checkin_opens=at(13, 7),
    rounds=(
        _round(1, 13, ended=None),
        _round(2, 14, ended=at(13, 18)),
        _round(3, 15, ended=at(14, 22)),
    ),
)


def duties(tier: str, region: str, plan: EventPlan = PLAN) -> dict[str, Duty]:
    book = in_force(plan.first_day, region)
    return {duty.key: duty for duty in dated(plan, rules_for(book, tier, len(plan.rounds)), book)}


def due(tier: str, region: str, key: str) -> Any:
    """The date of a duty; "none" where the tier does not owe it."""
    found = duties(tier, region).get(key)
    return "none" if found is None else found.due


@pytest.mark.parametrize(
    ("tier", "region", "expected"),
    [
        ("worlds", NA, "none"),
        ("major", NA, "none"),
        ("elite", NA, "none"),
        ("A", NA, date(2024, 12, 1)),  # 1 December of the year before
        ("B", NA, date(2025, 4, 29)),  # 45 days
        ("C", NA, date(2025, 5, 14)),  # 30 days, recommended
        ("league", NA, date(2025, 5, 14)),  # 30 days, recommended
        ("A", OUT, date(2025, 3, 15)),  # 90 days
        ("B", OUT, date(2025, 5, 14)),  # 30 days
        ("C", OUT, date(2025, 5, 30)),  # 14 days
        ("league", OUT, None),  # no figure was found
    ],
)
def test_agreement(tier: str, region: str, expected: Any) -> None:
    """Competition Manual 2025, 5.05; outside the United States and Canada 6.03 (table of 2024)."""
    assert due(tier, region, "agreement") == expected


def test_the_agreement_of_a_c_tier_is_recommended_inside_north_america() -> None:
    """Competition Manual 2025, 5.05."""
    assert [duties(tier, NA)["agreement"].rule.force for tier in ("A", "B", "C", "league")] == [
        "must",
        "must",
        "should",
        "should",
    ]


@pytest.mark.parametrize("region", [NA, OUT])
@pytest.mark.parametrize("tier", TIERS)
def test_before_the_opening(tier: str, region: str) -> None:
    """Competition Manual 2025, 1.02.C.1.b (48 hours), 1.02.C and 1.08.A (before registration opens)."""
    assert due(tier, region, "exceptions") == at(27, 18, month=2)
    assert due(tier, region, "caps") == at(1, 18, month=3)
    assert due(tier, region, "cut") == ("none" if tier == "league" else at(1, 18, month=3))


@pytest.mark.parametrize("tier", TIERS)
def test_refund_brackets(tier: str) -> None:
    """Competition Manual 2025, 1.03.C to F. Outside North America countries set their own (6.03.C)."""
    keys = ("refund_full", "refund_half", "closing_date", "closing", "refund_none")
    assert [due(tier, NA, key) for key in keys] == [
        date(2025, 5, 14),  # 30 days before
        date(2025, 5, 29),  # 15 days before
        date(2025, 6, 6),  # a week before is recommended
        at(6, 20),
        at(11, 9),  # 48 hours before the first start
    ]
    assert [due(tier, OUT, key) for key in keys] == ["none"] * 5


@pytest.mark.parametrize("region", [NA, OUT])
@pytest.mark.parametrize("tier", TIERS)
def test_check_in_notice(tier: str, region: str) -> None:
    """Competition Manual 2025, 1.04.D: 48 hours; check-in is required at A and B, suggested elsewhere (1.04.A)."""
    notice = duties(tier, region)["check_in_notice"]

    assert notice.due == at(11, 7)
    assert notice.rule.force == ("should" if tier in {"C", "league"} else "must")


@pytest.mark.parametrize(
    ("tier", "expected"),
    [
        ("worlds", date(2025, 6, 9)),
        ("major", date(2025, 6, 10)),
        ("elite", date(2025, 6, 10)),
        ("A", date(2025, 6, 12)),
        ("B", "none"),
        ("C", "none"),
        ("league", "none"),
    ],
)
def test_tournament_format(tier: str, expected: Any) -> None:
    """Competition Manual 2025, 5.03.A and 5.05: 4, 3, 3 days and 1 day before the event."""
    assert due(tier, NA, "tournament_format") == expected
    assert ("practice_day" in duties(tier, NA)) == (expected != "none")


def test_official_practice_day_has_six_hours_of_daylight() -> None:
    """Competition Manual 2025, 5.03.C to E."""
    assert HERE.int("venue.practice_daylight_hours") == THERE.int("venue.practice_daylight_hours") == 6


@pytest.mark.parametrize("region", [NA, OUT])
@pytest.mark.parametrize("tier", TIERS)
def test_restroom(tier: str, region: str) -> None:
    """Competition Manual 2025, 5.03.G: 60 minutes before the day's first tee time; C and above, not leagues. Outside
    North America B and above, C recommended."""
    found = [due(tier, region, f"restroom/day{day}") for day in (1, 2, 3)]

    assert found == (["none"] * 3 if tier == "league" else [at(13, 8), at(14, 8), at(15, 8)])
    if tier == "C":
        force = duties(tier, region)["restroom/day1"].rule.force
        assert force == ("must" if region == NA else "should")


@pytest.mark.parametrize("region", [NA, OUT])
@pytest.mark.parametrize("tier", TIERS)
def test_tee_sheets(tier: str, region: str) -> None:
    """Competition Manual 2025, 1.06.K: the later of 12 hours before a division's first tee time and one hour after its
    round before; a shotgun has no tee times."""
    found = {key: duty.due for key, duty in duties(tier, region).items() if key.startswith("tee_sheet/")}

    assert found == {
        "tee_sheet/1/MPO": at(12, 21),  # 12 hours before 9:00
        "tee_sheet/2/MPO": at(13, 21),  # the round before ended at 18:00, an hour later is earlier
        "tee_sheet/3/MPO": at(14, 23),  # the round before ended at 22:00
    }


@pytest.mark.parametrize("tier", TIERS)
def test_starter_and_signals(tier: str) -> None:
    """Competition Manual 2025, 1.04.E, F: 5 minutes, required at an A-tier; 1.05.B.1: two minutes before a shotgun."""
    found = duties(tier, NA)

    assert [found[f"starter/{number}"].due for number in (1, 2, 3)] == [
        at(day, 8, 55) for day in (13, 14, 15)
    ]
    assert found["starter/1"].rule.force == ("must" if tier == "A" else "should")
    assert found["two_minutes/1/1"].due == at(13, 12, 58)


@pytest.mark.parametrize("region", [NA, OUT])
@pytest.mark.parametrize("tier", TIERS)
def test_course_rules_weather_plan_and_payout(tier: str, region: str) -> None:
    """Competition Manual 2025, 5.03.H and I (before play), 1.10.D (before the last round, from two rounds on)."""
    assert due(tier, region, "course_rules") == due(tier, region, "weather_plan") == at(13, 9)
    assert due(tier, region, "payout_posted") == at(15, 9)


def test_an_event_of_one_round_posts_no_payout() -> None:
    """Competition Manual 2025, 1.10.D, as we read it: from two rounds on."""
    assert "payout_posted" not in duties("B", NA, replace(PLAN, rounds=PLAN.rounds[:1]))


@pytest.mark.parametrize(
    ("tier", "expected"),
    [
        (
            "worlds",
            {"scores_round/1": at(13, 18), "scores_round/2": at(14, 18), "scores_round/3": at(15, 18)},
        ),
        ("major", {"scores_round/1": at(13, 18), "scores_round/2": at(14, 18), "scores_round/3": at(15, 18)}),
        ("elite", {"scores_round/1": at(13, 18), "scores_round/2": at(14, 18), "scores_round/3": at(15, 18)}),
        ("A", {"scores_round/1": at(13, 18), "scores_round/2": at(14, 18), "scores_round/3": at(15, 18)}),
        ("B", {f"scores_day/day{n}": date(2025, 6, 12 + n) for n in (1, 2, 3)}),
        ("C", {"scores_event": at(17, 0)}),
        (
            "league",
            {"scores_league/1": at(14, 18), "scores_league/2": at(15, 18), "scores_league/3": at(16, 18)},
        ),
    ],
)
def test_score_upload(tier: str, expected: dict[str, Any]) -> None:
    """Competition Manual 2025, 5.05: each round; each day; 24 hours after the event; 24 hours after the round."""
    found = {key: duty.due for key, duty in duties(tier, NA).items() if key.startswith("scores_")}
    assert found == expected


@pytest.mark.parametrize(
    ("tier", "report", "fees"),
    [
        ("worlds", at(17, 0), "none"),  # 24 hours after the end of Sunday
        ("major", at(17, 0), "none"),
        ("elite", at(17, 0), date(2025, 7, 15)),
        ("A", at(18, 0), date(2025, 7, 15)),  # 48 hours; 30 days
        ("B", at(19, 0), date(2025, 7, 15)),  # 72 hours
        ("C", at(23, 0), date(2025, 7, 15)),  # a week
        ("league", at(23, 0), date(2025, 7, 15)),
    ],
)
def test_report_and_fees(tier: str, report: datetime, fees: Any) -> None:
    """Competition Manual 2025, 5.05."""
    assert (due(tier, NA, "report"), due(tier, NA, "fees")) == (report, fees)


@pytest.mark.parametrize(("tier", "report"), [("A", at(18, 0)), ("B", at(19, 0)), ("C", at(23, 0))])
def test_report_elsewhere(tier: str, report: datetime) -> None:
    """Competition Manual 2025, 6.03: 48 and 72 hours and a week. No date for fees was found there."""
    assert (due(tier, OUT, "report"), due(tier, OUT, "fees")) == (report, None)


def test_ninety_days_late() -> None:
    """Competition Manual 2025, 5.07.B: counted from the day on which report and fees were due."""
    assert due("B", NA, "report_late") == date(2025, 9, 17)
    assert due("B", NA, "fees_late") == date(2025, 10, 13)


@pytest.mark.parametrize("region", [NA, OUT])
@pytest.mark.parametrize("tier", TIERS)
def test_payout_and_unclaimed_prizes(tier: str, region: str) -> None:
    """Competition Manual 2025, 1.10.G: two business days, thirty days."""
    assert due(tier, region, "e_payout") == date(2025, 6, 17)  # Sunday, Monday, Tuesday
    assert due(tier, region, "unclaimed") == date(2025, 7, 15)


def test_common_practice_says_so() -> None:
    """Usual tasks have no source, or advice without a day; none passes for a rule."""
    usual = [duty for duty in duties("C", NA).values() if duty.rule.force == "usual"]

    assert len(usual) == 18
    assert {duty.rule.source.trust for duty in usual} == {"common practice", "inferred"}
    assert all(not duty.rule.source.document.startswith("Competition Manual") for duty in usual)


# ------------------------------------------------------------------ the tier table itself


def test_rows_of_the_table_in_north_america() -> None:
    """Competition Manual 2025, 5.05; 5.05.B and C, 5.03.A."""
    assert HERE.table("tier.sanction_fee_cents") == {
        "worlds": 0, "major": 0, "elite": 0, "A": 10000, "B": 7500, "C": 5000, "league": 2500,
    }  # fmt: skip
    assert {tier: (days["from"], days["to"]) for tier, days in _tables("tier.event_days").items()} == {
        "worlds": (4, 5), "major": (4, 5), "elite": (3, 4), "A": (2, 3), "B": (1, 2), "C": (1, 2),
    }  # fmt: skip
    assert dict(HERE.table("tier.league_weeks")) == {"from": 6, "to": 10}
    assert HERE.table("tier.agreement_due_days") == {"B": 45, "C": 30, "league": 30}
    assert HERE.table("tier.tournament_format_days") == {"worlds": 4, "major": 3, "elite": 3, "A": 1}
    assert HERE.table("tier.fees_due_days") == dict.fromkeys(("elite", "A", "B", "C", "league"), 30)
    assert HERE.table("prize.added_cents") == {"elite": 3_000_000, "A": 300_000, "B": 75_000, "C": 0}
    assert HERE.table("prize.pack_cents") == {"A": 2500, "B": 1000}
    assert {tier: tuple(miles.values()) for tier, miles in _tables("tier.miles_between").items()} == {
        "major": (750, 200, 150), "elite": (500, 175, 100), "A": (200, 100, 50), "B": (100, 50, 25), "C": (50, 25, 0),
    }  # fmt: skip
    assert HERE.int("tier.late_days") == 90


NOBODY_PLAYS = "director and assistant do not play; one official who does not play for each course"
CHAMPIONSHIP = "championship class, one design"
STAGGERED = ("tee times", "shotgun")


@pytest.mark.parametrize(
    ("tier", "membership", "starts", "officials", "targets"),
    [
        ("worlds", "current and certified official", STAGGERED, NOBODY_PLAYS, CHAMPIONSHIP),
        ("major", "current and certified official", STAGGERED, NOBODY_PLAYS, CHAMPIONSHIP),
        ("elite", "current and certified official", STAGGERED, NOBODY_PLAYS, CHAMPIONSHIP),
        ("A", "current", STAGGERED, NOBODY_PLAYS, CHAMPIONSHIP),
        # Whether director and assistant may play at a B-tier is not clear in the translation.
        (
            "B",
            "current",
            STAGGERED,
            "director and assistant do not play; one official for each course",
            "standard class or better",
        ),
        (
            "C",
            "current or temporary fee",
            (*STAGGERED, "flex"),
            "one official for each course",
            "basic class or better",
        ),
        (
            "league",
            "none",
            (*STAGGERED, "flex"),
            "one official for each course",
            "basic class or better, or objects",
        ),
    ],
)
def test_who_and_what_a_tier_asks_for(
    tier: str, membership: str, starts: tuple[str, ...], officials: str, targets: str
) -> None:
    """Competition Manual 2025, 5.05 and 5.05.B."""
    assert HERE.text(f"membership.needed.{tier}") == membership
    assert HERE.words(f"start.types.{tier}") == starts
    assert HERE.text(f"tier.officials.{tier}") == officials
    assert HERE.text(f"tier.targets.{tier}") == targets


def test_the_temporary_fee() -> None:
    """Competition Manual 2025, 5.05: $15 at a C-tier, not for juniors; abroad there is none (6.03.A)."""
    assert HERE.int("membership.temporary_fee_cents") == 1500
    assert HERE.words("membership.junior_exempt_tiers") == ("C",)
    assert not THERE.has("membership.temporary_fee_cents")


def test_what_is_to_be_known_stands_beside_its_duty() -> None:
    """Competition Manual 2025, 5.05 and 5.05.B, C; 5.03.E; 6.03."""

    def beside(tier: str, region: str, key: str) -> dict[str, str]:
        return {each.label: each.words for each in duties(tier, region)[key].rule.beside}

    miles = "Miles to another event of the same days, by its tier"
    assert beside("A", NA, "agreement") == {"Days of play": "2 to 3", miles: "A 200, B 100, C 50"}
    assert beside("C", OUT, "agreement") == {}
    assert beside("A", NA, "tournament_format") == {"Targets": CHAMPIONSHIP}
    assert beside("C", NA, "usual_helpers") == {"Officials": "one official for each course"}
    assert beside("C", OUT, "usual_helpers") == {"Officials": "one for the event"}
    assert beside("A", OUT, "practice_day") == {"Hours of daylight, at least": "6"}


@pytest.mark.parametrize(
    ("closes", "half"),
    [
        (at(6, 20), date(2025, 5, 29)),  # as in the bracket: 15 days before
        (at(25, 20, month=5), at(25, 20, month=5)),  # 19 days before: after it nothing is owed, 1.03.F
    ],
)
def test_an_early_closing_ends_the_brackets(closes: datetime, half: Any) -> None:
    """Competition Manual 2025, 1.03.D and F: after the published closing nothing comes back by right."""
    found = duties("C", NA, replace(PLAN, registration_closes=closes))
    assert (found["refund_full"].due, found["refund_half"].due) == (date(2025, 5, 14), half)
    assert found["refund_none"].due == at(11, 9)
    assert found["refund_none"].rule.what == "From now nothing comes back, even if the place is filled"


def test_rows_of_the_table_elsewhere() -> None:
    """Competition Manual 2025, 6.03 (table of 2024)."""
    assert THERE.table("tier.agreement_due_days") == {"A": 90, "B": 30, "C": 14}
    assert THERE.table("tier.officials") == {
        "A": "one for each course; the director does not play",
        "B": "one for each course; the director should not play",
        "C": "one for the event",
    }
    assert not THERE.has("tier.fees_due_days.A")


def _tables(key: str) -> dict[str, Any]:
    return dict(HERE.table(key))


@pytest.mark.parametrize(("players", "trophies"), [(1, 0), (2, 1), (4, 1), (5, 2), (12, 2), (13, 3), (40, 3)])
def test_trophies(players: int, trophies: int) -> None:
    """Competition Manual 2025, 2.06.C: 1 player none, 2 to 4 one, 5 to 12 two, 13 and more three."""
    rows = [row for row in HERE.rows("prize.trophies") if int(str(row["from"])) <= players]
    assert rows[-1]["trophies"] == trophies
