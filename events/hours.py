"""The line of hours under a drawing of a day. Pure."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

EDGE = 99.0  # percent from which an hour's figures would leave the drawing


@dataclass(frozen=True, slots=True)
class Hour:
    """`x` in percent of the line."""

    x: float
    label: str


@dataclass(frozen=True, slots=True)
class HourLine:
    """From one full hour to another."""

    start: datetime
    end: datetime

    def x(self, moment: datetime) -> float:
        """Where the moment stands, in percent; what lies outside stands at the end that it lies beyond."""
        share = (moment - self.start) / (self.end - self.start)
        return round(min(1.0, max(0.0, share)) * 100, 2)

    def width(self, start: datetime, end: datetime) -> float:
        """Of a span, in percent; never so narrow that it is not seen."""
        return max(0.5, round(self.x(end) - self.x(start), 2))

    def holds(self, moment: datetime) -> bool:
        return self.start <= moment <= self.end

    def hours(
        self, local: Callable[[datetime], datetime] | None = None, *, each: int = 14
    ) -> tuple[Hour, ...]:
        """Every hour of a line of up to `each` hours, every second one of twice that, else every sixth."""
        total = int((self.end - self.start) / timedelta(hours=1))
        step = 1 if total <= each else 2 if total <= 2 * each else 6
        moments = [self.start + timedelta(hours=number) for number in range(0, total + 1, step)]
        return tuple(
            Hour(self.x(moment), f"{local(moment) if local else moment:%H}")
            for moment in moments
            if self.x(moment) < EDGE
        )


def hour_line(moments: Iterable[datetime], local: Callable[[datetime], datetime] | None = None) -> HourLine:
    """From the full hour before the first moment to the one after the last, by the clock of the venue: `local` where
    the moments are not in its zone. Raises ValueError without moments."""
    held = list(moments)
    first, last = _full_hour(min(held), local), _full_hour(max(held), local)
    return HourLine(first, last + timedelta(hours=1))


def _full_hour(moment: datetime, local: Callable[[datetime], datetime] | None) -> datetime:
    clock = local(moment) if local else moment
    return moment - timedelta(minutes=clock.minute, seconds=clock.second, microseconds=clock.microsecond)
