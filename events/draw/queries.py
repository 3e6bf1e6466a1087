"""Reading the draw: who is to be drawn, and sheets as plain views."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import Count

from events.course.queries import LayoutFacts, layouts_of
from events.draw.candidates import Candidate
from events.draw.changes import SheetLine
from events.draw.checks import Breach, SheetGroup, check_sheet
from events.draw.conflicts import Placed
from events.draw.models import Group, Pool, Seat, Sheet
from events.draw.sizes import SizeRule
from events.entries.models import Entry
from events.rulebook.loader import Rulebook
from events.setup.models import Round, StartType


@dataclass(frozen=True, slots=True)
class Member:
    """One player on a sheet, in card order; `listed` is how the name is filed: "Moravec, Ludvik"."""

    entry_id: int
    name: str
    sort_name: str
    listed: str
    division: str
    member_number: int | None
    rating: int | None
    code: str
    status: str


@dataclass(frozen=True, slots=True)
class GroupView:
    """A group with its start. `position` is that of the start hole within the layout, from 1."""

    id: int
    number: int
    pool: str
    start_type: str
    layout: int
    position: int
    label: str
    tee: int
    tee_name: str
    walk_minutes: int | None
    starts_at: datetime
    interval: int
    second: bool
    how: str
    members: tuple[Member, ...]

    @property
    def divisions(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(member.division for member in self.members))

    @property
    def tee_times(self) -> bool:
        return self.start_type == StartType.TEE_TIMES


@dataclass(frozen=True, slots=True)
class SheetView:
    sheet: Sheet
    groups: tuple[GroupView, ...]
    layouts: dict[int, LayoutFacts] = field(default_factory=dict)

    @property
    def players(self) -> int:
        return sum(len(group.members) for group in self.groups)

    @property
    def seated(self) -> frozenset[int]:
        """The entries that have a place."""
        return frozenset(member.entry_id for group in self.groups for member in group.members)


def draft_of(round: Round) -> Sheet | None:
    return Sheet.objects.filter(round=round, state=Sheet.State.DRAFT).first()


def published_of(round: Round) -> Sheet | None:
    return Sheet.objects.filter(round=round, state=Sheet.State.PUBLISHED).first()


def view_of(sheet: Sheet, layouts: dict[int, LayoutFacts] | None = None) -> SheetView:
    """A sheet with its groups and players (2 queries, 2 more for the layouts unless they are handed in)."""
    layouts = layouts if layouts is not None else layouts_of(sheet.round.event)
    members: dict[int, list[Member]] = {}
    seats = (
        Seat.objects.filter(sheet=sheet).select_related("entry__person", "entry__division").order_by("order")
    )
    for seat in seats:
        members.setdefault(seat.group_id, []).append(_member(seat.entry))
    groups = Group.objects.filter(sheet=sheet).select_related("pool", "start__hole__tee").order_by("number")
    views = tuple(_group(group, tuple(members.get(group.pk, ()))) for group in groups)
    return SheetView(sheet, views, layouts)


def published_view(round: Round) -> SheetView | None:
    sheet = published_of(round)
    return view_of(sheet) if sheet else None


def _member(entry: Entry) -> Member:
    person = entry.person
    return Member(
        entry_id=entry.pk,
        name=person.name,
        sort_name=person.sort_name,
        listed=", ".join(filter(None, (person.family_name, person.given_name))),
        division=entry.division.code,
        member_number=person.member_number,
        rating=entry.rating,
        code=entry.code,
        status=entry.status,
    )


def _group(group: Group, members: tuple[Member, ...]) -> GroupView:
    tee = group.start.hole.tee
    return GroupView(
        id=group.pk,
        number=group.number,
        pool=group.pool.label,
        start_type=group.pool.start_type,
        layout=group.layout_id,
        position=group.start.position,
        label=group.start.label,
        tee=tee.pk,
        tee_name=tee.name,
        walk_minutes=tee.walk_minutes,
        starts_at=group.starts_at,
        interval=group.pool.interval_minutes,
        second=group.second,
        how=group.how,
        members=members,
    )


def pools_of(round: Round) -> list[Pool]:
    """The pools of a round's plan in the order of play, with their divisions (2 queries)."""
    planned = Pool.objects.filter(round=round, retired=False).order_by("first_start_at", "label")
    return list(planned.prefetch_related("divisions"))


