"""Reading what messages say, and to whom they may go."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from django.db.models import Min

from events.draw.models import Delay, Group, Pool, Seat, Sheet
from events.draw.models import Moved as MovedRound
from events.entries.models import IN_THE_FIELD, Entry
from events.logistics.messages.composing import (
    Facts,
    FirstStart,
    GroupStart,
    Kind,
    Move,
    Moved,
    Stop,
    TeeSheet,
    TypedDelay,
)
from events.logistics.messages.models import MessageWords
from events.logistics.messages.words import FIRST, Words, languages
from events.logistics.models import FoundThing
from events.logistics.playing_times import playing_times
from events.rulebook.loader import Rulebook
from events.safety.models import Suspension
from events.safety.stopped import stop_of
from events.setup.models import Event, Round, StartType
from events.setup.queries import rulebook_for

LATELY = timedelta(
    hours=18
)  # a stop or a moved sheet that is older is no delay any more (common practice, no source)
State = Sheet.State


def words_of(event: Event) -> tuple[list[Words], str]:
    """The languages of the event's messages, in their order, and the signature (1 query)."""
    row = MessageWords.objects.filter(event=event).first()
    held = languages()
    chosen = [held[tag] for tag in (row.languages if row else []) if tag in held]
    return chosen or [held[FIRST]], row.sign if row else ""


def facts_for(event: Event, kind: Kind, round_: Round | None, sign: str, now: datetime) -> Facts:
    """Everything a message of this kind may say (with the clock of the rounds at most 14 queries, in a delay 3 more a
    moved round)."""
    book = rulebook_for(event)
    facts = Facts(
        event=event.name,
        place=", ".join(part for part in (event.venue, event.place) if part),
        sign=sign,
        round=round_.number if round_ else None,
    )
    if kind is Kind.CHECK_IN:
        return _check_in(event, facts, book, now)
    if kind is Kind.TEE_TIMES:
        return _tee_times(event, facts, round_, book)
    if kind is Kind.DELAY:
        return replace(
            facts,
            stop=_last_stop(event, book, now),
            moved=_moved(event, now),
            delays=_delays(event, now),
            planned=_planned(event, now),
        )
    return _thanks(event, facts, book, now)


def addresses_of(event: Event) -> list[str]:
    """Mail addresses of the field, each once, by name (1 query): for desk roles only, and only when asked for."""
    rows = Entry.objects.filter(event=event, status__in=IN_THE_FIELD, person__contact__email__gt="")
    found = rows.order_by("person__sort_name", "pk").values_list("person__contact__email", flat=True)
    return list(dict.fromkeys(found))


def _check_in(event: Event, facts: Facts, book: Rulebook, now: datetime) -> Facts:
    return replace(
        facts,
        checkin_opens=_local(event, event.checkin_opens_at),
        checkin_closes=_local(event, event.checkin_closes_at),
        first_starts=_first_starts(event, book, now),
        guardian_age=book.int("juniors.guardian_must_below_age"),
    )


def _first_starts(event: Event, book: Rulebook, now: datetime) -> tuple[FirstStart, ...]:
    """Of the first round, each moment with the divisions whose first group starts then."""
    rounds = playing_times(event, now, book).rounds.values()
    first = next((clock for clock in rounds if clock.starts), None)
    if first is None:
        return ()
    of_division: dict[str, datetime] = {}
    for start in sorted(first.starts, key=lambda start: start.moment):
        of_division.setdefault(start.code, start.moment)
    together: dict[datetime, list[str]] = {}
    for code, moment in of_division.items():
        together.setdefault(moment, []).append(code)
    if len(together) == 1:
        return (FirstStart(first.number, event.local(next(iter(together)))),)
    return tuple(
        FirstStart(first.number, event.local(moment), tuple(filter(None, codes)))
        for moment, codes in sorted(together.items())
    )


def _tee_times(event: Event, facts: Facts, round_: Round | None, book: Rulebook) -> Facts:
    sheet = Sheet.objects.filter(round=round_, state=State.PUBLISHED).first() if round_ else None
    return replace(
        facts,
        sheet=_sheet(event, sheet) if sheet else None,
        starter_minutes=book.int("starter.minutes_before"),
        absence_throws=book.int("play.absence_throws_over_par"),
    )


