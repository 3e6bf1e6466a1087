"""Saving the pools of a round: a whole table at once, all or nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from events.draw.models import Group, Pool, Sheet
from events.draw.placing import DrawRefused, claim_round
from events.draw.queries import pools_of
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Division, Round

FACTS = (
    "label",
    "start_type",
    "first_start_at",
    "interval_minutes",
    "gap_after",
    "gap_minutes",
    "start_labels",
    "groups_of",
    "second_groups",
)


class PoolsRefused(DrawRefused):
    """The pools cannot be saved as they were typed."""


@dataclass(frozen=True, slots=True)
class PoolRow:
    """A pool as it was typed. `pk` is None for a new one; `divisions` are ids of divisions of the event."""

    pk: int | None
    label: str
    divisions: tuple[int, ...]
    start_type: str
    first_start_at: datetime
    interval_minutes: int = 10
    gap_after: int | None = None
    gap_minutes: int = 0
    start_labels: str = ""
    groups_of: int = 4
    second_groups: bool = False

    @property
    def facts(self) -> dict[str, Any]:
        return {name: getattr(self, name) for name in FACTS}

    @staticmethod
    def facts_of(pool: Pool) -> dict[str, Any]:
        """The same facts of a pool that stands."""
        return {name: getattr(pool, name) for name in FACTS}


@transaction.atomic
def save_pools(*, round: Round, rows: Sequence[PoolRow], actor: Actor, now: datetime) -> None:
    """Make the pools of a round's plan these; a pool that no row names goes.

    A pool that a published or superseded sheet was drawn with stays behind it as it was, and a new one takes
    its place in the plan. A pool that goes while groups of the draft are in it is refused. Raises PoolsRefused.
    """
    round = claim_round(round)
    _check(rows)
    standing = {pool.pk: pool for pool in pools_of(round)}
    before = [_as_json(pool) for pool in standing.values()]
    divisions = {division.pk: division for division in Division.objects.filter(event=round.event)}
    frozen = set(
        Group.objects.filter(pool__in=standing)
        .exclude(sheet__state=Sheet.State.DRAFT)
        .values_list("pool_id", flat=True)
    )
    kept = {row.pk: row for row in rows if row.pk is not None}
    if kept.keys() - standing.keys():
        raise PoolsRefused("Somebody else changed the pools meanwhile. Open them again.")
    _remove([pool for pk, pool in standing.items() if pk not in kept], frozen)
    _step_aside([pool for pk, pool in standing.items() if pk in kept], kept, frozen)
    for row in rows:
        pool = _written(round, row, standing.get(row.pk) if row.pk is not None else None)
        pool.divisions.set(divisions[pk] for pk in row.divisions if pk in divisions)
    after = [_as_json(pool) for pool in pools_of(round)]
    if after != before:
        record(
            chain=round.event.slug,
            action=Action.ROUND_CHANGED,
            subject=f"pools of {round}",
            actor=actor,
            now=now,
            detail={"before": before, "after": after},
        )


def _check(rows: Sequence[PoolRow]) -> None:
    if not rows:
        raise PoolsRefused("A round has at least one pool.")
    labels = [row.label for row in rows]
    if len({label.casefold() for label in labels}) < len(labels):
        raise PoolsRefused("Two pools have the same label.")
    for row in rows:
        if row.gap_after is not None and not row.gap_minutes:
            raise PoolsRefused(f"Pool {row.label}: say how many minutes the starter's gap lasts.")


def _remove(gone: Sequence[Pool], frozen: set[int]) -> None:
    for pool in gone:
        if Group.objects.filter(pool=pool, sheet__state=Sheet.State.DRAFT).exists():
            raise PoolsRefused(f"Groups of the draft are in pool {pool.label}: drop the draft first.")
        if pool.pk in frozen:
            _retire(pool)
        else:
            pool.delete()


def _retire(pool: Pool) -> None:
    pool.retired = True
    pool.save(update_fields=["retired"])


def _step_aside(pools: Sequence[Pool], kept: Mapping[int, PoolRow], frozen: set[int]) -> None:
    """Retire what frozen sheets show and is changed, and free all labels: two pools may exchange theirs."""
    for place, pool in enumerate(pools):
        if pool.pk in frozen and any(getattr(pool, name) != new for name, new in kept[pool.pk].facts.items()):
            _retire(pool)
        elif pool.pk not in frozen:
            pool.label = f"~{place}"
            pool.save(update_fields=["label"])


def _written(round: Round, row: PoolRow, pool: Pool | None) -> Pool:
    if pool is None or pool.retired:
        fresh = Pool(round=round, **row.facts)
        _refuse_faulty(fresh)
        fresh.save()
        if pool is not None:
            Group.objects.filter(pool=pool, sheet__state=Sheet.State.DRAFT).update(pool=fresh)
        return fresh
    for name, value in row.facts.items():
        setattr(pool, name, value)
    _refuse_faulty(pool)
    pool.save(update_fields=FACTS)
    return pool


def _refuse_faulty(pool: Pool) -> None:
    """The page's form asks for nothing else; a file may say anything."""
    try:
        pool.full_clean(exclude=["round"])
    except ValidationError as error:
        raise PoolsRefused(f"Pool {pool.label}: {' '.join(error.messages)}") from None


def _as_json(pool: Pool) -> dict[str, Any]:
    facts = PoolRow.facts_of(pool)
    facts["first_start_at"] = pool.first_start_at.isoformat()
    facts["divisions"] = sorted(division.code for division in pool.divisions.all())
    return facts
