"""What a list would change: every row laid over what is known, with every problem. Nothing is saved here."""

import re
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from events.entries.eligibility import EventFacts, Verdict, check
from events.entries.facts import event_facts, person_facts
from events.entries.import_answers import Answers
from events.entries.import_people import Known, name_key
from events.entries.import_reading import Reading
from events.entries.import_rows import (
    Wanted,
    contact_values,
    entry_values,
    lay_over,
    moment_of,
    person_values,
)
from events.entries.models import Entry, EntryAddOn, Status
from events.entries.queries import with_money
from events.rulebook.divisions import division
from events.rulebook.loader import Rulebook
from events.setup.models import AddOn, Division, Event
from events.sheets.cells import plain
from events.sheets.entrants import EntrantRow
from events.sheets.problems import Problem, Severity
from players.models import Contact, Person, PlayingClass

# Leaving out the row that such a problem names would not mend it.
_UNASKED = 0
WHOLE_FILE = frozenset({"columns", "date_order", "given_up"})


@dataclass(frozen=True, slots=True)
class Plan:
    """`rows` are all that can be saved, `problems` all that stand, by row; `left_out` the rows left out."""

    rows: tuple[Wanted, ...]
    problems: tuple[Problem, ...]
    left_out: tuple[int, ...]
    ask_all_paid: bool
    ask_amateur: bool

    @property
    def blocking(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity != "warning")

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
    """Lay a list over the event's entries and the known persons (a fixed number of queries per 400 rows)."""
    planning = _Planning(event, reading, answers, book, now)
    planning.take_all()
    left = answers.leave_out & {row.number for row in reading.table.rows}
    problems = [found for found in (*reading.problems, *planning.problems) if planning.stands(found)]
    problems.sort(key=lambda problem: problem.row or 0)
    return Plan(
        rows=tuple(planning.rows),
        problems=tuple(problems),
        left_out=tuple(sorted(left)),
        ask_all_paid=not reading.has("paid"),
        ask_amateur=not reading.has("class_of_play"),
    )


@dataclass(slots=True)
class _Standing:
    """What the event holds already: entries by person with their money, their add-ons, contacts."""

    entries: dict[int, Any]
    addons: dict[int, set[int]] = field(default_factory=dict)
    contacts: dict[int, Contact] = field(default_factory=dict)


def _standing(event: Event) -> _Standing:
    """2 queries; contacts are read when it is known whose."""
    entries = with_money(Entry.objects.filter(event=event)).select_related("division")
    sold: dict[int, set[int]] = {}
    for entry, addon in EntryAddOn.objects.filter(entry__event=event).values_list("entry_id", "addon_id"):
        sold.setdefault(entry, set()).add(addon)
    return _Standing({entry.person_id: entry for entry in entries}, sold)


