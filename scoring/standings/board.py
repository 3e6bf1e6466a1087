"""What the public pages show at one moment, and until when it stays true."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from django.db import connection
from django.db.models import Min, Q

from events.log.models import Chain
from events.safety.notice_words import NoticeShown
from events.safety.stop_words import StopShown
from events.safety.told import told_at
from events.setup.asked import whole_number
from events.setup.models import Event
from scoring.standings.board_turns import Length
from scoring.standings.next_starts import NextStart, next_starts
from scoring.standings.queries import DivisionStandings, standings
from scoring.standings.showing import lengths, worth_showing
from scoring.standings.side import MOST_STARTS, OtherWords, ShownNotice, ShownStart
from scoring.standings.stop_seen import stop_at


@dataclass(frozen=True, slots=True)
class Live:
    """`revision` and `until` (seconds since 1970) are what a page polls with: as long as the log
    has that many acts and that moment has not come, nothing on the page has changed.

    `known` are all divisions, `divisions` those worth showing and `lengths`
    what their pages are cut by. `notices` are for the kiosk's side, `told` for phones;
    `stop`: play is suspended.
    """

    revision: int
    until: int
    known: tuple[DivisionStandings, ...]
    divisions: tuple[DivisionStandings, ...]
    lengths: tuple[Length, ...]
    heading: str
    starts: tuple[ShownStart, ...]
    notices: tuple[ShownNotice, ...]
    told: tuple[NoticeShown, ...]
    first_round: str
    stop: StopShown | None


def is_current(slug: str, now: datetime, *, seen: str, until: str) -> bool:
    """Whether a page that shows revision `seen`, good `until`, is still right (1 query)."""
    good_until = whole_number(until)
    if good_until is None or whole_number(seen) != end_of_log(slug).length:
        return False
    return now.timestamp() < good_until


@dataclass(frozen=True, slots=True)
class End:
    """The end of an event's log: how many acts, and the hash of the last; 0 and "" without any."""

    length: int
    head: str


def end_of_log(slug: str) -> End:
    """1 query, in SQL: every screen asks this every few seconds, and the ORM took thirteen times as long to word it."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT length, head FROM {Chain._meta.db_table} WHERE key = %s", [slug])  # noqa: S608
        return End(*(cursor.fetchone() or (0, "")))


def live(event: Event, now: datetime, *, before: Live | None = None, changed: Collection[str] = ()) -> Live:
    """Everything a public page shows (15 queries; 1 more while there is nothing to show, 4 more in a
    stop, 2 more with a hazard for the board). With `before` only the divisions whose codes are in `changed` are
    worked out again (10 queries fewer when there are none).

    The revision is read first: what is written meanwhile makes the page newer than it says, never older.
    """
    number = end_of_log(event.slug).length
    known = _known(event, now, before, changed)
    divisions = tuple(each for each in known if worth_showing(each))
    stop = stop_at(event, now)
    told = told_at(event, now, stopped=stop is not None)
    starts = next_starts(event, now, MOST_STARTS)
    return Live(
        revision=number,
        until=_until(event, now, starts, told.changes_at, stop),
        known=known,
        divisions=divisions,
        lengths=lengths(divisions),
        heading=_heading(starts),
        starts=tuple(_start(event, now, start, starts) for start in starts),
        notices=tuple(_notice(notice) for notice in told.rows),
        told=told.rows,
        first_round="" if divisions else _first_round(event),
        stop=stop,
    )


def _known(
    event: Event, now: datetime, before: Live | None, changed: Collection[str]
) -> tuple[DivisionStandings, ...]:
    """Every division that has players. One that had none before has no place in the order yet, so all are read."""
    if before is None:
        return tuple(standings(event, now=now))
    if not changed:
        return before.known
    if not set(changed) <= {each.code for each in before.known}:
        return tuple(standings(event, now=now))
    fresh = {each.code: each for each in standings(event, divisions=changed, now=now)}
    kept = (fresh.get(each.code) if each.code in changed else each for each in before.known)
    return tuple(each for each in kept if each is not None)


def _until(
    event: Event,
    now: datetime,
    starts: Sequence[NextStart],
    notices_change: datetime | None,
    stop: StopShown | None,
) -> int:
    """A start that is called, a notice that runs out or begins, a clock that is over and midnight change the page
    without an act."""
    midnight = event.at(event.local(now).date() + timedelta(days=1), time(0))
    moments = [midnight, *(start.starts_at for start in starts)]
    moments += [notices_change] if notices_change is not None else []
    moments += [stop.restart] if stop is not None and not stop.passed else []
    return int(min(moments).timestamp()) + 1


def _heading(starts: Sequence[NextStart]) -> str:
    one_tee = len({start.label for start in starts}) == 1
    return (
        "Next on the first tee" if one_tee and not any(start.shotgun for start in starts) else "Next starts"
    )


def _start(event: Event, now: datetime, start: NextStart, beside: Sequence[NextStart]) -> ShownStart:
    local = event.local(start.starts_at)
    if start.shotgun:
        groups = "1 group" if start.groups == 1 else f"{start.groups} groups"
        text = f"Round {start.round}, pool {start.pool}: shotgun, {groups}"
    else:
        several = len({each.label for each in beside}) > 1
        text = f"{f'Hole {start.label}: ' if several else ''}{', '.join(start.names)}"
    today = local.date() == event.local(now).date()
    return ShownStart(f"{local:%H:%M}", "" if today else f"{local:%A}", text)


def _notice(notice: NoticeShown) -> ShownNotice:
    """One that was withdrawn says that first, and no longer what to do."""
    if notice.withdrawn:
        return ShownNotice(notice.withdrawn.capitalize(), notice.title, notice.caution, "")
    others = tuple(OtherWords(said.language, said.title, said.text) for said in notice.others)
    return ShownNotice(notice.title, notice.text, notice.caution, notice.until, notice.kind, others)


def _first_round(event: Event) -> str:
    """ "Round 1: Friday 12 June, 09:00"; "" without rounds (1 query)."""
    planned = Min(
        "pools__first_start_at", filter=Q(pools__retired=False)
    )  # moves with a delay, unlike the plan
    first = event.rounds.annotate(starts=planned).order_by("number").first()
    if first is None:
        return ""
    local = event.local(first.starts or event.at(first.date, first.first_start))
    return f"Round {first.number}: {local:%A} {local.day} {local:%B}, {local:%H:%M}"
