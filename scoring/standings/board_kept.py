"""What the public pages show, read once for each state of the log and kept in this process for all who ask.

The state is the hash at the end of the log's chain, so that a restored copy with as many acts is not taken for the
same event. While one request reads, the others get what was kept, with the time at which it was true: a score that
forty phones ask for at once is worked out once.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from threading import Lock
from typing import Any, TypeVar

from events.setup.models import Event
from scoring.standings.board import Live, end_of_log, live
from scoring.standings.board_changes import divisions_changed
from scoring.standings.overall import Overall, any_overall, overall_of

MOST_PIECES = 2000  # kept for one event; far more than its divisions have pages
Made = TypeVar("Made")


@dataclass(slots=True)
class Seen:
    """What is shown, when that was true, and the end of the log then: its hash and how many acts it had."""

    live: Live
    as_of: datetime
    head: str
    length: int


@dataclass(slots=True)
class _Shelf:
    reading: Lock = field(default_factory=Lock)
    seen: Seen | None = None
    pieces: dict[tuple[object, ...], tuple[tuple[object, ...], Any]] = field(default_factory=dict)


_shelves: dict[int, _Shelf] = {}
_making = Lock()


def forget() -> None:
    """Forget everything, as a new process would."""
    with _making:
        _shelves.clear()


def seen_now(event: Event, now: datetime) -> Seen:
    """What a public page shows now (1 query when it is kept; else those of `live` as well, and 1 or 2 that tell which
    divisions have changed)."""
    end = end_of_log(event.slug)
    shelf = _shelf(event)
    kept = shelf.seen
    if kept is not None and _holds(kept, end.head, now):
        return replace(kept, as_of=now)
    good = kept if kept is not None and now.timestamp() < kept.live.until else None
    if not shelf.reading.acquire(blocking=good is None) and good is not None:
        return good
    try:
        kept = shelf.seen
        if kept is not None and _holds(kept, end.head, now):
            return replace(kept, as_of=now)
        shelf.seen = Seen(_read(event, now, kept, end.length), now, end.head, end.length)
        return shelf.seen
    finally:
        shelf.reading.release()


def overall_seen(event: Event, seen: Seen) -> tuple[tuple[Overall, ...], tuple[str, ...]]:
    """All divisions together, as `overall_of` has them: worked out for the first who asks."""
    known = seen.live.known
    return made_once(event, ("overall",), (known,), lambda: overall_of(known))


def has_overall(event: Event, seen: Seen) -> bool:
    known = seen.live.known
    return made_once(event, ("has overall",), (known,), lambda: any_overall(known))


def made_once(
    event: Event, key: tuple[object, ...], made_of: tuple[object, ...], make: Callable[[], Made]
) -> Made:
    """A piece of a page, made once for all who ask, as long as what it is made of is the same. One key is asked for
    with one kind of `make`."""
    pieces = _shelf(event).pieces
    found = pieces.get(key)
    if found is not None and found[0] == made_of:
        return found[1]  # type: ignore[no-any-return]  # whatever was made under this key
    made = make()
    if len(pieces) >= MOST_PIECES:
        pieces.clear()
    pieces[key] = (made_of, made)
    return made


def _shelf(event: Event) -> _Shelf:
    with _making:
        return _shelves.setdefault(event.pk, _Shelf())


def _holds(kept: Seen, head: str, now: datetime) -> bool:
    """An event without a log is read each time: nothing says when it changes."""
    return bool(head) and kept.head == head and now.timestamp() < kept.live.until


def _read(event: Event, now: datetime, kept: Seen | None, length: int) -> Live:
    if kept is None or not kept.head or event.local(kept.as_of).date() != event.local(now).date():
        return live(event, now)
    changed = divisions_changed(event.slug, since=kept.length, head=kept.head, until=length)
    return live(event, now) if changed is None else live(event, now, before=kept.live, changed=changed)
