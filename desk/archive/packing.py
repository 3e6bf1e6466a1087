"""Making the archive: every row of an event and what it rests on."""

import hashlib
import io
import json
import zipfile
from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Model

from desk.archive.shape import EVENT, LEFT_OUT, PERSON, Table, fingerprint, label_of, tables
from desk.archive.values import is_file, plain
from desk.archive.version import VERSION
from events.log.actions import Action
from events.log.models import Act, Chain
from events.log.services import Actor, record
from events.setup.models import Event

FORMAT, FORMAT_VERSION = "starthorn-archive", 1
PERSONAL = (
    "This file holds personal data: names, contacts, emergency contacts and payments. Keep it as you would keep the"
    " entry list, and delete it when it is no longer needed."
)
CHUNK = 500  # rows asked for by id at once: below what SQLite takes


@transaction.atomic
def pack_event(*, event: Event, actor: Actor, now: datetime) -> bytes:
    """The archive as a zip. The log says first that it was made, which also holds every other writer of this event
    back until it is whole."""
    record(chain=event.slug, action=Action.EVENT_ARCHIVED, subject=event.name, actor=actor, now=now)
    rows = _rows_of(event)
    files: dict[str, bytes] = {}
    contents: dict[str, bytes] = {}
    counts: dict[str, int] = {}
    for table in tables():
        found = rows[table.label]
        name = f"rows/{table.label}.jsonl"
        counts[name] = len(found)
        contents[name] = _lines(_row(table, each, files) for each in found)
    chain = Chain.objects.get(key=event.slug)
    acts = list(Act.objects.filter(chain=chain).order_by("number"))
    counts["log.jsonl"] = len(acts)
    contents["log.jsonl"] = _lines(_act(act) for act in acts)
    contents |= {f"files/{digest}": content for digest, content in files.items()}
    manifest = {
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "version": VERSION,
        "shape": fingerprint(),
        "made_at": now.isoformat(),
        "made_by": actor.name,
        "event": {"slug": event.slug, "name": event.name},
        "log": {"length": chain.length, "head": chain.head, "former": chain.former},
        "personal_data": PERSONAL,
        "left_out": LEFT_OUT,
        "files": {
            name: {"sha256": hashlib.sha256(content).hexdigest(), "rows": counts.get(name)}
            for name, content in contents.items()
        },
    }
    return _zip({"manifest.json": json.dumps(manifest, indent=1, ensure_ascii=False).encode(), **contents})


def _rows_of(event: Event) -> dict[str, list[Model]]:
    """The rows of each table in the order of their ids: those of the event, of its people, and what they refer to."""
    found: dict[str, list[Model]] = {}
    wanted: dict[str, set[Any]] = defaultdict(set)
    ways = {table.label: table for table in tables()}
    for table in ways.values():
        if table.root == EVENT:
            found[table.label] = list(
                table.model._default_manager.filter(**{table.path: event.pk}).order_by("pk")
            )
            _refer(table, found[table.label], wanted)
    people = wanted[PERSON]
    for table in ways.values():
        if table.root == PERSON:
            found[table.label] = _by(table.model, table.path, people)
            _refer(table, found[table.label], wanted)
    rootless = [table for table in ways.values() if not table.root]
    for table in reversed(rootless):  # what is referred to may refer further
        _refer(table, _by(table.model, "pk", wanted[table.label]), wanted)
    for table in rootless:
        found[table.label] = _rootless(table, found, wanted)
    return found


def _rootless(table: Table, found: dict[str, list[Model]], wanted: dict[str, set[Any]]) -> list[Model]:
    """Rows that others refer to, and those that belong to such a row: every model of an approved list."""
    rows = {row.pk: row for row in _by(table.model, "pk", wanted[table.label])}
    for key in table.references:
        owners = [row.pk for row in found.get(label_of(key), ())]
        rows |= {row.pk: row for row in _by(table.model, key.name, owners)}
    return [rows[key] for key in sorted(rows)]


def _by(model: type[Model], path: str, keys: Iterable[Any]) -> list[Model]:
    """Rows by many keys, in the order of their ids."""
    ordered = sorted(keys)
    rows: dict[Any, Model] = {}
    for at in range(0, len(ordered), CHUNK):
        for row in model._default_manager.filter(**{f"{path}__in": ordered[at : at + CHUNK]}):
            rows[row.pk] = row
    return [rows[key] for key in sorted(rows)]


def _refer(table: Table, rows: Iterable[Model], wanted: dict[str, set[Any]]) -> None:
    for key in table.references:
        wanted[label_of(key)].update(
            value for row in rows if (value := getattr(row, key.attname)) is not None
        )


def _row(table: Table, row: Model, files: dict[str, bytes]) -> dict[str, Any]:
    """One row by its columns. What is binary stands in a file named by its SHA-256; accounts do not go along."""
    kept: dict[str, Any] = {}
    references = {key.attname for key in table.references}
    for field in table.fields:
        value = getattr(row, field.attname)
        if field.is_relation and field.attname not in references:
            value = None
        if is_file(field) and value is not None:
            content = bytes(value)
            value = hashlib.sha256(content).hexdigest()
            files[value] = content
        kept[field.attname] = plain(field, value)
    return kept


def _act(act: Act) -> dict[str, Any]:
    return {
        "number": act.number,
        "at": act.at.isoformat(),
        "actor_id": act.actor_id,
        "actor": act.actor,
        "action": act.action,
        "subject": act.subject,
        "detail": act.detail,
        "reason": act.reason,
        "before": act.before,
        "hash": act.hash,
    }


def _lines(rows: Iterable[dict[str, Any]]) -> bytes:
    return "".join(json.dumps(row, ensure_ascii=False, sort_keys=True) + "\n" for row in rows).encode()


def _zip(contents: dict[str, bytes]) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in contents.items():
            archive.writestr(name, content)
    return target.getvalue()
