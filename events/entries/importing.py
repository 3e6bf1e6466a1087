"""Bringing a list of entries in: all of it or nothing, and the same list again without doubling anybody."""

import hashlib
import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from events.entries.import_answers import Answers
from events.entries.import_plan import Plan, make_plan
from events.entries.import_reading import Reading, read_list
from events.entries.import_saving import save_plan
from events.entries.models import ImportFile
from events.entries.services import refuse_when_over
from events.log.services import Actor
from events.setup.models import Event
from events.setup.queries import rulebook_for
from events.sheets.problems import Problem
from events.sheets.refusal import Refused


@dataclass(frozen=True, slots=True)
class Outcome:
    """How many entries were made, changed and found as they are; the rows left out; the warnings that stood."""

    new: int
    updated: int
    unchanged: int
    left_out: tuple[int, ...]
    problems: tuple[Problem, ...]

    @property
    def words(self) -> str:
        """What happened, for the page and the command."""
        said = f"{self.new} new, {self.updated} updated, {self.unchanged} unchanged."
        if not self.new and not self.updated:
            said = "Nothing changed: everybody in the list is here as it says."
        if not self.left_out:
            return said
        rows = ", ".join(map(str, self.left_out))
        return f"{said} Left out: row{'s' if len(self.left_out) > 1 else ''} {rows}."


class ImportRefused(Exception):
    """Nothing was saved; `problems` say why: errors and questions of the rows, or one of the whole file."""

    def __init__(self, problems: Collection[Problem]) -> None:
        self.problems = tuple(problems)
        first = next((p for p in self.problems if p.severity != "warning"), None)
        super().__init__(first.problem if first else "The list cannot be brought in.")


class BroughtInAlready(Exception):
    """This upload was confirmed before; to bring the list in again, upload it again."""


class ImportStale(Exception):
    """Columns or answers were changed since the page was shown that asks to save them."""


def keep_readable(*, event: Event, name: str, data: bytes, actor: Actor, now: datetime) -> ImportFile:
    """Keep an uploaded list with its guessed columns; one that waits already is taken up again.

    Raises `Refused` for a file that cannot be read.
    """
    waiting = ImportFile.objects.filter(event=event, sha256=_digest(data), confirmed_at=None).first()
    if waiting is not None:
        return waiting
    guessed = read_list(event=event, name=name, data=data, sheet=None, mapping=None, answers=Answers())
    file = keep_file(event=event, name=name, data=data, actor=actor, now=now)
    if file.mapping is None:
        choose(
            file=file,
            sheet=guessed.table.sheet,
            mapping=guessed.mapping,
            answers=Answers.from_json(file.answers),
        )
    return file


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def keep_file(*, event: Event, name: str, data: bytes, actor: Actor, now: datetime) -> ImportFile:
    """Keep an uploaded list as it came. Decisions on an earlier upload of the same bytes are taken over."""
    digest = _digest(data)
    before = ImportFile.objects.filter(event=event, sha256=digest).order_by("-pk").first()
    return ImportFile.objects.create(
        event=event,
        name=name[:200],
        content=data,
        sha256=digest,
        sheet=before.sheet if before else "",
        mapping=before.mapping if before else None,
        answers=before.answers if before else {},
        uploaded_by_id=actor.id,
        uploaded_at=now,
    )


def choose(
    *, file: ImportFile, sheet: str, mapping: Mapping[str, int | None] | None, answers: Answers
) -> None:
    """Keep what was chosen and answered so far. Nothing of the list itself is saved by it."""
    file.sheet, file.answers = sheet, answers.as_json()
    file.mapping = None if mapping is None else dict(mapping)
    file.save(update_fields=["sheet", "mapping", "answers"])


def plan_file(file: ImportFile, *, now: datetime) -> tuple[Reading, Plan]:
    """The file read with what was chosen and answered so far, and what it would change. Raises `Refused`."""
    answers = Answers.from_json(file.answers)
    reading = read_list(
        event=file.event,
        name=file.name,
        data=bytes(file.content),
        sheet=file.sheet,
        mapping=file.mapping,
        answers=answers,
    )
    book = rulebook_for(file.event)
    return reading, make_plan(event=file.event, reading=reading, answers=answers, book=book, now=now)


