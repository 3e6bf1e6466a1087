"""Reading the draw: who is to be drawn, and sheets as plain views."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from itertools import combinations

from events.course.queries import LayoutFacts, layout_of_divisions, layouts_of
from events.draw.candidates import Candidate
from events.draw.changes import SheetLine
from events.draw.checks import Breach, SheetGroup, check_sheet
from events.draw.models import Group, Seat, Sheet
from events.draw.sizes import SizeRule
from events.entries import juniors
from events.entries.models import Entry, Status
from events.rulebook.divisions import division as published_division
from events.rulebook.loader import Rulebook
from events.setup.models import Event, Round, StartType

Totals = Mapping[int, tuple[int | None, ...]]


@dataclass(frozen=True, slots=True)
class Member:
    """One player on a sheet, in card order."""

    entry_id: int
    name: str
    sort_name: str
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


def candidates(
    round: Round, rulebook: Rulebook, *, totals: Totals | None = None, only_checked_in: bool = False
) -> list[Candidate]:
    """Everybody who is to play the round: confirmed, still in the event (2 queries). Ordered by id."""
    layouts = layout_of_divisions(round)
    entries = Entry.objects.filter(event=round.event, status=Status.CONFIRMED).select_related(
        "person", "division"
    )
    if only_checked_in:
        entries = entries.filter(checked_in_at__isnull=False)
    return [
        candidate_of(
            entry, round.event, rulebook, layouts.get(entry.division_id), (totals or {}).get(entry.pk, ())
        )
        for entry in entries.order_by("pk")
    ]


def candidate_of(
    entry: Entry,
    event: Event,
    rulebook: Rulebook,
    layout: int | None,
    totals: tuple[int | None, ...] = (),
) -> Candidate:
    person, code = entry.person, entry.division.code
    division = published_division(rulebook, code)
    guardian = juniors.guardian(
        birth_year=person.birth_year, event_year=event.starts_on.year, code=code, rulebook=rulebook
    )
    return Candidate(
        key=entry.pk,
        division=code,
        professional=division.professional,
        rating=entry.rating,
        member_number=person.member_number,
        surname=person.family_name,
        given=person.given_name,
        totals=totals,
        junior=division.junior,
        needs_guardian=guardian.need in {juniors.MUST, juniors.UNKNOWN},
        guardian=entry.guardian,
        layout=layout,
    )


def size_rule(rulebook: Rulebook, aim: int) -> SizeRule:
    return SizeRule(rulebook.int("group.size_at_least"), rulebook.int("group.size_at_most"), aim)


def breaches(view: SheetView, expected: Iterable[Candidate], rulebook: Rulebook) -> tuple[Breach, ...]:
    """Every rule that the sheet does not keep, over all its pools and layouts (no query)."""
    people = {candidate.key: candidate for candidate in expected}
    groups = [sheet_group(group, view.layouts, people) for group in view.groups]
    return check_sheet(groups, people.values(), rule=size_rule(rulebook, rulebook.int("group.size_aim")))


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
        minute=int(group.starts_at.timestamp() // 60),
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


def company_before(round: Round) -> frozenset[frozenset[int]]:
    """Pairs of entries that stood in one group of an earlier published round (1 query)."""
    earlier = Seat.objects.filter(
        sheet__round__event=round.event,
        sheet__round__number__lt=round.number,
        sheet__state=Sheet.State.PUBLISHED,
    ).values_list("group_id", "entry_id")
    together: dict[int, list[int]] = {}
    for group, entry in earlier:
        together.setdefault(group, []).append(entry)
    return frozenset(frozenset(pair) for members in together.values() for pair in combinations(members, 2))
