"""Which rows belong to an event: every table of the house, each with the way that leads from its rows to the event."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.apps import apps
from django.db.models import Field, ForeignKey, Model

HOUSE = ("players", "events.", "scoring.")
LEFT_OUT = {
    "setup.Staff": "accounts and their roles stay where they are",
    "entries.ImportFile": "uploaded lists on their way in; what was taken from them is in the entries",
    "log.Chain": "the log has a file of its own",
    "log.Act": "the log has a file of its own",
}
EVENT, PERSON = "setup.Event", "players.Person"
# Tables whose rows name others by id inside a text or a list (values.WITH_IDS): those come in first.
NAMES_ROWS_OF = {
    "bags.SpotCheck": {"entries.Entry"},
    "draw.Sheet": {"entries.Entry"},
    "cards.Ruling": {"bags.Call", "safety.Suspension", "entries.Entry"},
    "playoffs.Playoff": {"entries.Entry"},
    "ratings.MethodDecision": {"course.Layout"},
    "ready.WorkAct": {"ready.OwnWork"},
    "standings.Cut": {"entries.Entry"},
}


@dataclass(frozen=True, slots=True)
class Table:
    """A table of the archive. `path` is the lookup that leads to `root`: the event, a person who is entered, or, where
    it is empty, nothing: such rows are taken because others refer to them."""

    label: str
    model: type[Model]
    root: str
    path: str

    @property
    def fields(self) -> list["Field[Any, Any]"]:
        return list(self.model._meta.concrete_fields)

    @property
    def references(self) -> list["ForeignKey[Any, Any]"]:
        """Foreign keys to tables of the archive; those to accounts are not kept."""
        return [
            field for field in self.fields if isinstance(field, ForeignKey) and label_of(field) in labels()
        ]


def label_of(field: "ForeignKey[Any, Any]") -> str:
    target = field.related_model
    assert isinstance(target, type)
    return target._meta.label


@cache
def labels() -> frozenset[str]:
    return frozenset(model._meta.label for model in _models())


def _models() -> list[type[Model]]:
    """Every table of the house that goes along, tables between two others included."""
    found = apps.get_models(include_auto_created=True)
    house = [model for model in found if model.__module__.startswith(HOUSE) or _between(model)]
    return [model for model in house if model._meta.label not in LEFT_OUT]


def _between(model: type[Model]) -> bool:
    made_for = model._meta.auto_created
    return bool(made_for) and made_for.__module__.startswith(HOUSE)


@cache
def tables() -> tuple[Table, ...]:
    """All tables, each after those that its rows cannot be without."""
    models = {model._meta.label: model for model in _models()}
    of_event, of_person = _paths(models, EVENT), _paths(models, PERSON)
    found = []
    for label in _ordered(models):
        if label in of_event:
            found.append(Table(label, models[label], EVENT, of_event[label]))
        elif label in of_person:
            found.append(Table(label, models[label], PERSON, of_person[label]))
        else:
            found.append(Table(label, models[label], "", ""))
    return tuple(found)


def _paths(models: dict[str, type[Model]], root: str) -> dict[str, str]:
    """The shortest way to the root by foreign keys, those that are always set before the others."""
    found = {root: "pk"}
    for required in (True, False):
        grown = True
        while grown:
            grown = False
            for label, model in sorted(models.items()):
                if label in found:
                    continue
                for field in model._meta.concrete_fields:
                    if not isinstance(field, ForeignKey) or (required and field.null):
                        continue
                    way = found.get(label_of(field))
                    if way is not None:
                        found[label] = field.name if way == "pk" else f"{field.name}__{way}"
                        grown = True
                        break
    return found


def _ordered(models: dict[str, type[Model]]) -> Iterator[str]:
    """What a row needs comes first; references that may be empty are followed where that leads in no circle."""
    needs = {
        label: _targets(model, nullable=False) | NAMES_ROWS_OF.get(label, set())
        for label, model in models.items()
    }
    wishes = {label: _targets(model, nullable=True) for label, model in models.items()}
    done: set[str] = set()
    while len(done) < len(models):
        ready = [
            label for label in sorted(models) if label not in done and needs[label] & models.keys() <= done
        ]
        best = [label for label in ready if wishes[label] & models.keys() <= done] or ready[:1]
        if not best:
            raise RuntimeError("Tables of the house need each other in a circle.")
        done.update(best)
        yield from best


def _targets(model: type[Model], *, nullable: bool) -> set[str]:
    keys = [field for field in model._meta.concrete_fields if isinstance(field, ForeignKey)]
    return {label_of(key) for key in keys if key.null == nullable} - {model._meta.label}


def fingerprint() -> str:
    """SHA-256 over every table with its columns and their kinds: two installations of one version agree on it."""
    columns = {
        table.label: [[field.column, field.get_internal_type(), field.null] for field in table.fields]
        for table in tables()
    }
    text = json.dumps(columns, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
