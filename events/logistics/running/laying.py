"""The run of a day: what is set for when, and when it comes after the delays. Pure; moments in UTC."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from events.logistics.running.anchors import CLOCK, FIXED, Anchor
from events.logistics.running.delays import Delay, settled, shifted

PLAY, DESK, DEADLINE, PEOPLE, SUN, WEATHER = "play", "desk", "deadline", "people", "sun", "weather"
LANES: Mapping[str, str] = {
    PLAY: "play",
    DESK: "desk and course",
    DEADLINE: "due",
    PEOPLE: "people",
    WEATHER: "weather",
    SUN: "sun",
}
_ORDER = (SUN, WEATHER, DEADLINE, DESK, PEOPLE, PLAY)  # at the same minute: what has to be there before play


@dataclass(frozen=True, slots=True)
class Item:
    """Something that is to happen. It begins `minutes` after its anchor (before it, negative), or at `at` where the
    anchor is the clock; it ends at `to` plus `to_minutes` where `to` is given, else it lasts `lasts` minutes, 0 for a
    moment. `key` is the same in every version of the day. `assumed`: why just then, where nobody has said."""

    key: str
    label: str
    lane: str
    anchor: Anchor
    minutes: int = 0
    lasts: int = 0
    to: Anchor | None = None
    to_minutes: int = 0
    at: datetime | None = None
    owner: str = ""
    place: str = ""
    assumed: str = ""
    pk: int | None = None
    usual: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the run. `was` None: it is where it was. `ends` None: a moment. `needs`: somebody is asked."""

    key: str
    label: str
    lane: str
    starts: datetime
    ends: datetime | None
    was: datetime | None = None
    was_ends: datetime | None = None
    owner: str = ""
    place: str = ""
    assumed: str = ""
    pk: int | None = None
    usual: bool = False
    needs: bool = False
    danger: bool = False

    @property
    def moved(self) -> bool:
        return self.was is not None or self.was_ends is not None

    def past(self, now: datetime) -> bool:
        return (self.ends or self.starts) <= now


def lay_out(
    items: Sequence[Item],
    *,
    planned: Mapping[Anchor, datetime],
    found: Mapping[Anchor, datetime],
    delays: Sequence[Delay],
) -> list[Line]:
    """The lines in the order of the day. An item whose anchor is not known is left out.

    `planned`: the anchors before any delay, `found`: as they stand now.
    """
    lines = [line for item in items if (line := _line(item, planned, found, delays)) is not None]
    return in_order(lines)


def in_order(lines: Iterable[Line]) -> list[Line]:
    return sorted(lines, key=lambda line: (line.starts, _ORDER.index(line.lane), line.label, line.key))


def _line(
    item: Item,
    planned: Mapping[Anchor, datetime],
    found: Mapping[Anchor, datetime],
    delays: Sequence[Delay],
) -> Line | None:
    begins = _moment(item, item.anchor, item.minutes, planned, found, delays)
    if begins is None:
        return None
    was, starts = begins
    was_ends, ends = _end(item, was, starts, planned, found, delays)
    line = Line(
        item.key,
        item.label,
        item.lane,
        starts,
        ends,
        owner=item.owner,
        place=item.place,
        assumed=item.assumed,
        pk=item.pk,
        usual=item.usual,
    )
    return moved_from(line, was, was_ends)


def moved_from(line: Line, was: datetime, was_ends: datetime | None) -> Line:
    """The line with what it was, where that is another minute than it is."""
    return replace(
        line,
        was=was if _minute(was) != _minute(line.starts) else None,
        was_ends=was_ends
        if was_ends is not None and line.ends is not None and _minute(was_ends) != _minute(line.ends)
        else None,
    )


def _moment(
    item: Item,
    anchor: Anchor,
    minutes: int,
    planned: Mapping[Anchor, datetime],
    found: Mapping[Anchor, datetime],
    delays: Sequence[Delay],
) -> tuple[datetime, datetime] | None:
    """When it was to be, and when it is."""
    if anchor[0] in (CLOCK, FIXED):
        if item.at is None:
            return None
        return item.at, item.at if anchor[0] == FIXED else shifted(item.at, delays)
    if anchor not in found:
        return None
    after = timedelta(minutes=minutes)
    is_now = found[anchor] + after
    was = planned.get(anchor, found[anchor]) + after
    return was, settled(was, is_now, delays)


def _end(
    item: Item,
    was: datetime,
    starts: datetime,
    planned: Mapping[Anchor, datetime],
    found: Mapping[Anchor, datetime],
    delays: Sequence[Delay],
) -> tuple[datetime | None, datetime | None]:
    if item.to is not None:
        last = _moment(item, item.to, item.to_minutes, planned, found, delays)
        return (None, None) if last is None else (max(was, last[0]), max(starts, last[1]))
    if item.lasts == 0:
        return None, None
    was_ends = was + timedelta(minutes=item.lasts)
    if item.anchor[0] == FIXED or starts != was:
        return was_ends, starts + timedelta(minutes=item.lasts)
    # Begun before the delay: it lasts longer by it, unless it had ended.
    return was_ends, shifted(was_ends, delays)


def _minute(moment: datetime) -> datetime:
    return moment.replace(second=0, microsecond=0)
