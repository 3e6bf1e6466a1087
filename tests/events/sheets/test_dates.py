"""Years, days and moments."""

from contextlib import suppress
from datetime import date, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.sheets import dates
from events.sheets.bad import BadValue

_at = datetime.fromisoformat


@pytest.mark.parametrize(
    ("cell", "year"),
    [
        (1984, 1984),
        ("1984", 1984),
        ("'1984", 1984),
        (Decimal("1984.0"), 1984),
        (date(1984, 5, 17), 1984),
        (_at("1984-05-17T12:00:00"), 1984),
        ("1984-05-17", 1984),
        ("17.05.1984", 1984),
        ("05/17/1984", 1984),
        ("", None),
        (None, None),
    ],
)
def test_year_reads(cell: object, year: int | None) -> None:
    assert dates.year(cell) == year


@pytest.mark.parametrize("cell", ["19x4", "84", 84, "198", 30819, "17.05.84", "born 1984", True, "1984-1985"])
def test_year_refuses_with_the_mend(cell: object) -> None:
    with pytest.raises(BadValue) as caught:
        dates.year(cell)
    assert caught.value.mend == "write four digits, as 1984"


def test_year_names_the_value() -> None:
    with pytest.raises(BadValue) as caught:
        dates.year("19x4")
    assert caught.value.problem == "'19x4' is not a year"


def test_year_outside_the_bounds() -> None:
    with pytest.raises(BadValue, match="'2031' is not a year between 1900 and 2025"):
        dates.year("2031", latest=2025)


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        (date(2025, 3, 14), date(2025, 3, 14)),
        (_at("2025-03-14T09:30:00"), date(2025, 3, 14)),
        ("2025-03-14", date(2025, 3, 14)),
        ("2025/3/14", date(2025, 3, 14)),
        ("20250314", date(2025, 3, 14)),
        ("14.3.2025", date(2025, 3, 14)),
        ("3.4.2025", date(2025, 4, 3)),
        ("14. 3. 2025", date(2025, 3, 14)),
        ("14/03/2025", date(2025, 3, 14)),
        ("03/14/2025", date(2025, 3, 14)),
        ("5/5/2025", date(2025, 5, 5)),
        ("14 Mar 2025", date(2025, 3, 14)),
        ("14-Mar-2025", date(2025, 3, 14)),
        ("March 14, 2025", date(2025, 3, 14)),
        ("Mar 14th, 2025", date(2025, 3, 14)),
        ("Friday, March 14, 2025", date(2025, 3, 14)),
        ("2025-03-14 09:30", date(2025, 3, 14)),
        ("2025-03-14T09:30:11.250Z", date(2025, 3, 14)),
        (45730, date(2025, 3, 14)),
        ("45730", date(2025, 3, 14)),
        (Decimal("45730.4"), date(2025, 3, 14)),
        ("", None),
        (None, None),
    ],
)
def test_date_reads(cell: object, day: date | None) -> None:
    assert dates.date(cell) == day


@pytest.mark.parametrize(("order", "day"), [("dmy", date(2025, 4, 3)), ("mdy", date(2025, 3, 4))])
@pytest.mark.parametrize("written", ["03/04/2025", "3-4-2025", "03 04 2025"])
def test_the_order_decides_where_figures_do_not(written: str, order: dates.DateOrder, day: date) -> None:
    assert dates.date(written, order=order) == day


def test_dots_mean_day_first_whatever_the_order() -> None:
    assert dates.date("03.04.2025", order="mdy") == date(2025, 4, 3)


def test_an_unclear_order_is_a_question() -> None:
    with pytest.raises(BadValue) as caught:
        dates.date("03/04/2025")
    assert caught.value.unclear
    assert caught.value.problem == "'03/04/2025' can be 2025-04-03 or 2025-03-04"
    assert caught.value.mend == "choose the order of day and month for this file"


@pytest.mark.parametrize(
    ("cell", "problem", "mend"),
    [
        ("14.3.25", "'14.3.25' has a year of two digits", "write the year with four digits, as 2025-03-14"),
        ("31.2.2025", "'31.2.2025' is no day of the calendar", "write it as 2025-03-14"),
        ("T" * 100_000, f"'{'T' * 59}…' is not a date", "write it as 2025-03-14"),
        ("soon", "'soon' is not a date", "write it as 2025-03-14"),
        ("14 Foo 2025", "'14 Foo 2025' is not a date", "write it as 2025-03-14"),
        (2025, "'2025' is a year, not a day", "write the month and day too, as 2025-12-31"),
        ("2025", "'2025' is a year, not a day", "write the month and day too, as 2025-12-31"),
        (7, "'7' is not a date", "write it as 2025-03-14"),
        (True, "'yes' is not a date", "write it as 2025-03-14"),
        ("1.1.1850", "'1.1.1850' is not between 1900 and 2100", "write it as 2025-03-14"),
    ],
)
def test_date_refuses_with_a_mend(cell: object, problem: str, mend: str) -> None:
    with pytest.raises(BadValue) as caught:
        dates.date(cell)
    assert (caught.value.problem, caught.value.mend, caught.value.unclear) == (problem, mend, False)


def test_a_month_that_the_order_does_not_have() -> None:
    with pytest.raises(BadValue, match="is no day of the calendar"):
        dates.date("03/25/2025", order="dmy")


@pytest.mark.parametrize(
    ("cell", "moment"),
    [
        (_at("2025-03-14T09:30:00"), _at("2025-03-14T09:30:00")),
        (date(2025, 3, 14), _at("2025-03-14T00:00:00")),
        ("2025-03-14 09:30", _at("2025-03-14T09:30:00")),
        ("14.03.2025, 9:30:05", _at("2025-03-14T09:30:05")),
        ("3/14/2025 9:30 PM", _at("2025-03-14T21:30:00")),
        ("3/14/2025 12:05 a.m.", _at("2025-03-14T00:05:00")),
        ("2025-03-14T09:30:05.123Z", _at("2025-03-14T09:30:05+00:00")),
        ("2025-03-14 09:30+0200", _at("2025-03-14T09:30:00+02:00")),
        (Decimal("45730.5"), _at("2025-03-14T12:00:00")),
        (None, None),
    ],
)
def test_moment_reads(cell: object, moment: datetime | None) -> None:
    assert dates.moment(cell) == moment


def test_moment_refuses_a_time_that_no_day_has() -> None:
    with pytest.raises(BadValue, match="has no such time of day"):
        dates.moment("2025-03-14 27:30")


@given(st.dates(date(1900, 1, 1), date(2100, 12, 31)))
def test_every_day_survives_every_clear_notation(day: date) -> None:
    assert dates.date(day.isoformat()) == day
    assert dates.date(f"{day.day}.{day.month}.{day.year}") == day
    assert dates.date(f"{day.day}/{day.month}/{day.year}", order="dmy") == day
    assert dates.date(f"{day.month}/{day.day}/{day.year}", order="mdy") == day
    assert dates.date(day.strftime("%d %b ") + str(day.year)) == day
    assert dates.year(day.isoformat()) == day.year


@given(
    st.text(max_size=24) | st.integers(-(10**9), 10**9) | st.decimals(allow_nan=False, allow_infinity=False)
)
def test_any_cell_is_a_value_or_a_bad_value(cell: object) -> None:
    for converter in (dates.year, dates.date, dates.moment):
        with suppress(BadValue):
            assert isinstance(converter(cell), int | date | None)
