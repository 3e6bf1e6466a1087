"""What the pages about lists of approved discs show."""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from events.bags.limits import MassRule, limit_of
from events.bags.list_files import look
from events.bags.lists import last_choice, lists_for, not_listed
from events.bags.models import ListFile, ModelDecision
from events.setup.models import Event
from events.sheets.problems import Problem
from players.approved import Difference, difference, list_before
from players.approved_reading import ListRead
from players.models import ApprovedList, ApprovedModel, Disc
from players.names import fold

SHOWN_PROBLEMS = 200
SHOWN_CHANGES = 200
LIMIT = "max weight (g)"  # the column whose change decides about pieces


@dataclass(frozen=True, slots=True)
class NotListed:
    """A model that entrants carry and the list does not have."""

    piece: Disc
    pieces: int
    decision: ModelDecision | None

    @property
    def name(self) -> str:
        return f"{self.piece.maker} {self.piece.model}".strip()


def lists_context(event: Event) -> dict[str, Any]:
    """The lists, the one that the event goes by, and what is not on it (8 queries at most)."""
    choice, lists = last_choice(event), list(lists_for(event))
    used = choice.list if choice else next(iter(lists), None)
    rows = [NotListed(*row) for row in not_listed(event)] if used else []
    rows.sort(key=lambda row: row.decision is not None)
    return {
        "lists": lists,
        "used": used,
        "choice": choice,
        "unlisted": rows,
        "undecided": sum(row.decision is None for row in rows),
        "waiting": ListFile.objects.filter(event=event, taken=None).defer("content").order_by("-pk")[:5],
    }


def check_context(file: ListFile) -> dict[str, Any]:
    """A file as it would be taken. Raises `Refused` for one that cannot be read any more."""
    read = look(file)
    warned = _warnings(read)
    before = list_before(file.as_of, invented=file.event.is_demo)
    return {
        "file": file,
        "count": len(read.models),
        "unit": "models read" if read.errors else "models",
        "errors": len(read.errors),
        "problems": read.errors[:SHOWN_PROBLEMS],
        "warnings": warned[:SHOWN_PROBLEMS],
        "more_warnings": len(warned[SHOWN_PROBLEMS:]),
        "left_out": _by_column(warned),
        "before": before,
        "changes": changes_context(before, read) if before is not None and not read.errors else None,
        "older": ApprovedList.objects.filter(as_of__gt=file.as_of, invented=file.event.is_demo).exists(),
    }


def _warnings(read: ListRead) -> tuple[Problem, ...]:
    return tuple(problem for problem in read.problems if problem.severity == "warning")


def _by_column(problems: tuple[Problem, ...]) -> list[dict[str, Any]]:
    """How many remarks each column has, as items of the state column."""
    found = Counter(problem.column for problem in problems)
    return [{"label": column, "value": count, "needs": False, "url": None} for column, count in found.items()]


def changes_context(before: ApprovedList, after: ApprovedList | ListRead) -> dict[str, Any]:
    """What differs from the list before: limits first, since they decide about pieces."""
    models = after.models if isinstance(after, ListRead) else after.models.all()
    found: Difference = difference(before.models.all(), models)
    limits = [change for change in found.changed if change.column == LIMIT]
    others = [change for change in found.changed if change.column != LIMIT]
    return {
        "added": found.added,
        "removed": found.removed,
        "limits": limits,
        "others": others[:SHOWN_CHANGES],
        "others_count": len(others),
        "none": not (found.added or found.removed or found.changed),
    }


def odd_limits(approved: ApprovedList, rule: MassRule) -> frozenset[int]:
    """Rows whose listed limit differs from the formula's by more than the rule allows (1 query)."""
    rows: list[tuple[int, Decimal | None, Decimal | None]] = list(
        approved.models.values_list("pk", "max_mass_g", "diameter_cm")
    )
    return frozenset(pk for pk, mass, diameter in rows if limit_of(mass, diameter, rule).differs)


def searched(approved: ApprovedList, q: str, only: str, odd: frozenset[int]) -> QuerySet[ApprovedModel]:
    """The rows of one list that hold every word of `q`, in any way of writing."""
    rows = approved.models.order_by("key")
    for word in fold(q).split():
        rows = rows.filter(key__contains=word)
    if only == "differs":
        return rows.filter(pk__in=odd)
    return rows.filter(max_mass_g__isnull=True) if only == "blank" else rows
