"""What a list would change: every row laid over what is known, with every problem. Nothing is saved here."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from events.entries.eligibility import check
from events.entries.facts import event_facts, person_facts
from events.entries.import_answers import Answers
from events.entries.import_entry import EntryLaying, Standing
from events.entries.import_people import Known, Meant, described, name_key
from events.entries.import_problems import Notes
from events.entries.import_reading import Reading
from events.entries.import_rows import Wanted, contact_values, lay_over, new_person, person_values
from events.entries.models import Entry
from events.rulebook.divisions import division
from events.rulebook.loader import Rulebook
from events.setup.models import Event
from events.sheets.entrants import EntrantRow
from events.sheets.problems import Problem
from players.models import Contact, Person, PlayingClass

# Leaving out the row that such a problem names would not mend it.
WHOLE_FILE = frozenset({"columns", "date_order", "given_up"})
LONGEST_NAME = 60
_AT_ONCE = 400
_NOT_ASKED = 0


@dataclass(frozen=True, slots=True)
class Unclear:
    """Whom a row may mean: (id, description as known so far). A taken member number cannot be somebody new's."""

    persons: tuple[tuple[int, str], ...]
    may_be_new: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """`rows` are all that can be saved, `problems` all that stand, by row; `left_out` the rows left out.

    `unclear`: row → who it may mean, also where that was answered. `ask_paid`, `ask_class`: the list has no
    such column.
    """

    rows: tuple[Wanted, ...]
    problems: tuple[Problem, ...]
    left_out: tuple[int, ...]
    unclear: Mapping[int, Unclear]
    ask_paid: bool
    ask_class: bool

    @property
    def blocking(self) -> tuple[Problem, ...]:
        """Errors and open questions: nothing is saved while there is one."""
        return tuple(problem for problem in self.problems if problem.severity != "warning")

    @property
    def bad_rows(self) -> tuple[int, ...]:
        """Rows that could be left out to get rid of their errors."""
        errors = (p for p in self.problems if p.severity == "error" and p.kind not in WHOLE_FILE)
        return tuple(sorted({p.row for p in errors if p.row is not None}))

    @property
    def new(self) -> int:
        return sum(wanted.is_new for wanted in self.rows)

    @property
    def updated(self) -> int:
        return sum(wanted.is_changed and not wanted.is_new for wanted in self.rows)

    @property
    def unchanged(self) -> int:
        return len(self.rows) - self.new - self.updated


def make_plan(*, event: Event, reading: Reading, answers: Answers, book: Rulebook, now: datetime) -> Plan:
    """Lay a list over the event's entries and the known persons (a few queries for every 400 rows)."""
    planning = _Planning(event, reading, answers, book, now)
    planning.take_all()
    problems = [found for found in (*reading.problems, *planning.notes.found) if _stands(found, answers)]
    problems.sort(key=lambda problem: problem.row or 0)
    return Plan(
        rows=tuple(planning.rows),
        problems=tuple(problems),
        left_out=tuple(sorted(answers.leave_out & {row.number for row in reading.table.rows})),
        unclear=planning.unclear,
        ask_paid=not reading.has("paid"),
        ask_class=not reading.has("class_of_play"),
    )


def _stands(problem: Problem, answers: Answers) -> bool:
    """Whether a problem still stands after what was decided."""
    if problem.kind in WHOLE_FILE or problem.row is None:
        return True
    return problem.row not in answers.leave_out and not (
        problem.kind == "twin" and problem.row in answers.apart
    )


