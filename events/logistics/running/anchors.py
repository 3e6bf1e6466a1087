"""The moments of a day that others hang on: check-in, the starts of each round, its expected end. Pure, in UTC."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from events.logistics.play import Span, Start, Stop, end_of

CHECKIN_OPENS, CHECKIN_CLOSES = "checkin_opens", "checkin_closes"
DAY_BEGINS, DAY_ENDS = "day_begins", "day_ends"
FIRST_START, LAST_START, ROUND_END = "first_start", "last_start", "round_end"
CLOCK, FIXED = "clock", "fixed"

OF_THE_DAY: Mapping[str, str] = {
    CLOCK: "the clock; a delay moves it",
    FIXED: "the clock; nothing moves it",
    DAY_BEGINS: "the day’s first check-in or start",
    CHECKIN_OPENS: "check-in opens",
    CHECKIN_CLOSES: "check-in closes",
    DAY_ENDS: "the expected end of play",
}
OF_A_ROUND: Mapping[str, str] = {
    FIRST_START: "first start",
    LAST_START: "last start",
    ROUND_END: "expected end",
}
ANCHORS: Mapping[str, str] = {**OF_THE_DAY, **OF_A_ROUND}

Anchor = tuple[str, int]  # its name and the number of the round, 0 for the day's own


@dataclass(frozen=True, slots=True)
class Played:
    """A round as far as it is played on this day. `begins`, `ends`: given where a round goes on from another day, or
    stops for today; else they come from the starts. `starts`: of this day alone. `given_up`: it is not finished."""

    number: int
    starts: tuple[Start, ...]
    stops: tuple[Stop, ...] = ()
    begins: datetime | None = None
    ends: datetime | None = None
    given_up: bool = False

    @property
    def moments(self) -> tuple[datetime, ...]:
        return tuple(sorted({start.moment for start in self.starts}))

    @property
    def shotgun(self) -> bool:
        """Everybody starts together with others: nobody has a tee time."""
        return bool(self.starts) and not any(start.tee_times for start in self.starts)

    @property
    def mixed(self) -> bool:
        return len({start.tee_times for start in self.starts}) > 1

    @property
    def span(self) -> Span | None:
        begins = self.begins or min(self.moments, default=None)
        if begins is None:
            return None
        ends = self.ends or max((end_of(start, self.stops) for start in self.starts), default=begins)
        return Span(begins, max(begins, ends))


def anchors_of(
    rounds: Sequence[Played], *, opens: datetime | None, closes: datetime | None
) -> dict[Anchor, datetime]:
    """Every moment of the day that is known; `opens` and `closes` are those of a check-in on this day."""
    found: dict[Anchor, datetime] = {}
    for round_ in rounds:
        if round_.span is None:
            continue
        found[ROUND_END, round_.number] = round_.span.ends
        if round_.starts:
            found[FIRST_START, round_.number] = round_.moments[0]
            found[LAST_START, round_.number] = round_.moments[-1]
    spans = [round_.span for round_ in rounds if round_.span is not None]
    if opens is not None:
        found[CHECKIN_OPENS, 0] = opens
    if closes is not None:
        found[CHECKIN_CLOSES, 0] = closes
    begins = [span.starts for span in spans] + ([opens] if opens is not None else [])
    if begins:
        found[DAY_BEGINS, 0] = min(begins)
    if spans:
        found[DAY_ENDS, 0] = max(span.ends for span in spans)
    return found
