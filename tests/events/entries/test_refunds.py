"""What comes back after a withdrawal, and both choices where the director has one (Competition Manual 2025, 1.03)."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.entries.refunds import Cause, HandlingFeeTooHigh, Refund, RefundOption, pack_can_stand_in, refund
from events.rulebook.loader import in_force
from events.rulebook.values import Override

ZONE = ZoneInfo("America/Denver")
START = datetime(2025, 6, 7, 9, 0, tzinfo=ZONE)
CLOSING = START - timedelta(days=7)
RULES = in_force(date(2025, 6, 7), "north_america")


def back(received: datetime, **more: object) -> Refund:
    facts: dict[str, object] = {"cause": Cause.WITHDRAWAL, "fee_cents": 6000, "closing_at": CLOSING} | more
    return refund(event_start=START, received_at=received, rulebook=RULES, **facts)  # type: ignore[arg-type]


def money(found: Refund) -> list[tuple[int, bool]]:
    return [(option.cents, option.pack) for option in found.options]


def days_before(days: int) -> datetime:
    return START - timedelta(days=days)


class TestNotFilled:
    def test_thirty_days_or_more(self) -> None:
        found = back(days_before(30))

        assert found == Refund(
            (RefundOption(5000, False, "The whole fee less the handling fee"),),
            "30 days or more before the start",
            "Competition Manual 2025, 1.03.C",
            30,
        )

    def test_fifteen_to_twenty_nine_days_is_half_or_the_pack(self) -> None:
        found = back(days_before(29))

        assert found.options == (
            RefundOption(3000, False, "50% of the fee"),
            RefundOption(0, True, "The player pack; its postage may be deducted"),
        )
        assert found.bracket == "15 to 29 days before the start; place not filled"
        assert money(back(days_before(15))) == [(3000, False), (0, True)]

    def test_fourteen_days_or_less_before_the_closing_is_a_quarter_or_the_pack(self) -> None:
        found = back(days_before(14))

        assert money(found) == [(1500, False), (0, True)]
        assert (found.source, found.days) == ("Competition Manual 2025, 1.03.E", 14)

    def test_a_professional_without_a_pack_worth_a_quarter_gets_money(self) -> None:
        assert money(back(days_before(20), pro_without_pack=True)) == [(3000, False)]
        assert money(back(days_before(10), pro_without_pack=True)) == [(1500, False)]

    def test_without_any_pack_there_is_no_choice(self) -> None:
        assert money(back(days_before(20), pack_exists=False)) == [(3000, False)]

    def test_from_the_closing_on_nothing(self) -> None:
        assert money(back(CLOSING - timedelta(seconds=1))) == [(1500, False), (0, True)]
        assert money(back(CLOSING)) == [(0, False)]
        assert back(CLOSING).options[0].text == "Nothing as of right"

    def test_without_a_closing_nothing_from_48_hours_on(self) -> None:
        moment = START - timedelta(hours=48)

        assert money(back(moment - timedelta(seconds=1), closing_at=None)) == [(1500, False), (0, True)]
        assert money(back(moment, closing_at=None)) == [(0, False)]

    def test_a_very_early_closing_does_not_take_the_full_refund_away(self) -> None:
        closing = days_before(60)

        assert money(back(days_before(40), closing_at=closing)) == [(5000, False)]
        assert money(back(days_before(30), closing_at=closing)) == [(5000, False)]
        assert money(back(days_before(29), closing_at=closing)) == [(0, False)]

    def test_after_the_start_nothing(self) -> None:
        assert money(back(START + timedelta(hours=1))) == [(0, False)]


class TestFilled:
    @pytest.mark.parametrize("days", [29, 15, 14, 8])
    def test_the_whole_fee_less_the_handling_fee(self, days: int) -> None:
        found = back(days_before(days), filled_at=days_before(days) + timedelta(hours=1))

        assert money(found) == [(5000, False)]
        assert found.bracket.endswith("; place filled")

    def test_after_the_closing_the_whole_fee_if_filled_more_than_48_hours_before(self) -> None:
        limit = START - timedelta(hours=48)

        early = back(CLOSING, filled_at=limit - timedelta(seconds=1))
        late = back(CLOSING, filled_at=limit)

        assert money(early) == [(6000, False)]
        assert money(late) == [(0, False)]

    def test_at_the_moment_it_was_free_is_possible(self) -> None:
        assert money(back(days_before(20), filled_at=days_before(20))) == [(5000, False)]

    def test_before_it_was_free_is_refused(self) -> None:
        with pytest.raises(ValueError, match="before it was free"):
            back(days_before(20), filled_at=days_before(21))


class TestDays:
    def test_are_calendar_days_at_the_place_of_the_event(self) -> None:
        last_minute = datetime(2025, 5, 8, 23, 59, tzinfo=ZONE)

        assert back(last_minute).days == 30
        assert back(last_minute + timedelta(minutes=1)).days == 29
        assert back(last_minute.astimezone(UTC)).days == 30, "already 9 May by the clock of Greenwich"

    def test_are_not_moved_by_the_change_of_clocks(self) -> None:
        start = datetime(2025, 3, 20, 9, tzinfo=ZONE)
        received = datetime(2025, 2, 18, 0, 30, tzinfo=ZONE)

        found = refund(
            cause=Cause.WITHDRAWAL, fee_cents=6000, event_start=start, received_at=received, rulebook=RULES
        )

        assert (found.days, money(found)) == (30, [(5000, False)])


class TestOtherCauses:
    @pytest.mark.parametrize(
        ("cause", "cents", "section"),
        [
            (Cause.MISSED_CHECK_IN, 0, "1.04.C.1"),
            (Cause.DISQUALIFIED, 0, "3.03.E"),
            (Cause.DIVISION_DROPPED, 6000, "1.03.H"),
            (Cause.EVENT_CANCELLED, 6000, "1.03.I"),
            (Cause.EVENT_POSTPONED, 6000, "1.03.J"),
        ],
    )
    def test_do_not_hang_on_the_day(self, cause: Cause, cents: int, section: str) -> None:
        found = back(days_before(1), cause=cause)

        assert (money(found), found.source) == ([(cents, False)], f"Competition Manual 2025, {section}")
        assert found.days is None

    def test_a_missed_check_in_is_lost_even_if_somebody_takes_the_place(self) -> None:
        found = back(START, cause=Cause.MISSED_CHECK_IN, filled_at=START)

        assert money(found) == [(0, False)]

    def test_after_a_disaster_an_amateur_may_get_the_pack_and_the_rest(self) -> None:
        disaster = {"cause": Cause.EVENT_CANCELLED_DISASTER, "pack_retail_cents": 2500}

        assert money(back(START, **disaster)) == [(6000, False), (3500, True)]
        assert money(back(START, **disaster, professional=True)) == [(6000, False)]
        assert money(back(START, cause=Cause.EVENT_CANCELLED_DISASTER)) == [(6000, False)]
        assert money(back(START, **disaster | {"pack_retail_cents": 9000})) == [(6000, False), (0, True)]


class TestWaitlistFee:
    @pytest.mark.parametrize(
        ("fee", "declared", "cents"),
        [
            (1001, True, 1),
            (1001, False, 1),
            (1000, True, 0),  # the text overlaps here: read as "may be declared non-refundable"
            (1000, False, 1000),
            (500, True, 0),
            (500, False, 500),
            (6000, True, 5000),
        ],
    )
    def test_of_who_never_got_in(self, fee: int, declared: bool, cents: int) -> None:
        found = back(START, cause=Cause.NEVER_GOT_IN, fee_cents=fee, declared_non_refundable=declared)

        assert (money(found), found.source) == ([(cents, False)], "Competition Manual 2025, 1.03.B")

    def test_of_exactly_the_limit_follows_the_reading_in_the_rulebook(self) -> None:
        key = "refund.waitlist_small_fee_includes_limit"
        rules = in_force(date(2025, 6, 7), "north_america", {key: Override(False, "Read the other way")})

        found = refund(
            cause=Cause.NEVER_GOT_IN,
            fee_cents=1000,
            handling_fee_cents=200,
            declared_non_refundable=True,
            event_start=START,
            rulebook=rules,
        )

        assert money(found) == [(800, False)]


class TestHandlingFee:
    def test_is_the_directors_up_to_the_limit(self) -> None:
        assert money(back(days_before(30), handling_fee_cents=0)) == [(6000, False)]
        assert money(back(days_before(30), handling_fee_cents=350)) == [(5650, False)]
        assert back(days_before(30), handling_fee_cents=0).options[0].text == "The whole fee"

    @pytest.mark.parametrize("cents", [1001, -1])
    def test_beyond_the_limit_is_refused(self, cents: int) -> None:
        with pytest.raises(HandlingFeeTooHigh, match=f"between 0 and 1000 cents, not {cents}"):
            back(days_before(30), handling_fee_cents=cents)

    def test_never_makes_a_refund_negative(self) -> None:
        assert money(back(days_before(30), fee_cents=700)) == [(0, False)]


class TestOutsideNorthAmerica:
    def test_the_table_comes_with_a_note(self) -> None:
        there = in_force(date(2025, 6, 7), "elsewhere")

        found = refund(
            cause=Cause.WITHDRAWAL,
            fee_cents=6000,
            event_start=START,
            received_at=days_before(20),
            rulebook=there,
        )

        assert money(found) == [(3000, False), (0, True)]
        assert found.notes == (
            "Outside North America a local refund table may stand in place of this one "
            "(Competition Manual 2025, 6.03.C).",
        )
        assert back(days_before(20)).notes == ()


def test_half_a_cent_goes_to_the_player() -> None:
    assert money(back(days_before(20), fee_cents=3333, pack_exists=False)) == [(1667, False)]


@pytest.mark.parametrize(
    ("professional", "retail", "expected"),
    [(True, 1500, True), (True, 1499, False), (False, 1, True), (False, 0, False)],
)
def test_which_pack_can_stand_in_for_money(professional: bool, retail: int, expected: bool) -> None:
    found = pack_can_stand_in(
        professional=professional, pack_retail_cents=retail, fee_cents=6000, rulebook=RULES
    )

    assert found is expected


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"fee_cents": -1}, "never negative"),
        ({"received_at": None}, "needs the moment"),
        ({"received_at": datetime(2025, 5, 1)}, "time zone"),  # noqa: DTZ001 (naive on purpose)
    ],
)
def test_what_cannot_be_is_refused(more: dict[str, object], words: str) -> None:
    facts: dict[str, object] = {"fee_cents": 6000, "received_at": days_before(20)} | more

    with pytest.raises(ValueError, match=words):
        refund(cause=Cause.WITHDRAWAL, event_start=START, rulebook=RULES, **facts)  # type: ignore[arg-type]


MOMENTS = st.integers(-3, 60 * 24).map(lambda hours: START - timedelta(hours=hours))


@settings(max_examples=200, deadline=None)
@given(
    cause=st.sampled_from(Cause),
    fee=st.integers(0, 50_000),
    received=MOMENTS,
    closing=st.none() | MOMENTS,
    filled_after=st.none() | st.integers(0, 2000),
    handling=st.none() | st.integers(0, 1000),
    flags=st.tuples(*[st.booleans()] * 4),
    retail=st.none() | st.integers(0, 9000),
)
def test_a_refund_never_exceeds_the_fee_and_is_never_negative(
    cause: Cause,
    fee: int,
    received: datetime,
    closing: datetime | None,
    filled_after: int | None,
    handling: int | None,
    flags: tuple[bool, bool, bool, bool],
    retail: int | None,
) -> None:
    found = refund(
        cause=cause,
        fee_cents=fee,
        rulebook=RULES,
        event_start=START,
        received_at=received,
        closing_at=closing,
        filled_at=None if filled_after is None else received + timedelta(hours=filled_after),
        handling_fee_cents=handling,
        pro_without_pack=flags[0],
        pack_exists=flags[1],
        professional=flags[2],
        declared_non_refundable=flags[3],
        pack_retail_cents=retail,
    )

    assert found.options
    assert all(0 <= option.cents <= fee for option in found.options)
    assert all(type(option.cents) is int for option in found.options)


@settings(max_examples=100, deadline=None)
@given(fee=st.integers(2000, 50_000), first=MOMENTS, second=MOMENTS)
def test_an_earlier_withdrawal_never_gets_less(fee: int, first: datetime, second: datetime) -> None:
    earlier, later = sorted((first, second))

    assert back(earlier, fee_cents=fee).options[0].cents >= back(later, fee_cents=fee).options[0].cents
