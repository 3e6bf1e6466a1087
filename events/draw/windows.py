"""When play is on: for each round from its first start until its last group may be in."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Max, Min

from events.draw.models import Group, Pool, Sheet
from events.rulebook.loader import Rulebook
from events.setup.models import Event


@dataclass(frozen=True, slots=True)
class PlayWindow:
    """`end` is the last start and the usual length of a round; `source` says what the starts rest on."""

    round_number: int
    start: datetime
    end: datetime
    source: str


def play_windows(event: Event, book: Rulebook) -> list[PlayWindow]:
    """By round, from its published sheet, else its pools, else the plan (3 queries); in the event's zone."""
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
    length = timedelta(minutes=book.int("practice.round_minutes_18_holes.to"))
    windows = []
    for round_ in event.rounds.order_by("number"):
        round_.event = event
        source, starts = "plan", (round_.first_start_at, round_.first_start_at)
        if round_.pk in published:
            source, starts = "tee sheet", published[round_.pk]
        elif round_.pk in planned:
            source, starts = "pools", planned[round_.pk]
        first, last = (event.local(moment) for moment in starts)
        windows.append(PlayWindow(round_.number, first, last + length, source))
    return windows