def _sheet(event: Event, sheet: Sheet) -> TeeSheet:
    names: dict[int, list[str]] = {}
    seats = Seat.objects.filter(sheet=sheet).select_related("entry__person", "entry__division")
    for seat in seats.order_by("group", "order"):
        names.setdefault(seat.group_id, []).append(f"{seat.entry.person.name} ({seat.entry.division.code})")
    groups = list(_groups(sheet))
    return TeeSheet(
        version=sheet.version,
        published_at=_local(event, sheet.published_at),
        tee_times=any(group.pool.start_type == StartType.TEE_TIMES for group in groups),
        groups=tuple(
            GroupStart(
                group.number,
                group.start.label,
                event.local(group.starts_at),
                tuple(names.get(group.pk, ())),
            )
            for group in groups
        ),
    )


def _groups(sheet: Sheet) -> Sequence[Group]:
    found = Group.objects.filter(sheet=sheet).select_related("start", "pool")
    return list(found.order_by("starts_at", "number"))


def _last_stop(event: Event, book: Rulebook, now: datetime) -> Stop | None:
    row = Suspension.objects.filter(event=event).order_by("-signalled_at").first()
    if row is None or (row.ended_at is not None and row.ended_at < now - LATELY):
        return None
    restart = None if row.ended else stop_of(event, row, book).restart
    return Stop(
        cause=row.cause,
        since=event.local(row.signalled_at),
        where_to_go=" ".join(row.where_to_go.split()),
        restart=_local(event, restart if restart and restart > now else None),
        ended=row.ended,
        ended_at=_local(event, row.ended_at),
    )


def _moved(event: Event, now: datetime) -> tuple[Moved, ...]:
    """Starts of the newest sheets that lie elsewhere than in the version before, where that is news."""
    found = []
    recent = Sheet.objects.filter(
        round__event=event, state=State.PUBLISHED, published_at__gt=now - LATELY, version__gt=1
    ).select_related("round")
    for sheet in recent.order_by("round__number"):
        before = (
            Sheet.objects.filter(
                round=sheet.round,
                state=State.SUPERSEDED,
                version__lt=sheet.version,
                published_at__isnull=False,
            )
            .order_by("-version")
            .first()
        )
        moves = _moves(event, sheet, before) if before else ()
        if moves:
            found.append(Moved(sheet.round.number, moves))
    return tuple(found)


def _moves(event: Event, sheet: Sheet, before: Sheet) -> tuple[Move, ...]:
    earlier = {group.number: group.starts_at for group in _groups(before)}
    return tuple(
        Move(
            group.number, group.start.label, event.local(group.starts_at), event.local(earlier[group.number])
        )
        for group in _groups(sheet)
        if group.number in earlier and earlier[group.number] != group.starts_at
    )


def _delays(event: Event, now: datetime) -> tuple[TypedDelay, ...]:
    rows = Delay.objects.filter(event=event, taken_back_at__isnull=True, at__gt=now - LATELY)
    return tuple(TypedDelay(event.local(row.since), row.minutes, row.reason.rstrip(".")) for row in rows)


def _planned(event: Event, now: datetime) -> tuple[FirstStart, ...]:
    """Rounds without a published sheet whose first start lies elsewhere than before they were moved lately."""
    recent = MovedRound.objects.filter(round__event=event, at__gt=now - LATELY).order_by("pk")
    was: dict[int, datetime] = {}
    for move in recent:
        was.setdefault(move.round_id, min(map(datetime.fromisoformat, move.was)))
    rows = Pool.objects.filter(round__in=was, retired=False).exclude(
        round__in=Sheet.objects.filter(round__event=event, state=State.PUBLISHED).values("round")
    )
    starts = rows.values_list("round_id", "round__number").annotate(Min("first_start_at"))
    return tuple(
        FirstStart(number, event.local(at), before=event.local(was[pk]))
        for pk, number, at in starts.order_by("round__number")
        if at != was[pk]
    )


def _thanks(event: Event, facts: Facts, book: Rulebook, now: datetime) -> Facts:
    """Rounds that were begun and not given up."""
    clocks = playing_times(event, now, book).rounds.values()
    return replace(
        facts,
        players=Entry.objects.filter(event=event, status__in=IN_THE_FIELD).count(),
        rounds=sum(clock.published is not None and clock.given_up is None for clock in clocks),
        claim_until=event.ends_on + timedelta(days=book.int("prize.claimed_days")),
        found=FoundThing.objects.filter(event=event, outcome=FoundThing.Outcome.HELD).count(),
    )


def _local(event: Event, moment: datetime | None) -> datetime | None:
    return event.local(moment) if moment is not None else None
