"""When those who help play themselves, and when their divisions do."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime

from events.draw.models import Seat, Sheet
from events.entries.models import Entry, Status
from events.logistics.crew.models import Helper
from events.logistics.play import RoundTimes, Span, Start, end_of
from events.setup.models import Event

GONE = (Status.WITHDRAWN, Status.DID_NOT_PLAY, Status.DID_NOT_FINISH, Status.DISQUALIFIED)
Out = Mapping[int, int]  # entry id → after which round somebody plays no more
OutOf = Callable[[Event], Out]  # known on a floor above: whom a cut has put out


def nobody_out(event: Event) -> Out:
    return {}


def played_by(
    event: Event, helpers: Iterable[Helper], times: Mapping[int, RoundTimes], out_of: OutOf
) -> tuple[dict[int, list[Span]], dict[int, list[Span]]]:
    """Entry id → when they play, and entry id → when anybody of their division does (1 query, and those of
    `out_of`; none where nobody plays).

    Who has left the event or was disqualified plays no more, and no division is theirs. Who missed a cut plays no
    more either, but has a place among the others, who play on.
    """
    entries = [helper.entry for helper in helpers if helper.entry is not None]
    playing = [entry for entry in entries if entry.status not in GONE]
    if not playing:
        return {}, {}
    seated, out = _seats(event, playing), out_of(event)
    return (
        {entry.pk: _of_entry(entry, times, seated, out) for entry in playing},
        {entry.pk: _of_division(entry.division_id, times) for entry in playing},
    )


def _of_entry(
    entry: Entry, times: Mapping[int, RoundTimes], seated: Mapping[tuple[int, int], datetime], out: Out
) -> list[Span]:
    """A player without a seat on a published sheet does not play that round."""
    found = []
    for round_id, clock in times.items():
        if clock.number > out.get(entry.pk, clock.number):
            continue
        starts = clock.of_division(entry.division_id)
        if clock.published is not None:
            starts = [start for start in starts if start.written == seated.get((entry.pk, round_id))]
        found += _spans(starts, clock)
    return found


def _seats(event: Event, entries: Sequence[Entry]) -> dict[tuple[int, int], datetime]:
    """Entry id and round id → when the group starts, of the sheets that are out."""
    seats = Seat.objects.filter(
        sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED, entry__in=entries
    )
    rows = seats.values_list("entry_id", "sheet__round_id", "group__starts_at")
    return {(entry, round_id): moment for entry, round_id, moment in rows}


def _of_division(division: int, times: Mapping[int, RoundTimes]) -> list[Span]:
    return [span for clock in times.values() for span in _spans(clock.of_division(division), clock)]


def _spans(starts: Sequence[Start], clock: RoundTimes) -> list[Span]:
    if not starts:
        return []
    first = min(start.moment for start in starts)
    return [Span(first, max(end_of(start, clock.stops) for start in starts))]
