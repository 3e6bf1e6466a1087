"""Reading when each round is played: by its tee sheet, else by its pools, else by the plan, and with the stops of play.

The countdown, the shifts and the run of a day all read it here, so that none of them knows another clock.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from django.db.models import Count

from events.course.models import LayoutHole, LayoutUse
from events.course.round_length import MINUTES_KEY, round_length
from events.draw.models import Delay, Pool, Seat, Sheet
from events.logistics.play import RoundTimes, Start, Stop, given_up, projected
from events.rulebook.loader import Rulebook
from events.safety.models import Notice, Suspension
from events.safety.stopped import stop_of
from events.setup.models import Division, Event, Round, StartType
from events.setup.queries import rulebook_for

Held = Mapping[int, list[Start]]  # round id → starts


@dataclass(frozen=True, slots=True)
class PlayingTimes:
    """`rounds`, by id, as they stand; `written`: without what a stop that lasts will move. `typed`: the delays that
    stand, `stops` with them among the stops of play, in their order."""

    rounds: dict[int, RoundTimes]
    written: dict[int, RoundTimes]
    stops: tuple[Stop, ...]
    typed: tuple[Delay, ...]


def playing_times(event: Event, now: datetime | None = None, book: Rulebook | None = None) -> PlayingTimes:
    """10 queries, 1 less with a rulebook in hand; 3 more while play is suspended, 1 more where it goes on another day.

    Without `now` a stop that lasts counts for nothing; with it, up to the restart that stands.
    """
    book = book or rulebook_for(event)
    starts = _Starts(event, book.int(MINUTES_KEY))
    typed = tuple(Delay.objects.filter(event=event, taken_back_at__isnull=True).order_by("since", "pk"))
    stops = (
        *_stops(event, now, book),
        *(Stop(row.since, row.until, row.reason, typed=True) for row in typed),
    )
    stops = tuple(sorted(stops, key=lambda stop: stop.since))
    sheets = Sheet.objects.filter(round__event=event, state=Sheet.State.PUBLISHED)
    published = dict(sheets.values_list("round_id", "published_at"))
    written = {
        round_.pk: RoundTimes(
            number=round_.number,
            starts=starts.of(round_),
            stops=stops,
            checkin_opens=event.checkin_opens_at,
            checkin_closes=event.checkin_closes_at,
            published=published.get(round_.pk),
        )
        for round_ in Round.objects.filter(event=event).select_related("event").order_by("number")
    }
    ahead = projected(written, stops, event.zone)
    return PlayingTimes(given_up(ahead, stops, event.zone), written, stops, typed)


class _Starts:
    """Everything that says when a division starts (5 queries)."""

    def __init__(self, event: Event, minutes_18_holes: int) -> None:
        self.minutes = minutes_18_holes
        offered = Division.objects.filter(event=event, dropped_at__isnull=True).order_by("order", "code")
        self.offered = dict(offered.values_list("pk", "code"))
        counts = LayoutHole.objects.filter(layout__event=event).values_list("layout_id")
        self.holes: dict[int, int] = dict(counts.annotate(Count("pk")).order_by())
        uses = LayoutUse.objects.filter(round__event=event)
        self.layouts = {
            (round_id, division): layout
            for round_id, division, layout in uses.values_list("round_id", "division_id", "layout_id")
        }
        self.drawn, self.pools = self._drawn(event), self._pools(event)

    def of(self, round_: Round) -> tuple[Start, ...]:
        tee_times = round_.start_type == StartType.TEE_TIMES
        found = self.drawn.get(round_.pk) or self.pools.get(round_.pk)
        return tuple(found or self._offered(round_.pk, round_.first_start_at, tee_times=tee_times))

    def _drawn(self, event: Event) -> Held:
        found: dict[int, list[Start]] = {}
        seats = Seat.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
        rows = seats.values_list(
            "sheet__round_id",
            "entry__division_id",
            "entry__division__code",
            "group__starts_at",
            "group__pool__start_type",
            "group__layout_id",
        )
        for round_id, division, code, moment, kind, layout in rows.order_by("group__starts_at").distinct():
            tee_times = kind == StartType.TEE_TIMES
            start = self._start(moment, self.holes.get(layout), division, code, tee_times=tee_times)
            found.setdefault(round_id, []).append(start)
        return found

    def _pools(self, event: Event) -> Held:
        found: dict[int, list[Start]] = {}
        rows = Pool.objects.filter(round__event=event, retired=False).order_by("first_start_at", "label")
        for round_id, division, code, moment, kind in rows.values_list(
            "round_id", "divisions", "divisions__code", "first_start_at", "start_type"
        ):
            tee_times = kind == StartType.TEE_TIMES
            starts = found.setdefault(round_id, [])
            if not division:  # a pool of nobody in particular
                starts += self._offered(round_id, moment, tee_times=tee_times)
            else:
                starts.append(self._planned(round_id, moment, division, code, tee_times=tee_times))
        return found

    def _offered(self, round_id: int, moment: datetime, *, tee_times: bool) -> Iterator[Start]:
        if not self.offered:
            yield self._start(moment, None, None, "", tee_times=tee_times)
        for division, code in self.offered.items():
            yield self._planned(round_id, moment, division, code, tee_times=tee_times)

    def _planned(
        self, round_id: int, moment: datetime, division: int, code: str, *, tee_times: bool
    ) -> Start:
        holes = self.holes.get(self.layouts.get((round_id, division), 0))
        return self._start(moment, holes, division, code, tee_times=tee_times)

    def _start(
        self, moment: datetime, holes: int | None, division: int | None, code: str, *, tee_times: bool
    ) -> Start:
        length = round_length(holes, self.minutes)
        moment = moment.astimezone(UTC)
        return Start(moment, length, holes, division, code, tee_times, written=moment)


def _stops(event: Event, now: datetime | None, book: Rulebook) -> Iterator[Stop]:
    """The stops of play, with the other day's restart where a round goes on then."""
    rows = list(Suspension.objects.filter(event=event).order_by("signalled_at"))
    goes_on: dict[int, datetime] = {}
    if any(row.ended == Suspension.Ended.NEXT_DAY for row in rows):
        said = Notice.objects.filter(event=event, kind=Notice.Kind.DELAY, suspension__isnull=False)
        goes_on = {pk: until for pk, until in said.values_list("suspension", "until") if until is not None}
    for row in rows:
        until = row.ended_at
        if until is None and now is not None:
            until = max(now, stop_of(event, row, book).restart.astimezone(UTC))
        if until is not None and until >= row.signalled_at:
            yield Stop(
                row.signalled_at,
                until,
                row.get_cause_display(),
                lasts=row.ended_at is None,
                goes_on=goes_on.get(row.pk) if row.ended == Suspension.Ended.NEXT_DAY else None,
                given_up=row.ended == Suspension.Ended.CANCELLED,
            )
