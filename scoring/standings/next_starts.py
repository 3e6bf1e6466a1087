"""Who starts next, by the published tee sheets, for the board beside the standings."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from events.draw.models import Group, Seat, Sheet
from events.entries.models import Status
from events.setup.models import Event, StartType


@dataclass(frozen=True, slots=True)
class NextStart:
    """A group that is called next, or a whole shotgun pool (`names` empty, `groups` counted)."""

    starts_at: datetime
    round: int
    label: str
    pool: str
    shotgun: bool
    groups: int
    names: tuple[str, ...]


def next_starts(event: Event, now: datetime, limit: int) -> list[NextStart]:
    """The next starts of the published sheets from `now` on, the soonest first (2 queries).

    All groups of a shotgun start are one line: nobody waits to be called by name. Names are family names, in
    card order; where two in a group share one, with the given name. Who left or was disqualified is not called.
    """
    groups = list(
        Group.objects.filter(
            sheet__round__event=event, sheet__state=Sheet.State.PUBLISHED, starts_at__gte=now
        )
        .select_related("pool", "start", "sheet__round")
        .order_by("starts_at", "number")
    )
    seats = (
        Seat.objects.filter(group__in=[group.pk for group in groups if not _shotgun(group)][:limit])
        .filter(entry__status=Status.CONFIRMED)
        .order_by("order")
        .values_list("group_id", "entry__person__given_name", "entry__person__family_name")
    )
    people: dict[int, list[tuple[str, str]]] = {}
    for group_id, given, family in seats:
        people.setdefault(group_id, []).append((given, family))
    return _called(groups, people)[:limit]


def _called(groups: Iterable[Group], people: dict[int, list[tuple[str, str]]]) -> list[NextStart]:
    shotguns: dict[tuple[int, datetime], list[Group]] = {}
    found: list[NextStart] = []
    for group in groups:
        if _shotgun(group):
            shotguns.setdefault((group.pool_id, group.starts_at), []).append(group)
        else:
            found.append(_next(group, 1, _short_names(people.get(group.pk, []))))
    found += [_next(members[0], len(members), ()) for members in shotguns.values()]
    return sorted(found, key=lambda start: start.starts_at)


def _shotgun(group: Group) -> bool:
    return group.pool.start_type == StartType.SHOTGUN


def _next(group: Group, groups: int, names: tuple[str, ...]) -> NextStart:
    return NextStart(
        starts_at=group.starts_at,
        round=group.sheet.round.number,
        label=group.start.label,
        pool=group.pool.label,
        shotgun=_shotgun(group),
        groups=groups,
        names=names,
    )


def _short_names(people: list[tuple[str, str]]) -> tuple[str, ...]:
    families = [family for _, family in people]
    return tuple(
        f"{given} {family}".strip() if families.count(family) > 1 else family for given, family in people
    )
