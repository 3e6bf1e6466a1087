"""Tee times as calendars: of a round, and of a player. Only what a published tee sheet says; a draft is nobody's time.

A round whose sheet is not out stands as a whole day, which the tee time takes the place of.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from events.calendars import Start, calendar
from events.draw.models import Group, Seat, Sheet
from events.entries.models import Entry, Status
from events.setup.models import Event, Round

GONE = (Status.WITHDRAWN, Status.DID_NOT_PLAY)


@dataclass(frozen=True, slots=True)
class _Member:
    entry_id: int
    name: str
    gone: bool


def round_calendar(event: Event, number: int, board: str) -> str | None:
    """The starts of a round, one for each group; None: there is no such round (3 queries)."""
    round_ = Round.objects.filter(event=event, number=number).first()
    if round_ is None:
        return None
    groups = list(_groups(event).filter(sheet__round=round_))
    members = _members(groups)
    starts = [_group_start(event, group, members.get(group.pk, []), board) for group in groups]
    return calendar(f"{event.name}, round {number}", starts or [_day(event, round_, "all", board)])


def player_calendar(event: Event, entry_id: int, board: str) -> str | None:
    """The starts of a player; None: nobody of that number plays here (5 queries)."""
    entry = Entry.objects.filter(event=event, pk=entry_id).select_related("person").first()
    if entry is None:
        return None
    groups = list(_groups(event).filter(seats__entry=entry))
    if not groups and entry.status != Status.CONFIRMED:
        return None
    members = _members(groups)
    starts = [_own_start(event, group, entry, members[group.pk], board) for group in groups]
    if entry.status == Status.CONFIRMED:
        out = Sheet.objects.filter(round__event=event, state=Sheet.State.PUBLISHED).values_list(
            "round_id", flat=True
        )
        known = set(out)
        ahead = [
            each for each in Round.objects.filter(event=event).order_by("number") if each.pk not in known
        ]
        starts += [_day(event, each, str(entry.pk), board) for each in ahead]
    # A name is public once it stands on a published sheet.
    whose = f"{entry.person.name}, {event.name}" if groups else event.name
    return calendar(whose, starts) if starts else None


def _groups(event: Event) -> QuerySet[Group]:
    return (
        Group.objects.filter(sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED)
        .select_related("sheet__round", "start", "layout")
        .order_by("sheet__round__number", "starts_at", "number")
    )


def _members(groups: Sequence[Group]) -> dict[int, list[_Member]]:
    seats = Seat.objects.filter(group__in=groups).select_related("entry__person").order_by("group", "order")
    found: dict[int, list[_Member]] = {}
    for seat in seats:
        gone = seat.entry.status in GONE
        found.setdefault(seat.group_id, []).append(_Member(seat.entry_id, seat.entry.person.name, gone))
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
    return _start(
        event,
        group,
        of=str(entry.pk),
        summary=f"{event.name}: round {group.sheet.round.number} from hole {group.start.label}",
        names=[member.name for member in members if not member.gone],
        board=board,
        cancelled=entry.status in GONE,
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
