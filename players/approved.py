"""Bringing in a list of approved discs: a whole snapshot or nothing, and what changed since the one before."""

import datetime as dt
import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields

from django.db import transaction

from events.log.actions import Action
from events.log.services import INSTALLATION, Actor, record
from events.sheets.problems import Problem
from events.sheets.reading import read_table
from players.approved_reading import EXPECTED, FIELDS, FIGURES, ListRead, ModelRow, read_list
from players.models import ApprovedList, ApprovedModel

AHEAD = dt.timedelta(hours=14)  # somewhere the next day has begun
_LABELS = {each.key: each.label for each in FIELDS}
_COPIED = [each.name for each in fields(ModelRow) if each.name != "row"]


class ListRefused(Exception):
    """The list cannot be taken; `problems` name every row, its column and the mend."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        count = len(problems)
        super().__init__(f"{count} problem{'' if count == 1 else 's'} in the list: nothing was brought in.")
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True)
class Change:
    """One figure of a model that another list gives differently; texts as shown, "–" for a blank."""

    maker: str
    name: str
    column: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Difference:
    """What a newer list changes; models by maker and name."""

    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[Change, ...]


def look_at(*, content: bytes, file_name: str, as_of: dt.date) -> ListRead:
    """The list as it would be taken. Raises `events.sheets.refusal.Refused` for a file that cannot be read."""
    return read_list(read_table(file_name, content, expected=EXPECTED), as_of=as_of)


@transaction.atomic
def import_list(
    *,
    content: bytes,
    file_name: str,
    as_of: dt.date,
    actor: Actor,
    now: dt.datetime,
    invented: bool = False,
) -> ApprovedList:
    """Keep a list as a new snapshot; the same file again is the snapshot that is there.

    Raises ListRefused with every problem, `Refused` for a file that cannot be read; then nothing is kept.
    """
    digest = hashlib.sha256(content).hexdigest()
    held = ApprovedList.objects.filter(sha256=digest, as_of=as_of, invented=invented).first()
    if held is not None:
        return held
    if as_of > (now + AHEAD).date():
        raise ListRefused(
            [Problem(None, "as of", as_of.isoformat(), "is a day to come", "write the day of the list")]
        )
    found = look_at(content=content, file_name=file_name, as_of=as_of)
    if found.errors:
        raise ListRefused(found.errors)
    warned = [[p.row, p.column, p.value, p.problem, p.mend] for p in found.problems]
    snapshot = ApprovedList.objects.create(
        as_of=as_of,
        file_name=file_name[:200],
        sha256=digest,
        rows=len(found.models),
        invented=invented,
        warnings=warned,
        imported_at=now,
        imported_by=actor.name[:150],
    )
    ApprovedModel.objects.bulk_create(
        [
            ApprovedModel(list=snapshot, key=row.key, **{name: getattr(row, name) for name in _COPIED})
            for row in found.models
        ],
        batch_size=500,
    )
    detail = {"rows": snapshot.rows, "sha256": digest, "as of": as_of.isoformat(), "left out": len(warned)}
    record(
        chain=INSTALLATION,
        action=Action.LIST_IMPORTED,
        subject=str(snapshot),
        actor=actor,
        now=now,
        detail=detail,
    )
    return snapshot


def list_before(as_of: dt.date, *, invented: bool, but: ApprovedList | None = None) -> ApprovedList | None:
    """The newest list of that day or an earlier one, other than `but` and what came after it (1 query)."""
    lists = ApprovedList.objects.filter(as_of__lte=as_of, invented=invented)
    if but is not None:
        lists = lists.exclude(pk=but.pk).exclude(as_of=as_of, pk__gt=but.pk)
    return lists.order_by("-as_of", "-pk").first()


def difference(
    older: Iterable[ApprovedModel | ModelRow], newer: Iterable[ApprovedModel | ModelRow]
) -> Difference:
    """Models added and removed, and every figure that changed; either side as kept or as just read."""
    before = {model.key: model for model in older}
    after = {model.key: model for model in newer}
    return Difference(
        tuple(_name(after[key]) for key in sorted(after.keys() - before.keys())),
        tuple(_name(before[key]) for key in sorted(before.keys() - after.keys())),
        tuple(
            change
            for key in sorted(before.keys() & after.keys())
            for change in _changes(before[key], after[key])
        ),
    )


def _name(model: ApprovedModel | ModelRow) -> str:
    return f"{model.maker} {model.name}"


def _changes(before: ApprovedModel | ModelRow, after: ApprovedModel | ModelRow) -> list[Change]:
    found = []
    for name in (*FIGURES, "disc_class", "certification"):
        was, is_now = getattr(before, name), getattr(after, name)
        if was != is_now:
            column = _LABELS.get(name, name)
            found.append(Change(after.maker, after.name, column, _shown(was), _shown(is_now)))
    return found


def _shown(value: object) -> str:
    return "–" if value in (None, "") else str(value)