def choice_mark(file: ImportFile) -> str:
    """A short mark of what was chosen and answered, to tell whether a page shows the present choices."""
    chosen = json.dumps([file.sheet, file.mapping, file.answers], sort_keys=True)
    return hashlib.sha256(chosen.encode()).hexdigest()[:16]


@transaction.atomic
def confirm(
    *,
    file: ImportFile,
    actor: Actor,
    now: datetime,
    mark: str | None = None,
    paid_must_be_said: bool = False,
) -> Outcome:
    """Save the list: every row that is not left out, or nothing.

    `mark`: the choices that were seen (`choice_mark`). `paid_must_be_said`: a list without amounts waits for the
    answer whether all are paid, which a command gives by its options. Raises ImportRefused while an error or an
    unanswered question stands, ImportStale for other choices than those seen, BroughtInAlready the second time,
    and EventOver.
    """
    file = ImportFile.objects.select_for_update(of=("self",)).select_related("event").get(pk=file.pk)
    refuse_when_over(file.event)
    if file.confirmed_at is not None:
        raise BroughtInAlready("This list was brought in already.")
    if mark is not None and mark != choice_mark(file):
        raise ImportStale("The choices for this list have changed. Look at the page again, then bring it in.")
    try:
        _, plan = plan_file(file, now=now)
    except Refused as refused:
        raise _of_the_file(refused) from refused
    if plan.blocking:
        raise ImportRefused(plan.problems)
    if paid_must_be_said and plan.ask_paid and Answers.from_json(file.answers).all_paid is None:
        raise ImportRefused(
            [Problem(None, "", "", "the list says nothing about money", "say whether all are paid")]
        )
    counts = (plan.new, plan.updated, plan.unchanged)
    save_plan(event=file.event, plan=plan, file=file, book=rulebook_for(file.event), actor=actor, now=now)
    _remember(file, plan, now)
    return Outcome(*counts, plan.left_out, plan.problems)


def _remember(file: ImportFile, plan: Plan, now: datetime) -> None:
    """Mark the file as done; who was taken for whom holds when the same list comes again."""
    answers = Answers.from_json(file.answers)
    chosen = {wanted.row.row: wanted.person.pk for wanted in plan.rows if wanted.row.row in answers.persons}
    file.answers = replace(answers, persons={**answers.persons, **chosen}).as_json()
    file.confirmed_at = now
    file.save(update_fields=["answers", "confirmed_at"])


def _of_the_file(refused: Refused) -> ImportRefused:
    return ImportRefused([Problem(None, "", "", str(refused), "choose another file")])


@transaction.atomic
def bring_in(
    *,
    event: Event,
    name: str,
    data: bytes,
    actor: Actor,
    now: datetime,
    mapping: Mapping[str, int | None] | None = None,
    all_paid: bool | None = None,
    leave_out: Collection[int] = (),
    answers: Answers | None = None,
) -> Outcome:
    """Keep, read and save a list in one go, for commands and tests.

    `mapping`: field → column; None: guessed. `all_paid` (a list without amounts): None counts as yes.
    `leave_out`: numbers of rows in the file. Raises ImportRefused, EventOver; then nothing is saved, not even the file.
    """
    file = keep_file(event=event, name=name, data=data, actor=actor, now=now)
    held = answers or Answers.from_json(file.answers)
    held = replace(
        held,
        all_paid=held.all_paid if all_paid is None else all_paid,
        leave_out=held.leave_out | frozenset(leave_out) if answers else frozenset(leave_out),
    )
    file.answers = held.as_json()
    if mapping is not None:
        file.mapping = dict(mapping)
    file.save(update_fields=["answers", "mapping"])
    return confirm(file=file, actor=actor, now=now)
