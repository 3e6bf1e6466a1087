"""An entry list read row by row: every problem found in one pass, nothing guessed."""

import datetime as dt
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from events.sheets import values
from events.sheets.bad import BadValue
from events.sheets.cells import Cell, Uncomputed, clean, is_blank, plain, shown
from events.sheets.entrant_fields import ENTRANT_FIELDS
from events.sheets.matching import guess, vocabulary
from events.sheets.problems import Problem, Severity
from events.sheets.reading import Row, Table
from events.sheets.twins import Twins
from events.sheets.values import DateOrder

EXPECTED = vocabulary(ENTRANT_FIELDS)

_NAME_KEYS = ("given", "family", "full_name")
# A value of these fields that cannot be read is left out with a warning: the person can still be entered, and
# the place that needs the value says that it is missing. Everything else stops the row.
_LEFT_OUT = frozenset(
    ("email", "phone", "emergency_phone", "gender", "class_of_play", "membership_current", "waitlist")
)
_FOOTER = re.compile(
    r"(?:(?:grand |sub ?)?(?:totals?|sum|count|average|gesamt|summe|anzahl|somme|suma|totaal|totale|yhteensa)"
    r"(?: (?:of|number|entries|entrants|players|people|registered|paid|amount|count|sum|spieler|\d+))*\Z"
    r"|page \d+|(?:printed|exported|generated) (?:on|at|by|from)\b)"
)
_FEW_CELLS = 3
MOST_PROBLEMS = 5_000


@dataclass(frozen=True, slots=True)
class EntrantRow:
    """One entrant as the file has it. `row`: as the spreadsheet program numbers it; None: not in the file.

    `family` and `given` are never both empty. `paid`: integer cents; `paid_in_full`: the column of amounts says
    yes or no instead. `registered_at`: naive unless the text
    carried an offset, midnight where the file names the day only. `gender` "F": eligible for the
    gender-based divisions.
    """

    row: int
    given: str
    family: str
    member_number: int | None = None
    birth_year: int | None = None
    division: str | None = None
    rating: int | None = None
    rating_date: dt.date | None = None
    rated_rounds: int | None = None
    gender: Literal["F", "M"] | None = None
    class_of_play: Literal["pro", "am"] | None = None
    membership_current: bool | None = None
    membership_expires: dt.date | None = None
    town: str | None = None
    club: str | None = None
    country: str | None = None
    email: str | None = None
    phone: str | None = None
    emergency_name: str | None = None
    emergency_phone: str | None = None
    guardian: str | None = None
    pack_size: str | None = None
    paid: int | None = None
    payment_method: str | None = None
    registered_at: dt.datetime | None = None
    add_ons: str | None = None
    waitlist: bool | None = None
    notes: str | None = None
    paid_in_full: bool | None = None


def guess_mapping(table: Table) -> dict[str, int | None]:
    """The entrant fields' columns (`matching.guess`); a "Name" beside a given name is the family name."""
    mapping = guess(table.headings, [row.cells for row in table.rows[:60]], ENTRANT_FIELDS)
    if mapping["given"] is not None and mapping["family"] is None and mapping["full_name"] is not None:
        mapping["family"], mapping["full_name"] = mapping["full_name"], None
    if mapping["class_of_play"] is None:
        mapping["class_of_play"] = _column_of_classes(table, frozenset(mapping.values()))
    return mapping


def _column_of_classes(table: Table, taken: frozenset[int | None]) -> int | None:
    """A column headed "Class" may hold divisions; one that holds nothing but pro and am does not."""
    for index, heading in enumerate(table.headings):
        if index not in taken and "class" in plain(heading).split():
            cells = [row.cells[index] for row in table.rows[:60] if not is_blank(row.cells[index])]
            if cells and all(map(_is_class, cells)):
                return index
    return None


def _is_class(cell: Cell) -> bool:
    try:
        return values.class_of_play(cell) is not None
    except BadValue:
        return False


def read_entrants(
    table: Table,
    mapping: Mapping[str, int | None],
    *,
    divisions: Collection[str],
    date_order: DateOrder | None,
    latest_birth_year: int = 2100,
) -> tuple[list[EntrantRow], list[Problem]]:
    """The rows that can be taken, and every problem of the file ordered by row.

    `mapping`: field key -> column index or None (not in the file, which is nothing wrong). Rows with an
    `error` are not among the result; rows with a `question` are, and must not be saved unanswered.
    """
    reading = _Reading(table, mapping, divisions, date_order, latest_birth_year)
    for row in table.rows:
        if len(reading.problems) >= MOST_PROBLEMS:
            reading.give_up(row)
            break
        reading.take(row)
    reading.finish()
    return reading.entrants, reading.problems


