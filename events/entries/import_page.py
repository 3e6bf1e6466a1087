"""What the import screen shows, ready to be written down: columns, questions, problems, a preview, counts."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from events.entries.import_answers import NEW, Answers
from events.entries.import_plan import Plan, Unclear
from events.entries.import_reading import READ_FIELDS, Reading
from events.entries.import_rows import Wanted
from events.entries.models import ImportFile, Status
from events.setup.figures import money_text
from events.sheets.cells import shown
from events.sheets.problems import Problem
from events.sheets.reading import Row, letters
from players.models import Membership, PlayingClass

_MEMBER = {
    Membership.CURRENT.value: "current member",
    Membership.EXPIRED.value: "membership expired",
    Membership.NONE.value: "no member",
}
PREVIEWED = 8
SAMPLES = 3
FIELD_CHOICES = tuple((field.key, field.label) for field in READ_FIELDS)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the file: its first values, and the field it is read as ("" for not at all)."""

    index: int
    letters: str
    heading: str
    samples: str
    field: str


@dataclass(frozen=True, slots=True)
class Question:
    """One question with what can be answered: choices (value, label), an approval, or that two are two."""

    problem: Problem
    choices: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Decided:
    """A decision on one row that can be taken back."""

    row: int
    who: str
    text: str


@dataclass(frozen=True, slots=True)
class Preview:
    row: int
    name: str
    person: str
    division: str
    rating: int | None
    facts: str
    paid: str
    change: str


def page_of(file: ImportFile, reading: Reading, plan: Plan) -> dict[str, Any]:
    """Everything of the screen apart from the frame (no query)."""
    answers = Answers.from_json(file.answers)
    currency = file.event.currency
    errors = [problem for problem in plan.problems if problem.severity == "error"]
    whole_file = [problem for problem in errors if problem.row not in plan.bad_rows]
    return {
        "file": file,
        "table": reading.table,
        "columns": columns_of(reading),
        "fields": FIELD_CHOICES,
        "answers": answers,
        "plan": plan,
        "whole_file": whole_file,
        "errors": [problem for problem in errors if problem.row in plan.bad_rows],
        "questions": [_question(found, plan) for found in plan.problems if found.severity == "question"],
        "warnings": [problem for problem in plan.problems if problem.severity == "warning"],
        "decided": decided_of(reading, plan, answers),
        "preview": [_preview(wanted, currency) for wanted in plan.rows[:PREVIEWED]],
        "updates": [_preview(w, currency) for w in plan.rows if w.is_changed and not w.is_new],
        "coming": plan.new + plan.updated,
        "items": _counts(plan),
    }


def columns_of(reading: Reading) -> list[Column]:
    """The columns that have a heading or any value."""
    table = reading.table
    by_index = {index: key for key, index in reading.mapping.items() if index is not None}
    return [
        Column(
            index, letters(index), table.headings[index], _samples(table.rows, index), by_index.get(index, "")
        )
        for index in table.used
    ]


def _samples(rows: Iterable[Row], index: int) -> str:
    found: list[str] = []
    for row in rows:
        text = shown(row.cells[index], 24)
        if text and text not in found:
            found.append(text)
        if len(found) == SAMPLES:
            break
    return " · ".join(found)


def _question(problem: Problem, plan: Plan) -> Question:
    if problem.kind != "person" or problem.row is None:
        return Question(problem, ())
    unclear = plan.unclear[problem.row]
    choices = [(str(pk), f"yes, {words}") for pk, words in unclear.persons]
    if unclear.may_be_new:
        choices.append((NEW, "no, somebody new"))
    return Question(problem, tuple(choices))


def decided_of(reading: Reading, plan: Plan, answers: Answers) -> list[Decided]:
    """The decisions on rows of this file, in its order."""
    rows = {row.number: row for row in reading.table.rows}
    texts: dict[int, list[str]] = {row: ["left out"] for row in plan.left_out}
    for row, chosen in answers.persons.items():
        if row in plan.unclear and row not in answers.leave_out:
            texts.setdefault(row, []).append(_who(plan.unclear[row], chosen))
    for row in answers.apart - answers.leave_out:
        texts.setdefault(row, []).append("somebody else than the row it resembles")
    for row, words in answers.approvals.items():
        if row not in answers.leave_out:
            texts.setdefault(row, []).append(f"division approved: {words}")
    return [
        Decided(row, _first_words(rows[row], reading.mapping), "; ".join(filter(None, words)))
        for row, words in sorted(texts.items())
        if row in rows and any(words)
    ]


def _who(unclear: Unclear, chosen: int | None) -> str:
    """What was answered; nothing for an answer that no longer fits."""
    if chosen is None:
        return "somebody new" if unclear.may_be_new else ""
    return next((f"is {words}" for pk, words in unclear.persons if pk == chosen), "")


def _first_words(row: Row, mapping: Mapping[str, int | None]) -> str:
    """Who the row is about, as the file says it."""
    indexes = (mapping.get(key) for key in ("full_name", "given", "family"))
    return " ".join(filter(None, (shown(row.cells[index]) for index in indexes if index is not None)))


def _preview(wanted: Wanted, currency: str) -> Preview:
    person, entry = wanted.person, wanted.entry
    facts = [
        f"born {person.birth_year}" if person.birth_year else "",
        PlayingClass(person.playing_class).label if person.playing_class != PlayingClass.UNKNOWN else "",
        _MEMBER.get(person.membership, ""),
        person.town,
    ]
    state = ", to the waitlist" if entry.status == Status.WAITLISTED and wanted.is_new else ""
    return Preview(
        row=wanted.row.row,
        name=person.name,
        person=f"member {person.member_number}" if person.member_number else "no member number",
        division=entry.division.code,
        rating=entry.rating,
        facts=" · ".join(filter(None, facts)),
        paid=money_text(entry.paid_elsewhere_cents, currency),
        change=f"new{state}" if wanted.is_new else changes_in_words(wanted) or "unchanged",
    )


def changes_in_words(wanted: Wanted) -> str:
    """rating 900 → 905; new phone; with Lunch."""
    parts = []
    for name, found in wanted.changes.items():
        label = name.replace("_", " ").replace(" cents", "")
        if name == "private":
            parts.append(f"new {', '.join(found).replace('_', ' ')}")
        elif name == "add-ons":
            parts.append(f"with {', '.join(found)}")
        elif name not in ("fee_cents", "received_at"):
            old, new = (_value(name, value) for value in found)
            parts.append(f"{label} {old} → {new}")
    return "; ".join(parts)


def _value(name: str, value: Any) -> str:
    if value is None or value == "":
        return "nothing"
    if name.endswith("_cents"):
        return f"{value / 100:.2f}"
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _counts(plan: Plan) -> list[dict[str, Any]]:
    questions = sum(problem.severity == "question" for problem in plan.problems)
    errors = len(plan.blocking) - questions
    counts = (
        ("new", plan.new, False),
        ("updated", plan.updated, False),
        ("unchanged", plan.unchanged, False),
        ("left out", len(plan.left_out), False),
        ("problems to mend", errors, errors > 0),
        ("questions to answer", questions, questions > 0),
        ("remarks", len(plan.problems) - len(plan.blocking), False),
    )
    return [{"label": label, "value": value, "needs": needs, "url": None} for label, value, needs in counts]
