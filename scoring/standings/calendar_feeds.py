"""Tee times as calendars: of a round, and of a player. Only what a published tee sheet says; a draft is nobody's time.

A round whose sheet is not out stands as a whole day, which the tee time takes the place of.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from events.calendars import Start, calendar
from events.draw.models import Group, Seat, Sheet
from events.entries.models import Entry, Status
from events.safety.models import Completion
from events.setup.models import Event, Round
from scoring.cards.models import StandingLine
from scoring.standings.after_cut import out_before


@dataclass(frozen=True, slots=True)
class _Member:
    entry_id: int
    name: str
    gone: bool


def round_calendar(event: Event, number: int, board: str) -> str | None:
    """The starts of a round, one for each group; None: there is no such round (4 queries)."""
    round_ = Round.objects.filter(event=event, number=number).first()
    if round_ is None:
        return None
    groups = list(_groups(event).filter(sheet__round=round_))
    members = _members(groups)
    starts = [_group_start(event, group, members.get(group.pk, []), board) for group in groups]
    return calendar(f"{event.name}, round {number}", starts or [_day(event, round_, "all", board)])


def player_calendar(event: Event, entry_id: int, board: str) -> str | None:
    """The starts of a player, and the rounds to come that are still theirs; None: nobody of that number plays here (8
    queries, those of the standings more where a cut lies before a round to come)."""
    entry = Entry.objects.filter(event=event, pk=entry_id).select_related("person").first()
    if entry is None:
        return None
    groups = list(_groups(event).filter(seats__entry=entry))
    if not groups and entry.status != Status.CONFIRMED:
        return None
    members = _members(groups)
    starts = [_own_start(event, group, entry, members[group.pk], board) for group in groups]
    if entry.status == Status.CONFIRMED:
        starts += [_day(event, each, str(entry.pk), board) for each in _ahead(event, entry)]
    # A name is public once it stands on a published sheet.
    whose = f"{entry.person.name}, {event.name}" if groups else event.name
    return calendar(whose, starts) if starts else None


def _ahead(event: Event, entry: Entry) -> list[Round]:
    """Rounds whose sheet is not out and that the player has not missed by a cut or the end of the division's rounds."""
    published = Sheet.objects.filter(round__event=event, state=Sheet.State.PUBLISHED).values("round")
    rounds = list(Round.objects.filter(event=event).exclude(pk__in=published).order_by("number"))
    newest = {
        row.round_id: row
        for row in Completion.objects.filter(event=event, division=entry.division_id)
        .select_related("round")
        .order_by("pk")
    }
    ended = [row.round.number for row in newest.values() if row.option == Completion.Option.LAST_ROUND]
    return [
        each
        for each in rounds
        if not (ended and each.number >= min(ended)) and entry.pk not in out_before(each)[0]
    ]


def _groups(event: Event) -> QuerySet[Group]:
    return (
        Group.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
        .select_related("sheet__round", "start", "layout")
        .order_by("sheet__round__number", "starts_at", "number")
    )


def _members(groups: Sequence[Group]) -> dict[int, list[_Member]]:
    """Who stands in each group (2 queries). Who left or was disqualified before the first hole does not start."""
    seats = Seat.objects.filter(group__in=groups).select_related("entry__person").order_by("group", "order")
    rounds = {group.pk: group.sheet.round_id for group in groups}
    begun = set(
        StandingLine.objects.filter(round__in=rounds.values(), played__gt=0).values_list("round", "entry")
    )
    found: dict[int, list[_Member]] = {}
    for seat in seats:
        playing = seat.entry.status == Status.CONFIRMED or (rounds[seat.group_id], seat.entry_id) in begun
        found.setdefault(seat.group_id, []).append(
            _Member(seat.entry_id, seat.entry.person.name, not playing)
        )
    return found


def _group_start(event: Event, group: Group, members: Iterable[_Member], board: str) -> Start:
    names = [member.name for member in members if not member.gone]
    return _start(
        event,
        group,
        of=f"group-{group.number}",
        summary=f"Group {group.number}, hole {group.start.label}: {', '.join(names) or 'nobody'}",
        names=names,
        board=board,
        cancelled=not names,
    )


def _own_start(event: Event, group: Group, entry: Entry, members: Iterable[_Member], board: str) -> Start:
    starting = {member.entry_id: member.name for member in members if not member.gone}
    return _start(
        event,
        group,
        of=str(entry.pk),
        summary=f"{event.name}: round {group.sheet.round.number} from hole {group.start.label}",
        names=list(starting.values()),
        board=board,
        cancelled=entry.pk not in starting,
    )


def _start(
    event: Event, group: Group, *, of: str, summary: str, names: Sequence[str], board: str, cancelled: bool
) -> Start:
    sheet = group.sheet
    return Start(
        uid=_uid(event, sheet.round, of),
        sequence=sheet.version,
        stamp=sheet.published_at or sheet.made_at,
        when=group.starts_at,
        summary=summary,
        location=", ".join(part for part in (f"Hole {group.start.label}", event.venue, event.place) if part),
        description=f"Group {group.number}: {', '.join(names)}\n{group.layout.name}\nTee sheet version {sheet.version}",
        url=board,
        cancelled=cancelled,
    )


def _day(event: Event, round_: Round, of: str, board: str) -> Start:
    return Start(
        uid=_uid(event, round_, of),
        sequence=0,
        stamp=event.at(event.starts_on, round_.first_start),
        when=round_.date,
        summary=f"{event.name}: round {round_.number}, tee times are not out yet",
        location=", ".join(part for part in (event.venue, event.place) if part),
        description="",
        url=board,
    )


def _uid(event: Event, round_: Round, of: str) -> str:
    return f"{event.slug}-{event.starts_on:%Y%m%d}-round-{round_.number}-{of}@starthorn.invalid"