class _Reading:
    """The state of one pass over the file."""

    def __init__(
        self,
        table: Table,
        mapping: Mapping[str, int | None],
        divisions: Collection[str],
        date_order: DateOrder | None,
        latest_birth_year: int,
    ) -> None:
        width = len(table.headings)
        converters = _converters(divisions, date_order, latest_birth_year)
        self._columns = {key: index for key, index in mapping.items() if index is not None}
        strange = [
            key for key, index in self._columns.items() if key not in converters or not 0 <= index < width
        ]
        if strange:
            raise ValueError(f"the mapping does not fit this table: {', '.join(sorted(strange))}")
        self._steps = [(key, index, converters[key]) for key, index in self._columns.items()]
        self._names = {key: table.column_name(index) for key, index in self._columns.items()}
        self._headings = tuple(heading.casefold() for heading in table.headings)
        self._divisions = divisions
        self._twins = Twins()
        self._unclear: dict[str, list[Problem]] = {}
        self.entrants: list[EntrantRow] = []
        self.problems: list[Problem] = []

    def take(self, row: Row) -> None:
        """Convert one row, or say why it is not one of an entrant."""
        filled = [cell for cell in row.cells if not is_blank(cell)]
        if not filled:
            return
        reason = self._not_an_entrant(row, filled)
        if reason:
            words = " ".join(shown(cell) for cell in filled)
            self._say(row, "", words, reason, "nothing to mend if that is right", severity="warning")
            return
        found: dict[str, Any] = {}
        sound = True
        for key, index, converter in self._steps:
            cell = row.cells[index]
            if cell is None:
                continue
            try:
                found[key] = converter(cell)
            except BadValue as bad:
                sound = self._report(row, key, cell, bad) and sound
        if self._complete(row, found) and sound:
            self._keep(row, found)

    def give_up(self, row: Row) -> None:
        """A file with a problem in nearly every row has a wrong column, not thousands of faults."""
        self._say(
            row, "", "", f"there are more than {MOST_PROBLEMS:,} problems; the rows from here on were not read",
            "check which columns were chosen", kind="given_up",
        )  # fmt: skip

    def finish(self) -> None:
        """One question per column of unclear dates instead of one per cell; problems in the file's order."""
        for questions in self._unclear.values():
            first, more = questions[0], len(questions) - 1
            also = f"; so can {more} more in this column" if more else ""
            self.problems.append(replace(first, problem=first.problem + also, kind="date_order"))
        self.problems.sort(key=lambda problem: problem.row or 0)

    def _say(
        self,
        row: Row,
        column: str,
        value: str,
        problem: str,
        mend: str,
        *,
        severity: Severity = "error",
        kind: str = "",
    ) -> None:
        self.problems.append(Problem(row.number, column, value, problem, mend, severity, kind))

    def _report(self, row: Row, key: str, cell: Cell, bad: BadValue) -> bool:
        """Write the problem down; True when the row can be taken all the same."""
        column, value = self._names[key], shown(cell)
        if bad.unclear:
            question = Problem(row.number, column, value, bad.problem, bad.mend, "question")
            self._unclear.setdefault(key, []).append(question)
            return True
        if key in _LEFT_OUT:
            self._say(row, column, value, f"{bad.problem} and is left out", bad.mend, severity="warning")
            return True
        self._say(row, column, value, bad.problem, bad.mend)
        return False

    def _complete(self, row: Row, found: dict[str, Any]) -> bool:
        """A name, and a division where the file has that column; unreadable ones are reported already."""
        whole = True
        named = [key for key in _NAME_KEYS if key in self._columns]
        if not any(found.get(key) for key in _NAME_KEYS):
            if all(is_blank(row.cells[self._columns[key]]) for key in named):
                column = " / ".join(self._names[key] for key in named)
                self._say(row, column, "", "the name is missing", "write the name or delete the row")
            whole = False
        index = self._columns.get("division")
        if index is not None and is_blank(row.cells[index]):
            offered = f"write one of {', '.join(sorted(self._divisions))}"
            self._say(row, self._names["division"], "", "the division is missing", offered)
            whole = False
        return whole

    def _keep(self, row: Row, found: dict[str, Any]) -> None:
        given, family = found.pop("full_name", None) or ("", "")
        given, family = found.pop("given", None) or given, found.pop("family", None) or family
        if isinstance(found.get("paid"), bool):
            found["paid_in_full"] = found.pop("paid")
        number, born = found.get("member_number"), found.get("birth_year")
        twin = self._twins.same_number(row.number, number)
        if twin is not None:
            self._say(
                row, self._names["member_number"], str(number), f"the same member number as in row {twin}",
                "delete one of the two rows or correct the number",
            )  # fmt: skip
            return
        twin = self._twins.same_person(row.number, f"{given} {family}", born, number)
        if twin is not None:
            column = " / ".join(self._names[key] for key in _NAME_KEYS if key in self._columns)
            self._say(
                row, column, f"{given} {family}".strip(), f"may be the same person as in row {twin}",
                "delete one of the two rows, or give both their birth year or number",
                severity="question", kind="twin",
            )  # fmt: skip
        self.entrants.append(EntrantRow(row.number, given, family, **found))

    def _not_an_entrant(self, row: Row, filled: list[Cell]) -> str:
        """Why the row is skipped: a total, a note beside the list, the headings again; "" for an entrant."""
        index = self._columns.get("division")
        if index is not None and _has_letters(row.cells[index]):
            return "repeats the headings and is skipped" if self._repeats(row) else ""
        first, *others = filled
        if isinstance(first, str) and _FOOTER.match(plain(first)) and all(map(_is_figure, others)):
            return "looks like a total under the list and is skipped"
        names = [self._columns[key] for key in _NAME_KEYS if key in self._columns]
        alone = len(filled) == 1 and len(self._columns) >= _FEW_CELLS
        if alone and all(is_blank(row.cells[index]) for index in names):
            return "looks like a note beside the list and is skipped"
        return ""

    def _repeats(self, row: Row) -> bool:
        pairs = [(row.cells[index], self._headings[index]) for index in self._columns.values()]
        return all(isinstance(cell, str) and clean(cell).casefold() == heading for cell, heading in pairs)


