"""When those who help play themselves, and when their divisions do."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from events.draw.models import Pool, Seat, Sheet
from events.logistics.crew.models import Helper
from events.logistics.crew.windows import RoundTimes, Span, end_of
from events.setup.models import Event

ByDivision = Mapping[int, Mapping[int, list[datetime]]]  # round id → division id → starts


@dataclass(frozen=True, slots=True)
class _Draws:
    """What is known of the starts: the drawn ones of a published sheet, else those of the pools, else of the plan."""

    times: Mapping[int, RoundTimes]
    drawn: ByDivision
    pools: ByDivision
    own: Mapping[int, Mapping[int, datetime]]  # entry id → round id → start

    def of_division(self, division: int) -> list[Span]:
        found = ((clock, self._starts(round_id, clock, division)) for round_id, clock in self.times.items())
        return [_span(starts, clock) for clock, starts in found if starts]

    def of_entry(self, entry: int, division: int) -> list[Span]:
        """A player without a seat on a published sheet does not play that round."""
        found = []
        for round_id, clock in self.times.items():
            start = self.own.get(entry, {}).get(round_id)
            if start is not None:
                found.append(_span([start], clock))
            elif round_id not in self.drawn and (starts := self._starts(round_id, clock, division)):
                found.append(_span(starts, clock))
        return found

    def _starts(self, round_id: int, clock: RoundTimes, division: int) -> Sequence[datetime]:
        for known in (self.drawn, self.pools):
            if round_id in known:
                return known[round_id].get(division, [])
        return clock.starts


def _span(starts: Sequence[datetime], clock: RoundTimes) -> Span:
    return Span(min(starts), max(end_of(start, clock.length, clock.stops) for start in starts))


def played_by(
    event: Event, helpers: Iterable[Helper], times: Mapping[int, RoundTimes]
) -> tuple[dict[int, list[Span]], dict[int, list[Span]]]:
    """Entry id → when they play, and division id → when it plays (2 queries; none where nobody who helps plays)."""
    entries = {helper.entry.pk: helper.entry.division_id for helper in helpers if helper.entry is not None}
    if not entries:
        return {}, {}
    draws = _draws(event, times)
    return (
        {entry: draws.of_entry(entry, division) for entry, division in entries.items()},
        {division: draws.of_division(division) for division in set(entries.values())},
    )


def _draws(event: Event, times: Mapping[int, RoundTimes]) -> _Draws:
    drawn: dict[int, dict[int, list[datetime]]] = defaultdict(lambda: defaultdict(list))
    own: dict[int, dict[int, datetime]] = defaultdict(dict)
    seats = Seat.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
    rows = seats.values_list("sheet__round_id", "entry_id", "entry__division_id", "group__starts_at")
    for round_id, entry, division, start in rows:
        drawn[round_id][division].append(start)
        own[entry][round_id] = start
    pools: dict[int, dict[int, list[datetime]]] = defaultdict(lambda: defaultdict(list))
    planned = Pool.objects.filter(round__event=event, retired=False, divisions__isnull=False)
    for round_id, division, start in planned.values_list("round_id", "divisions", "first_start_at"):
        pools[round_id][division].append(start)
    return _Draws(times, drawn, pools, own)