class _Planning:
    """The state of one pass over the rows."""

    def __init__(
        self, event: Event, reading: Reading, answers: Answers, book: Rulebook, now: datetime
    ) -> None:
        self.rows: list[Wanted] = []
        self.unclear: dict[int, Unclear] = {}
        self.notes = Notes(reading)
        self._event, self._reading, self._answers, self._book = event, reading, answers, book
        self._facts = event_facts(event, reading.offered)
        self._professional = {code: division(book, code).professional for code in reading.offered}
        self._standing = Standing.of(event)
        self._laying = EntryLaying(event, reading, answers, self._standing, self.notes, now)
        self._taken = [row for row in reading.entrants if row.row not in answers.leave_out]
        self._known = Known(self._taken, self._standing.entries)
        self._contacts = _contacts(list(self._known.by_id))
        self._seen: dict[int, int] = {}
        self._unclassed: Counter[str] = Counter()

    def take_all(self) -> None:
        """Every row, then what is said once of the whole file."""
        for row in self._taken:
            self._take(row)
        if self._unclassed:
            problem = (
                f"players in amateur divisions whose class the list does not say: {self._unclassed.total()}"
            )
            mend = "say that they are, or leave it open"
            self.notes.warning(None, "class_of_play", ", ".join(sorted(self._unclassed)), problem, mend)
        if self._taken and not self._reading.has("registered_at") and self._is_capped():
            problem = "the list does not say when each entered, so all count as entered now"
            mend = "choose a column with the time of entry if there is one: places are given in that order"
            self.notes.warning(None, "registered_at", "", problem, mend)

    def _is_capped(self) -> bool:
        event = self._event
        caps = (event.cap, event.cap_pro, event.cap_am, *(d.cap for d in self._reading.offered.values()))
        return any(cap is not None for cap in caps)

    def _take(self, row: EntrantRow) -> None:
        person = self._person(row) if self._is_nameable(row) else None
        if person is None:
            return
        twin = row.row if person.pk is None else self._seen.setdefault(person.pk, row.row)
        if twin != row.row:
            problem = f"is the same person as in row {twin}"
            self.notes.error(row, "member_number", person.name, problem, "leave out one of the two rows")
            return
        wanted = self._laid_over(row, person)
        if self._allowed(wanted):
            self.rows.append(wanted)

    def _is_nameable(self, row: EntrantRow) -> bool:
        """A name is never shortened."""
        for key in ("given", "family"):
            if len(getattr(row, key)) > LONGEST_NAME:
                problem = f"is longer than {LONGEST_NAME} letters"
                self.notes.error(row, key, getattr(row, key)[:60], problem, "write the name shorter")
                return False
        return True

    def _person(self, row: EntrantRow) -> Person | None:
        """The person meant, a new one, or None with the question asked."""
        meant = self._known.meant_by(row)
        if not meant.candidates:
            return meant.person or new_person(row)
        persons = tuple((who.pk, described(who)) for who in meant.candidates)
        self.unclear[row.row] = Unclear(persons, may_be_new=not meant.by_number)
        chosen = self._answers.persons.get(row.row, _NOT_ASKED)
        if chosen is None and not meant.by_number:
            return new_person(row)
        for candidate in meant.candidates:
            if candidate.pk == chosen:
                return candidate
        self._ask_who(row, meant)
        return None

    def _ask_who(self, row: EntrantRow, meant: Meant) -> None:
        them = "; ".join(described(who) for who in meant.candidates)
        asked = f"is this {them}?" if len(meant.candidates) == 1 else f"is this one of them: {them}?"
        mend = "say yes, or correct the number" if meant.by_number else "say who is meant"
        key = "member_number" if meant.by_number else "family" if self._reading.has("family") else "full_name"
        value = f"{row.given} {row.family}".strip()
        self.notes.question(row, key, value, f"{meant.why}: {asked}", mend, "person")

    def _laid_over(self, row: EntrantRow, person: Person) -> Wanted:
        """The row with person, contact and entry as they will be saved."""
        standing = self._standing.entries.get(person.pk) if person.pk else None
        offered = self._reading.offered[row.division or ""]
        wanted = Wanted(row, person, standing or Entry(event=self._event), is_new=standing is None)
        values = self.notes.fit(row, Person, person_values(row, person)) | _name_values(row, person)
        if person.playing_class == PlayingClass.UNKNOWN and not self._reading.has("class_of_play"):
            values |= self._assumed_class(offered.code)
        wanted.person_changes = lay_over(person, values)
        self._contact(wanted)
        if standing is None:
            self._laying.new(wanted, offered)
        else:
            self._laying.old(wanted, standing, offered)
        return wanted

    def _assumed_class(self, code: str) -> dict[str, Any]:
        """A list without classes: who enters a professional division counts as a professional."""
        if self._professional[code]:
            return {"playing_class": PlayingClass.PRO}
        if self._answers.others_amateur:
            return {"playing_class": PlayingClass.AM}
        self._unclassed[code] += 1
        return {}

    def _contact(self, wanted: Wanted) -> None:
        values = self.notes.fit(wanted.row, Contact, contact_values(wanted.row))
        if not values:
            return
        known = self._contacts.get(wanted.person.pk) if wanted.person.pk else None
        wanted.contact_is_new = known is None
        wanted.contact = known or Contact()
        wanted.contact_changes = tuple(lay_over(wanted.contact, values))

    def _allowed(self, wanted: Wanted) -> bool:
        """Ask the rules for a new entry, a new division, a rating learned; an approval is kept with the entry."""
        asked = wanted.entry_changes.keys() & {"division", "rating"}
        if not (wanted.is_new or asked) or wanted.entry.exception:
            return True
        row, code = wanted.row, wanted.entry.division.code
        facts = person_facts(wanted.person)
        if facts.playing_class == PlayingClass.UNKNOWN and not self._reading.has("class_of_play"):
            facts = replace(facts, playing_class=PlayingClass.AM.value)  # said once for the whole file
        verdict = check(facts, code, self._facts, self._book)
        if verdict.eligible:
            return True
        if verdict.eligible is None:
            self.notes.warning(row, "division", code, verdict.words, "ask at the desk")
            return True
        approval = self._answers.approvals.get(row.row, "").strip()
        if not approval:
            mend = "leave the row out, or write who approved it and why"
            self.notes.question(row, "division", code, verdict.words, mend, "refused")
            return False
        wanted.entry_changes |= lay_over(wanted.entry, {"exception": approval})
        return True


def _contacts(persons: list[int]) -> dict[int, Contact]:
    found: dict[int, Contact] = {}
    for start in range(0, len(persons), _AT_ONCE):
        found |= Contact.objects.in_bulk(persons[start : start + _AT_ONCE])
    return found


def _name_values(row: EntrantRow, person: Person) -> dict[str, str]:
    """The list's name where the director said that it means somebody known by another one."""
    if name_key(row.given, row.family) == name_key(person.given_name, person.family_name):
        return {}
    new = new_person(row)
    return {"given_name": new.given_name, "family_name": new.family_name}
