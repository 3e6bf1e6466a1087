"""Until when prizes are paid or claimed (Competition Manual 2025, 1.10.G). Pure."""

from collections.abc import Collection
from datetime import date, timedelta


def business_days_after(day: date, days: int, *, off: Collection[date] = ()) -> date:
    """The last day of a span of business days: Monday to Friday without `off`, as holidays differ by place."""
    while days > 0:
        day += timedelta(days=1)
        days -= day.weekday() < 5 and day not in off
    return day


def claimed_until(last_day: date, days: int) -> date:
    """The last day on which a prize can still be claimed; from the next one it is forfeited."""
    return last_day + timedelta(days=days)