def _has_letters(cell: Cell) -> bool:
    return isinstance(cell, str) and any(c.isalpha() for c in cell)


def _is_figure(cell: Cell) -> bool:
    """What stands in a row of totals beside the word."""
    if isinstance(cell, str):
        return any(c.isdigit() for c in cell) or not any(c.isalpha() for c in cell)
    return isinstance(cell, Uncomputed) or cell is not None


def _converters(
    divisions: Collection[str], order: DateOrder | None, latest: int
) -> dict[str, Callable[[Cell], object]]:
    """Field key -> converter."""
    by_kind: dict[str, Callable[[Cell], object]] = {
        "name": values.name,
        "full_name": values.full_name,
        "member_number": values.member_number,
        "year": lambda cell: values.year(cell, latest=latest),
        "division": lambda cell: values.division(cell, divisions),
        "rating": values.rating,
        "date": lambda cell: values.date(cell, order=order),
        "moment": lambda cell: values.moment(cell, order=order),
        "integer": lambda cell: values.integer(cell, least=0),
        "gender": values.gender,
        "class": values.class_of_play,
        "membership": values.membership_status,
        "email": values.email,
        "phone": values.phone,
        "money": _paid,
        "yes_no": _on_waitlist,
        "text": values.text,
    }
    found = {field.key: by_kind[field.kind] for field in ENTRANT_FIELDS}
    return found | {key: lambda cell: values.text(cell, longest=2000) for key in ("notes", "add_ons")}


def _paid(cell: Cell) -> int | bool | None:
    """Cents, or whether all is paid where the list says yes or no."""
    try:
        cents = values.money(cell)
    except BadValue:
        if (answer := _answer(cell)) is not None:
            return answer
        raise
    if cents is not None and cents < 0:
        raise BadValue(cell, "is less than nothing", "write what was paid; refunds are made at the desk")
    return cents


def _answer(cell: Cell) -> bool | None:
    try:
        return values.yes_no(cell)
    except BadValue:
        return None


def _on_waitlist(cell: Cell) -> bool | None:
    """Many lists write the place on the waitlist instead of a yes."""
    return True if isinstance(cell, int) and cell > 0 else values.yes_no(cell)
