"""When play is on: for each round from its first start until its last group may be in."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Max, Min

from events.course.round_holes import most_holes
from events.course.round_length import MINUTES_KEY, round_length
from events.draw.models import Group, Pool, Sheet
from events.rulebook.loader import Rulebook
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class PlayWindow:
    """`end` is the last start and the usual length of the round's longest layout; `source` says what the starts rest
    on."""

    round_number: int
    start: datetime
    end: datetime
    source: str


def play_windows(event: Event, book: Rulebook) -> list[PlayWindow]:
    """By round, from its published sheet, else its pools, else the plan (4 queries); in the event's zone."""
    groups = Group.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
    published = {
        row["sheet__round_id"]: (row["first"], row["last"])
        for row in groups.values("sheet__round_id").annotate(first=Min("starts_at"), last=Max("starts_at"))
    }
    pools = Pool.objects.filter(round__event=event, retired=False)
    planned = {
        row["round_id"]: (row["first"], row["last"])
        for row in pools.values("round_id").annotate(first=Min("first_start_at"), last=Max("first_start_at"))
    }
    holes, minutes = most_holes(event), book.int(MINUTES_KEY)
    windows = []
    for round_ in event.rounds.order_by("number"):
        round_.event = event
        source, starts = "plan", (round_.first_start_at, round_.first_start_at)
        if round_.pk in published:
            source, starts = "tee sheet", published[round_.pk]
        elif round_.pk in planned:
            source, starts = "pools", planned[round_.pk]
        first, last = (event.local(moment) for moment in starts)
        end = last + round_length(holes.get(round_.pk), minutes)
        windows.append(PlayWindow(round_.number, first, end, source))
    return windows