class _Planning:
    """The state of one pass over the rows."""

    def __init__(
        self, event: Event, reading: Reading, answers: Answers, book: Rulebook, now: datetime
    ) -> None:
        self.rows: list[Wanted] = []
        self.problems: list[Problem] = []
        self._event, self._reading, self._answers, self._now = event, reading, answers, now
        self._checks = _Checks(event_facts(event, reading.offered), book)
        self._professional = {code: division(book, code).professional for code in reading.offered}
        self._standing = _standing(event)
        self._zone = event.zone
        self._taken = [row for row in reading.entrants if row.row not in answers.leave_out]
        self._known = Known(self._taken, self._standing.entries)
        self._seen: dict[int, int] = {}
        self._unclassed = 0
        names = AddOn.objects.filter(event=event)
        self._addons = {plain(addon.name): addon for addon in names}

    def take_all(self) -> None:
        known = list(self._known.by_id)
        for start in range(0, len(known), 400):
            found = Contact.objects.in_bulk(known[start : start + 400])
            self._standing.contacts.update(found)
        for row in self._taken:
            self._take(row)
        if self._unclassed:
            self._say(
                None, "class_of_play", "",
                f"It is not known whether {self._unclassed} players of amateur divisions are amateurs.",
                "say that they are, or bring in a column that says pro or am", "warning",
            )  # fmt: skip

    def stands(self, problem: Problem) -> bool:
        """Whether a problem still stands after what was decided."""
        if problem.kind in WHOLE_FILE or problem.row is None:
            return True
        if problem.row in self._answers.leave_out:
            return False
        return not (problem.kind == "twin" and problem.row in self._answers.apart)

    def _say(
        self,
        row: EntrantRow | None,
        key: str,
        value: str,
        problem: str,
        mend: str,
        severity: Severity = "error",
        kind: str = "",
    ) -> None:
        number = row.row if row else None
        column = self._reading.column(key)
        self.problems.append(Problem(number, column, value, problem, mend, severity, kind))

    def _take(self, row: EntrantRow) -> None:
        person = self._person(row)
        if person is None:
            return
        if person.pk is not None and (twin := self._seen.setdefault(person.pk, row.row)) != row.row:
            self._say(
                row, "member_number", person.name, f"is the same person as in row {twin}", "leave out one of the two"
            )  # fmt: skip
            return
        wanted = self._laid_over(row, person)
        if wanted is not None:
            self.rows.append(wanted)

    def _person(self, row: EntrantRow) -> Person | None:
        """The person meant, a new one, or None with the question asked."""
        meant = self._known.meant_by(row)
        if not meant.candidates:
            return meant.person or _new_person(row)
        chosen = self._answers.persons.get(row.row, _UNASKED)
        for candidate in meant.candidates:
            if candidate.pk == chosen:
                return candidate
        holder = [who for who in meant.candidates if who.member_number == row.member_number is not None]
        if chosen is None and not holder:
            return _new_person(row)
        words = "; ".join(described(who) for who in meant.candidates)
        self._say(
            row, "member_number" if holder else "family", f"{row.given} {row.family}".strip(),
            f"{meant.why}: is this {words}?", "say who is meant, or leave the row out", "question", "person",
        )  # fmt: skip
        return None

    def _laid_over(self, row: EntrantRow, person: Person) -> Wanted | None:
        standing = self._standing.entries.get(person.pk) if person.pk else None
        offered = self._reading.offered[row.division or ""]
        wanted = Wanted(row, person, None, standing or Entry(event=self._event), is_new=standing is None)
        values = person_values(row) | _name_values(row, person)
        if person.playing_class == PlayingClass.UNKNOWN and not self._reading.has("class_of_play"):
            values |= self._assumed_class(offered.code)
        wanted.person_changes = lay_over(person, values)
        self._contact(wanted)
        if standing is None:
            self._new_entry(wanted, offered)
        else:
            self._old_entry(wanted, standing, offered)
        return wanted if self._allowed(wanted) else None

    def _assumed_class(self, code: str) -> dict[str, Any]:
        """A list without classes: who enters a professional division counts as one."""
        if self._professional[code]:
            return {"playing_class": PlayingClass.PRO}
        if self._answers.others_amateur:
            return {"playing_class": PlayingClass.AM}
        self._unclassed += 1
        return {}

    def _contact(self, wanted: Wanted) -> None:
        values = contact_values(wanted.row)
        if not values:
            return
        known = self._standing.contacts.get(wanted.person.pk) if wanted.person.pk else None
        wanted.contact_is_new = known is None
        wanted.contact = known or Contact()
        wanted.contact_changes = tuple(lay_over(wanted.contact, values))

    def _new_entry(self, wanted: Wanted, offered: Division) -> None:
        row, person, entry = wanted.row, wanted.person, wanted.entry
        lay_over(entry, entry_values(row))
        entry.division, entry.fee_cents = offered, offered.fee_cents
        entry.received_at = moment_of(row, self._zone) or self._now
        entry.rating, entry.rating_date = person.rating, person.rating_date
        entry.rated_rounds = person.rated_rounds
        wanted.addons = self._ordered(row, frozenset())
        charged = entry.fee_cents + sum(addon.fee_cents for addon in wanted.addons if not addon.included)
        entry.paid_elsewhere_cents = self._paid(row, charged)
        wanted.to_place = entry.paid_elsewhere_cents >= charged and not row.waitlist
        if row.waitlist:
            entry.status = Status.WAITLISTED

    def _paid(self, row: EntrantRow, charged: int) -> int:
        if self._reading.has("paid"):
            return row.paid or 0
        return charged if self._answers.all_paid is not False else 0

    def _old_entry(self, wanted: Wanted, standing: Any, offered: Division) -> None:
        """Facts, division and money of an entry that is there; what happened at the desk stays."""
        row = wanted.row
        values: dict[str, Any] = entry_values(row)
        wanted.addons = self._ordered(row, frozenset(self._standing.addons.get(standing.pk, ())))
        moved = standing.division_id != offered.pk
        if moved and standing.checked_in_at is not None:
            self._say(
                row, "division", offered.code, f"is checked in already in {standing.division.code}, which stays",
                "change the division at the desk", "warning",
            )  # fmt: skip
            moved = False
        before, charged, elsewhere = standing.division.code, standing.charged, standing.paid_elsewhere_cents
        if moved:
            charged += offered.fee_cents - standing.fee_cents
            values |= {"division": offered, "fee_cents": offered.fee_cents}
        charged += sum(addon.fee_cents for addon in wanted.addons if not addon.included)
        at_desk = standing.paid - elsewhere
        if self._reading.has("paid"):
            elsewhere = elsewhere if row.paid is None else row.paid
        elif self._answers.all_paid is not False:
            elsewhere = max(elsewhere, charged - at_desk)
        values["paid_elsewhere_cents"] = elsewhere
        settled = elsewhere + at_desk >= charged
        now_paid = standing.status == Status.APPLIED and settled
        if now_paid:
            values["received_at"] = self._now  # the order of entry is by the fee, not by the application
        wanted.entry_changes = lay_over(standing, values)
        if moved:
            wanted.entry_changes["division"] = (before, offered.code)
        waits_or_in = standing.status in (Status.CONFIRMED, Status.WAITLISTED)
        wanted.to_place = now_paid or (moved and waits_or_in)

    def _ordered(self, row: EntrantRow, sold: frozenset[int]) -> tuple[AddOn, ...]:
        """The add-ons that the row names and the entry does not have yet."""
        found = []
        for name in _listed(row.add_ons):
            addon = self._addons.get(plain(name))
            if addon is None:
                self._say(
                    row, "add_ons", name, f"'{name}' is not an add-on of this event and is left out",
                    f"write one of {', '.join(sorted(a.name for a in self._addons.values()))}"
                    if self._addons else "add it on the plan page first",
                    "warning",
                )  # fmt: skip
            elif addon.pk not in sold and addon not in found:
                found.append(addon)
        return tuple(found)

    def _allowed(self, wanted: Wanted) -> bool:
        """Ask the rules for a new entry or a new division; an approval is recorded with the entry."""
        if not (wanted.is_new or "division" in wanted.entry_changes):
            return True
        code = wanted.entry.division.code
        verdict = self._checks.of(wanted.person, code, known=self._reading.has("class_of_play"))
        if verdict.eligible:
            return True
        row = wanted.row
        approval = self._answers.approvals.get(row.row, "").strip()
        if verdict.eligible is None:
            self._say(
                row, "division", code, verdict.words, "enter the player all the same, or ask first", "warning"
            )
        elif not approval:
            self._say(
                row, "division", code, verdict.words, "leave the row out, or write who approved it and why",
                "question", "refused",
            )  # fmt: skip
            return False
        else:
            wanted.entry_changes |= lay_over(wanted.entry, {"exception": approval})
        return True


