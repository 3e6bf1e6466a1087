"""Values of a row as plain JSON, and back; and the ids of rows that stand inside texts and lists."""

import re
from collections.abc import Callable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import BinaryField, CharField, DateTimeField, Field, ForeignKey, JSONField, TextField
from django.utils.timezone import is_naive

from desk.archive.refusal import ArchiveRefused

Ids = Mapping[
    tuple[str, Any], Any
]  # (table, id in the file) → id here; (field, key) → the key that it has here
ENTRY, HOLE_ENTRY_KEY, OWN_WORK = "entries.Entry", "cards.HoleEntry.key", "ready.OwnWork"
KEYS = frozenset({"key", "of", "origin", "pool", "task"})  # names of texts that may be made of ids


def plain(field: "Field[Any, Any]", value: Any) -> Any:
    """What stands in the file: JSON as it is, numbers and flags as they are, everything else as text."""
    if value is None or isinstance(field, JSONField) or isinstance(value, bool | int | float):
        return value
    return value.isoformat() if hasattr(value, "isoformat") else str(value)


def read(field: "Field[Any, Any]", value: Any) -> Any:
    """The value of a field from the file. Raises ArchiveRefused for one that cannot stand there."""
    if value is None or isinstance(field, JSONField | ForeignKey):
        return value
    try:
        found = field.to_python(value)
        if isinstance(field, DateTimeField) and is_naive(found):
            raise ValueError("a moment without its offset")
    except (ValidationError, ArithmeticError, AttributeError, TypeError, ValueError) as wrong:
        raise ArchiveRefused(
            f"The file is damaged: {str(value)[:40]!r} cannot stand in {field.model._meta.label}.{field.name}."
        ) from wrong
    return found


def is_file(field: "Field[Any, Any]") -> bool:
    return isinstance(field, BinaryField)


def may_hide_ids(field: "Field[Any, Any]") -> bool:
    """A list, an object or a key of the house's own making: whether ids of rows stand in it has to be decided below."""
    named = isinstance(field, CharField | TextField) and field.name in KEYS and not field.choices
    return named or isinstance(field, JSONField)


def _spot_pool(pool: Any, ids: Ids) -> Any:
    return [[label, ids.get((ENTRY, entry), entry), name] for label, entry, name in pool]


def _sheet_inputs(inputs: Any, ids: Ids) -> Any:
    players = [[ids.get((ENTRY, key), key), *rest] for key, *rest in inputs.get("players", [])]
    found = {**inputs, "players": players} if players else inputs
    return {**found, "out": _entries(found["out"], ids)} if "out" in found else found


_IN_ORIGIN = {
    "disc call": "bags.Call",
    "suspension": "safety.Suspension",
    "entry": ENTRY,
}
_NUMBERED = re.compile(rf"\b({'|'.join(_IN_ORIGIN)}) (\d+)\b")


def _origin(text: Any, ids: Ids) -> Any:
    """ "disc call 12" names a row; the ruling is found by it again."""

    def here(match: re.Match[str]) -> str:
        old = int(match[2])
        return f"{match[1]} {ids.get((_IN_ORIGIN[match[1]], old), old)}"

    return _NUMBERED.sub(here, text)


def _entries(ids_: Any, ids: Ids) -> Any:
    return None if ids_ is None else [ids.get((ENTRY, entry), entry) for entry in ids_]


def _by_entry(figures: Any, ids: Ids) -> Any:
    """Keys are entry ids as text, as JSON has them."""
    return {str(ids.get((ENTRY, int(entry)), entry)): value for entry, value in figures.items()}


def _holes_by_entry(holes: Any, ids: Ids) -> Any:
    return [_by_entry(hole, ids) for hole in holes]


def _pool(key: Any, ids: Ids) -> Any:
    """ "1.2-12-part0" is rounds 1 and 2 on the layout of id 12."""
    rounds, layout, *rest = key.split("-")
    here = ids.get(("course.Layout", int(layout)), layout)
    return "-".join([rounds, str(here), *rest])


def _own_work(task: Any, ids: Ids) -> Any:
    """ "own-12" is a row of the director's own work; every other task is named by its words."""
    kind, _, old = task.partition("-")
    return f"own-{ids.get((OWN_WORK, int(old)), old)}" if kind == "own" else task


def _overruled(keys: Any, ids: Ids) -> Any:
    return [ids.get((HOLE_ENTRY_KEY, key), key) for key in keys]


def _nothing(_value: Any, _ids: Ids) -> Any:
    return []


# Fields that hold ids of rows inside a list or a text. Ids in the log stay as they were: its hashes cover them.
WITH_IDS: dict[str, Callable[[Any, Ids], Any]] = {
    "bags.SpotCheck.pool": _spot_pool,
    "draw.Sheet.inputs": _sheet_inputs,
    "draw.Sheet.undo": _nothing,  # what could be undone in a draft names groups by their ids; the log keeps it
    "cards.HoleEntry.over": _overruled,
    "cards.Ruling.origin": _origin,
    "playoffs.Playoff.players": _entries,
    "playoffs.PlayoffVersion.declined": _by_entry,
    "playoffs.PlayoffVersion.figures": _holes_by_entry,
    "ratings.MethodDecision.pool": _pool,
    "ready.WorkAct.task": _own_work,
    "standings.Cut.posted": _entries,
}

# Fields that may hide ids by their kind, and hold none: figures, words, labels of holes, codes, keys of the rulebook. A
# test holds that each such field stands in one of the two.
WITHOUT_IDS = frozenset(
    {
        *("players.ApprovedList.warnings", "players.ApprovedModel.key"),
        *("bags.BagAct.before", "bags.BagAct.after", "bags.Call.kinds", "bags.SpotCheck.numbers"),
        *("bags.SpotCheck.result", "cards.CardLine.penalties", "cards.CardLine.throws"),
        *("cards.StandingLine.differs", "cards.StandingLine.on_top", "cards.StandingLine.penalties"),
        *("cards.StandingLine.throws", "countdown.DutyMark.key", "course.HoleDetails.facts"),
        *("course.HoleDetails.sketch", "course.LayoutVersion.snapshot", "course.LayoutVersion.touched"),
        *("crew.Helper.duties", "crew.Need.key", "crew.Need.task", "draw.Moved.was", "draw.Sheet.accepted"),
        *("draw.Sheet.notes", "event_messages.MessageWords.languages", "games.Game.divisions"),
        *("games.RaffleDraw.drawn", "games.RaffleDraw.tickets", "money.BoxCount.counted"),
        *("money.BoxCount.expected", "money.BoxCount.pieces", "playoffs.Playoff.holes"),
        *("prizes.Payout.content", "prizes.TakenTable.rows", "ratings.JoinDecision.rounds"),
        *("ratings.SplitDecision.starts", "running.RunItem.key", "safety.Completion.common"),
        *("safety.EmergencyPlan.facts", "safety.Notice.in_other_words", "setup.RuleOverride.key"),
        *("setup.RuleOverride.value", "setup.Event.days_off", "things.Thing.key"),
    }
)