def size_rule(rulebook: Rulebook, aim: int) -> SizeRule:
    return SizeRule(rulebook.int("group.size_at_least"), rulebook.int("group.size_at_most"), aim)


def breaches(
    view: SheetView,
    expected: Iterable[Candidate],
    rulebook: Rulebook,
    elsewhere: Iterable[Placed] = (),
) -> tuple[Breach, ...]:
    """Every rule that the sheet does not keep, over all its pools and layouts (no query)."""
    people = {candidate.key: candidate for candidate in expected}
    groups = [sheet_group(group, view.layouts, people) for group in view.groups]
    rule = size_rule(rulebook, rulebook.int("group.size_aim"))
    return check_sheet(groups, people.values(), rule=rule, elsewhere=elsewhere, across=view.sheet.way.across)


def starts_elsewhere(view: SheetView) -> list[Placed]:
    """Starts of the other rounds' published sheets on the days of this one, for the check of tees (1 query)."""
    if not view.groups:
        return []
    moments = [group.starts_at for group in view.groups]
    others = (
        Group.objects.filter(
            sheet__round__event=view.sheet.round.event,
            sheet__state=Sheet.State.PUBLISHED,
            starts_at__range=(min(moments) - timedelta(hours=1), max(moments) + timedelta(hours=1)),
        )
        .exclude(sheet__round=view.sheet.round)
        .select_related("pool", "layout", "sheet__round", "start__hole__tee")
        .annotate(players=Count("seats"))
        .order_by("pk")
    )
    return [
        Placed(
            group=f"{group.number} of {group.sheet.round}",
            layout=group.layout.name,
            label=group.start.label,
            tee=group.start.hole.tee_id,
            minute=minute_of(group.starts_at),
            players=group.players,
            occupies=group.pool.interval_minutes if group.pool.start_type == StartType.TEE_TIMES else 0,
            second=group.second,
            tee_name=group.start.hole.tee.name,
        )
        for group in others
    ]


def minute_of(moment: datetime) -> int:
    """Minutes on one clock for all days, as the check of tees counts."""
    return int(moment.timestamp() // 60)


def sheet_group(
    group: GroupView, layouts: Mapping[int, LayoutFacts], people: Mapping[int, Candidate]
) -> SheetGroup:
    """A group as the checks need it; somebody who is no longer expected keeps name and division."""
    members = tuple(
        people.get(member.entry_id)
        or Candidate(key=member.entry_id, division=member.division, professional=False, given=member.name)
        for member in group.members
    )
    return SheetGroup(
        number=group.number,
        members=members,
        layout=group.layout,
        layout_name=layouts[group.layout].name,
        tee=group.tee,
        tee_name=group.tee_name,
        label=group.label,
        minute=minute_of(group.starts_at),
        occupies=group.interval if group.tee_times else 0,
        second=group.second,
    )


def lines_of(view: SheetView) -> list[SheetLine]:
    """The sheet as the comparison of versions needs it."""
    several = len({group.layout for group in view.groups}) > 1
    event = view.sheet.round.event
    return [
        SheetLine(
            key=member.entry_id,
            name=member.name,
            group=group.number,
            hole=group.label,
            time=f"{event.local(group.starts_at):%H:%M}" if group.tee_times else "",
            layout=view.layouts[group.layout].name if several else "",
            order=order,
        )
        for group in view.groups
        for order, member in enumerate(group.members)
    ]