class _Checks:
    """The rules of entering, asked once for players who are alike."""

    def __init__(self, event: EventFacts, book: Rulebook) -> None:
        self._event, self._book = event, book

    def of(self, person: Person, code: str, *, known: bool) -> Verdict:
        """`known` False: a missing class is said once for the whole file, not for every player."""
        facts = person_facts(person)
        if not known and facts.playing_class == "unknown":
            facts = replace(facts, playing_class="am")
        return check(facts, code, self._event, self._book)


def _new_person(row: EntrantRow) -> Person:
    """A single name is the family name: lists are sorted by it."""
    return Person(given_name=row.given if row.family else "", family_name=row.family or row.given)


def _name_values(row: EntrantRow, person: Person) -> dict[str, str]:
    """The list's name where the director said that it means somebody of another name."""
    if name_key(row.given, row.family) == name_key(person.given_name, person.family_name):
        return {}
    new = _new_person(row)
    return {"given_name": new.given_name, "family_name": new.family_name}


def _listed(text: str | None) -> list[str]:
    return [part for name in re.split(r"[,;+/\n]", text or "") if (part := name.strip())]


def described(person: Person) -> str:
    """Ines Halvorsen, born 1990, member 70001."""
    parts = [person.name]
    if person.birth_year is not None:
        parts.append(f"born {person.birth_year}")
    if person.member_number is not None:
        parts.append(f"member {person.member_number}")
    return ", ".join(parts)
