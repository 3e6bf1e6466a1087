"""A sheet as the board of its groups: what the page shows of each pool, group and player (no query)."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from events.draw.candidates import Candidate
from events.draw.field import Expected
from events.draw.marks import Mark
from events.draw.models import Pool
from events.draw.queries import GroupView, Member, SheetView
from events.entries.models import Status
from events.setup.models import Event, StartType


@dataclass(frozen=True, slots=True)
class Player:
    """`figure` is what the draw rests on: the total when drawn by score, else the rating; None: not known."""

    entry_id: int
    name: str
    division: str
    figure: int | None
    notes: tuple[str, ...]
    marked: bool


@dataclass(frozen=True, slots=True)
class GroupCard:
    """`start` is how the group starts ("Hole 7", "09:10 hole 1"); `layout` is empty where all play one.

    `how` is empty where there is nothing to say: players of one division at random.
    """

    number: int
    start: str
    label: str
    layout: str
    walk_minutes: int | None
    second: bool
    how: str
    players: tuple[Player, ...]
    marks: tuple[Mark, ...]

    @property
    def breached(self) -> bool:
        return any(mark.open for mark in self.marks)


@dataclass(frozen=True, slots=True)
class FreeStart:
    label: str
    layout: str


@dataclass(frozen=True, slots=True)
class PoolBoard:
    """`free` are the holes of a shotgun on whose tees nobody starts at that time."""

    title: str
    groups: tuple[GroupCard, ...]
    free: tuple[FreeStart, ...]
    players: int


@dataclass(frozen=True, slots=True)
class Board:
    """`loose` should play but have no place; `absent` are confirmed, not checked in and were left out."""

    pools: tuple[PoolBoard, ...]
    marks: tuple[Mark, ...]
    loose: tuple[Player, ...]
    absent: tuple[Candidate, ...]
    figure: str
    without_total: int
    groups: int
    players: int

    @property
    def open(self) -> tuple[Mark, ...]:
        return tuple(mark for mark in self.marks if mark.open)

    @property
    def said(self) -> tuple[Mark, ...]:
        return tuple(mark for mark in self.marks if not mark.open and not mark.reason)

    @property
    def kept(self) -> tuple[Mark, ...]:
        return tuple(mark for mark in self.marks if mark.reason)


def board_of(view: SheetView, marks: Sequence[Mark], expected: Expected, event: Event) -> Board:
    """The sheet, pool after pool in the order of play, groups in the order of their starts."""
    people = {person.key: person for person in expected.people}
    figures = _figures(view)
    marked = {key for mark in marks for key in mark.breach.players if mark.open}
    by_group: defaultdict[int, list[Mark]] = defaultdict(list)
    for mark in marks:
        if mark.breach.group is not None:
            by_group[mark.breach.group].append(mark)
    pools: defaultdict[tuple[object, ...], list[GroupView]] = defaultdict(list)
    for group in view.groups:
        pools[group.pool, group.start_type].append(group)
    ordered = sorted(pools.values(), key=lambda groups: (min(g.starts_at for g in groups), groups[0].pool))

    def card(group: GroupView) -> GroupCard:
        players = tuple(_player(member, people, figures, marked) for member in group.members)
        return _card(group, view, event, players, tuple(by_group[group.number]))

    return Board(
        pools=tuple(
            PoolBoard(
                title=_pool_title(groups, event, alone=len(ordered) == 1),
                groups=tuple(card(group) for group in sorted(groups, key=_by_start)),
                free=_free(groups, view),
                players=sum(len(group.members) for group in groups),
            )
            for groups in ordered
        ),
        marks=tuple(marks),
        loose=tuple(_loose(person) for person in expected.people if person.key not in view.seated),
        absent=tuple(expected.absent),
        figure="rating" if figures is None else "total",
        without_total=0 if figures is None else sum(figures.get(key) is None for key in view.seated),
        groups=len(view.groups),
        players=view.players,
    )


def _by_start(group: GroupView) -> tuple[object, ...]:
    return (group.starts_at, group.layout, group.position, group.second, group.number)


def _figures(view: SheetView) -> Mapping[int, int | None] | None:
    """Entry id → total that the draw rested on; None where it rested on ratings."""
    if not view.sheet.way.by_score:
        return None
    return {key: total_of(totals) for key, *_, totals in view.sheet.inputs.get("players", [])}


def total_of(totals: Sequence[int | None]) -> int | None:
    """None as soon as one round is missing."""
    known = [figure for figure in totals if figure is not None]
    return sum(known) if known and len(known) == len(totals) else None


def _player(
    member: Member,
    people: Mapping[int, Candidate],
    figures: Mapping[int, int | None] | None,
    marked: set[int],
) -> Player:
    person = people.get(member.entry_id)
    notes = []
    if person is None or member.status != Status.CONFIRMED:
        notes.append(
            Status(member.status).label if member.status != Status.CONFIRMED else "not in this round"
        )
    elif person.needs_guardian:
        notes.append("guardian on record" if person.guardian else "no guardian")
    elif person.junior:
        notes.append("junior")
    return Player(
        entry_id=member.entry_id,
        name=member.name,
        division=member.division,
        figure=member.rating if figures is None else figures.get(member.entry_id),
        notes=tuple(notes),
        marked=member.entry_id in marked,
    )


def _loose(person: Candidate) -> Player:
    return Player(person.key, person.name, person.division, person.rating, (), marked=True)


def _card(
    group: GroupView, view: SheetView, event: Event, players: tuple[Player, ...], marks: tuple[Mark, ...]
) -> GroupCard:
    time = f"{event.local(group.starts_at):%H:%M} " if group.tee_times else ""
    return GroupCard(
        number=group.number,
        start=f"{time}hole {group.label}" if time else f"Hole {group.label}",
        label=group.label,
        layout=view.layouts[group.layout].name if _several_layouts(view) else "",
        walk_minutes=group.walk_minutes,
        second=group.second,
        how="" if group.how in {f"{code} at random" for code in group.divisions} else group.how,
        players=players,
        marks=marks,
    )


def _several_layouts(view: SheetView) -> bool:
    return len({group.layout for group in view.groups}) > 1


def _pool_title(groups: Sequence[GroupView], event: Event, *, alone: bool) -> str:
    first = min(group.starts_at for group in groups)
    kind = StartType(groups[0].start_type).label
    start = f"{kind} {event.local(first):%a %H:%M}"
    return start[0].upper() + start[1:] if alone else f"Pool {groups[0].pool} · {start}"


def _free(groups: Sequence[GroupView], view: SheetView) -> tuple[FreeStart, ...]:
    if groups[0].tee_times:
        return ()
    moments = {group.starts_at for group in groups}
    taken = {group.tee for group in view.groups if group.starts_at in moments}
    several = _several_layouts(view)
    return tuple(
        FreeStart(hole.label, view.layouts[layout].name if several else "")
        for layout in dict.fromkeys(group.layout for group in groups)
        for hole in view.layouts[layout].holes
        if hole.tee not in taken
    )


def pool_line(pool: Pool, event: Event) -> str:
    """How a pool starts, in one line for the page of the draw."""
    start = f"{StartType(pool.start_type).label}, {event.local(pool.first_start_at):%a %H:%M}"
    if pool.start_type == StartType.SHOTGUN:
        more = ", second groups on holes" if pool.second_groups else ""
        return f"{start}, groups of {pool.groups_of}{more}"
    parts = [start, f"every {pool.interval_minutes} min"]
    if pool.start_labels:
        parts.append(f"from hole {pool.start_labels}")
    if pool.gap_after:
        parts.append(f"starter’s gap of {pool.gap_minutes} min after {pool.gap_after}")
    return ", ".join([*parts, f"groups of {pool.groups_of}"])
