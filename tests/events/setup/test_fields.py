"""Money as it is typed, and wall-clock times at the venue with both changes of the clocks."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError

from events.setup.fields import DaysField, MoneyField, WallClockField, at_venue
from events.setup.figures import cents_from, typed_money

OSLO = ZoneInfo("Europe/Oslo")


@pytest.mark.parametrize(
    ("text", "cents"),
    [
        ("45", 4500),
        ("45.5", 4550),
        ("45,50", 4550),
        (" $ 45.05 ", 4505),
        ("€0", 0),
        ("0.01", 1),
        ("1234567", 123456700),
    ],
)
def test_amounts(text, cents):
    assert cents_from(text) == cents


@pytest.mark.parametrize("text", ["", "-5", "1,250", "45.505", "4.5.0", "forty", "12345678", "4 USD"])
def test_what_is_no_amount_is_refused(text):
    with pytest.raises(ValueError, match="Write an amount as 45"):
        cents_from(text)


@pytest.mark.parametrize("cents", [0, 1, 10, 99, 100, 4550, 123456700])
def test_what_is_shown_can_be_typed(cents):
    assert cents_from(typed_money(cents)) == cents


def test_an_empty_amount_is_unknown_unless_told_otherwise():
    assert MoneyField(required=False).clean("") is None
    assert MoneyField(required=False, empty=0).clean(" ") == 0
    assert MoneyField().clean("0") == 0
    with pytest.raises(ValidationError, match="required"):
        MoneyField().clean("")


def test_an_amount_typed_otherwise_is_no_change():
    field = MoneyField()

    assert not field.has_changed(4500, "45.00")
    assert field.has_changed(4500, "45.01")
    assert field.has_changed(4500, "forty")


def test_a_wall_clock_is_read_and_refused():
    field = WallClockField(required=False)

    assert field.clean("2026-06-12T07:00") == datetime(2026, 6, 12, 7, 0)  # noqa: DTZ001
    assert field.clean("") is None
    with pytest.raises(ValidationError, match="Write a date and time"):
        field.clean("Friday")


def test_the_hour_that_comes_twice_is_the_first_of_both():
    wall = datetime(2026, 10, 25, 2, 30)  # noqa: DTZ001

    assert at_venue(wall, OSLO) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_the_hour_that_is_skipped_is_refused():
    with pytest.raises(ValidationError, match="does not exist"):
        at_venue(datetime(2026, 3, 29, 2, 30), OSLO)  # noqa: DTZ001


def test_midnight():
    assert at_venue(datetime(2026, 6, 12), OSLO) == datetime(2026, 6, 11, 22, 0, tzinfo=UTC)  # noqa: DTZ001


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "UTC", "America/Chicago"])
@pytest.mark.parametrize("wall", [datetime.min, datetime.max, datetime(1949, 12, 31), datetime(2200, 1, 1)])  # noqa: DTZ001, DTZ901
def test_a_year_that_is_a_slip_of_the_keys_is_refused_and_never_an_error(wall, zone):
    with pytest.raises(ValidationError, match="between 1950 and 2199"):
        at_venue(wall, ZoneInfo(zone))


def test_days_off_are_typed_in_any_order_and_shown_as_they_can_be_typed():
    field = DaysField(required=False)
    days = field.clean("2026-12-26, 2026-12-25;2026-12-25")
    assert days == ["2026-12-25", "2026-12-26"]
    assert field.prepare_value(days) == "2026-12-25, 2026-12-26"
    assert field.clean("") == []
    assert not field.has_changed(days, "2026-12-26 2026-12-25")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("25.12.2026", "25.12.2026 is not a day"),
        ("2026-02-30", "2026-02-30 is not a day"),
        ("1066-10-14", "1950 to 2199"),
    ],
)
def test_what_is_no_day_off_is_said(typed, said):
    with pytest.raises(ValidationError, match=said):
        DaysField(required=False).clean(typed)
