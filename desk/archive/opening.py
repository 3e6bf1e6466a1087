"""Opening an archive: its rows get ids of this installation, its people are matched, its log goes on."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import uuid4

from django.db import Error, transaction
from django.db.models import Field, ForeignKey, Model, UUIDField

from desk.archive.adding_up import check_scores
from desk.archive.people import free_numbers, known_people
from desk.archive.reading import Content, read_archive
from desk.archive.refusal import ArchiveRefused
from desk.archive.shape import EVENT, PERSON, Table, label_of, tables
from desk.archive.values import WITH_IDS, is_file, read
from events.entries.models import new_code
from events.log.actions import Action
from events.log.models import Act, Chain
from events.log.services import INSTALLATION, Actor, Fault, record, verify
from events.setup.models import Event
from players.models import Disc
from scoring.standings.queries import standings

BATCH = 500
NAMED = 3  # faults of a log are named up to so many; checking the chain names them all
# What rows can cause that somebody altered by hand, whatever stands in them: they are refused, not looked through one
# by one. The scores are read once before the event is taken in, since every page rests on them.
WRONG_ROWS = (Error, ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError)


@dataclass(frozen=True, slots=True)
class Opened:
    """What came of it: `known` people were here already and stay as they were; `faults` are those of the log in the
    file: it was not whole when the file was made, or somebody wrote the file anew."""

    event: Event
    rows: int
    known: int
    faults: tuple[Fault, ...]

    @property
    def fault_words(self) -> str:
        """A sentence or two about the faults; "": the log is whole."""
        if not self.faults:
            return ""
        found = "; ".join(fault.text for fault in self.faults[:NAMED])
        more = f", and {len(self.faults) - NAMED} faults more" if len(self.faults) > NAMED else ""
        return (
            f"The log in the file is not whole: {found}{more}. It was so when the file was made, or the file was"
            " changed since."
        )


@transaction.atomic
def open_archive(*, content: bytes, as_slug: str, actor: Actor, now: datetime) -> Opened:
    """Open the event of an archive, as `as_slug` unless empty. Raises ArchiveRefused, and changes nothing then."""
    held = read_archive(content)
    slug = as_slug or held.manifest.slug
    if Event.objects.filter(slug=slug).exists() or Chain.objects.filter(key=slug).exists():
        raise ArchiveRefused(f"There is an event {slug} here already: open the file under another name.")
    opening = _Opening(held, slug)
    try:
        opening.run()
        _open_log(held, slug)
        event = Event.objects.get(slug=slug)
        faults = verify(slug)[1]
        check_scores(event)
        standings(event)
    except WRONG_ROWS as wrong:
        raise ArchiveRefused("The file is damaged: its rows do not fit each other.") from wrong
    _say_so(event, held, faults, actor, now)
    return Opened(event, opening.written, len(opening.known), tuple(faults))


def _say_so(event: Event, held: Content, faults: Sequence[Fault], actor: Actor, now: datetime) -> None:
    for chain in (event.slug, INSTALLATION):
        record(
            chain=chain,
            action=Action.EVENT_OPENED,
            subject=event.name,
            actor=actor,
            now=now,
            detail={
                "from": held.manifest.slug,
                "made_at": held.manifest.made_at,
                "acts": len(held.acts),
                "faults": [fault.text for fault in faults],
            },
        )


class _Opening:
    """The rows of one archive on their way in. `ids` leads from table and id in the file to the id here."""

    def __init__(self, held: Content, slug: str) -> None:
        self.held, self.slug = held, slug
        self.ids: dict[tuple[str, Any], Any] = {}
        self.later: list[tuple[Table, int, ForeignKey[Any, Any], int]] = []
        self.coming: dict[str, set[Any]] = {}
        self.known: dict[int, int] = {}
        self.written = 0

    def run(self) -> None:
        for table in tables():
            rows = self.held.rows[table.label]
            if table.label == PERSON:
                rows = self._new_people(rows)
            elif table.root == PERSON:
                rows = self._of_people(table, rows)
            elif not table.root:
                rows = self._not_here_yet(table, rows)
            self._write(table, rows)
        for table, pk, key, old in self.later:
            table.model._default_manager.filter(pk=pk).update(**{key.attname: self.ids[label_of(key), old]})

    def _new_people(self, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        self.known = known_people(rows)
        self.ids |= {(PERSON, old): pk for old, pk in self.known.items()}
        return [row for row in rows if row["id"] not in self.known]

    def _of_people(self, table: Table, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """What somebody who was here already has here stays: the contact, pieces of the box."""
        if not self.known or table.path != "person":
            return rows
        theirs = [row for row in rows if row["person_id"] in self.known]
        joins = self._not_here_yet(table, theirs)
        if table.model is Disc:
            free_numbers(joins, self.known)
        kept = {id(row) for row in joins}
        return [row for row in rows if row["person_id"] not in self.known or id(row) in kept]

    def _not_here_yet(self, table: Table, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """Leave out rows that are here already, and lead their ids to those."""
        left = []
        for row in rows:
            pk = self._same_here(table, row)
            if pk is None:
                left.append(row)
            else:
                self.ids[table.label, row[_key(table)]] = pk
        return left

    def _same_here(self, table: Table, row: Mapping[str, Any]) -> Any:
        """The id of the row that is the same: by its own key and its owner, else by every value. One query."""
        key = table.model._meta.pk
        own = [field for field in table.fields if field.unique and not field.is_relation and field is not key]
        compared = [key] if key.is_relation else [*own, *table.references] if own else table.fields
        names = {}
        for field in compared:
            value = row[field.attname]
            if field.is_relation:
                names[field.attname] = self._here(field, value)
            elif field is not key:
                names[field.attname] = read(field, value)
        found = table.model._default_manager.filter(**names).order_by("pk")
        return found.values_list("pk", flat=True).first()

    def _write(self, table: Table, rows: list[dict[str, Any]]) -> None:
        """Rows in the order of their old ids, so that whatever is ordered by id stays so."""
        for field in table.fields:
            name = f"{table.label}.{field.name}"
            for row in rows if name in WITH_IDS else ():
                row[field.attname] = WITH_IDS[name](row[field.attname], self.ids)
            if field.unique and not field.is_relation and not field.primary_key and table.label != EVENT:
                self._freshen(table, field, rows)
        for at in range(0, len(rows), BATCH):
            some = rows[at : at + BATCH]
            made = [self._row(table, row) for row in some]
            table.model._default_manager.bulk_create(made)
            for row, new in zip(some, made, strict=True):
                self.ids[table.label, row[_key(table)]] = new.pk
            self._note_later(table, some, made)
            self.written += len(made)

    def _row(self, table: Table, row: Mapping[str, Any]) -> Model:
        values: dict[str, Any] = {}
        for field in table.fields:
            value = row[field.attname]
            if field.is_relation:
                value = self._here(field, value)
            elif field.primary_key:
                continue
            elif is_file(field):
                value = self.held.files[value] if value is not None else None
            else:
                value = read(field, value)
            values[field.attname] = value
        if table.label == EVENT:
            values["slug"] = self.slug
        return table.model(**values)

    def _here(self, field: "Field[Any, Any]", old: Any) -> Any:
        """The id here of what a row refers to; None for what is not in the file, or comes in later."""
        assert isinstance(field, ForeignKey)
        found = self.ids.get((label_of(field), old)) if old is not None else None
        if found is None and not field.null:
            raise ArchiveRefused(
                f"The file is damaged: a row of {field.model._meta.label} lacks its {field.name}."
            )
        return found

    def _note_later(self, table: Table, rows: Iterable[Mapping[str, Any]], made: Iterable[Model]) -> None:
        """Remember what refers to a row that has not come in yet."""
        keys = [key for key in table.references if key.null]
        for row, new in zip(rows, made, strict=True):
            for key in keys:
                old = row[key.attname]
                if old is not None and getattr(new, key.attname) is None and self._comes(label_of(key), old):
                    self.later.append((table, new.pk, key, old))

    def _comes(self, label: str, old: Any) -> bool:
        if label not in self.coming:
            key = _key(next(table for table in tables() if table.label == label))
            self.coming[label] = {row[key] for row in self.held.rows[label]}
        return old in self.coming[label]

    def _freshen(self, table: Table, field: "Field[Any, Any]", rows: list[dict[str, Any]]) -> None:
        """New values for keys that are taken here: the same event may be open twice in one installation."""
        taken: set[str] = set()
        for at in range(0, len(rows), BATCH):
            some = [read(field, row[field.attname]) for row in rows[at : at + BATCH]]
            found = table.model._default_manager.filter(**{f"{field.attname}__in": some})
            taken.update(str(value) for value in found.values_list(field.attname, flat=True))
        for row in rows:
            if str(row[field.attname]) in taken:
                old = row[field.attname]
                row[field.attname] = self.ids[f"{table.label}.{field.name}", old] = _another(field, old)


def _key(table: Table) -> str:
    return str(table.model._meta.pk.attname)


def _another(field: "Field[Any, Any]", value: Any) -> Any:
    if isinstance(field, UUIDField):
        return str(uuid4())
    if field.name == "code":
        return new_code()
    longest = field.max_length or len(value)
    return f"{value[: longest - 9]} {new_code()}"


def _open_log(held: Content, slug: str) -> None:
    """The chain as it was, under the name it has here; rows keep the key that they were hashed with."""
    of = held.manifest
    former = [list(each) for each in of.former]
    if slug != of.slug:
        former.append([of.length, of.slug])
    chain = Chain.objects.create(key=slug, length=of.length, head=of.head, former=former)
    Act.objects.bulk_create((Act(chain=chain, **_act(row)) for row in held.acts), batch_size=BATCH)


def _act(row: Mapping[str, Any]) -> dict[str, Any]:
    at = datetime.fromisoformat(row["at"])
    if at.tzinfo is None:
        raise ValueError("a moment without its offset")
    return {**row, "at": at}
