"""An uploaded list as rows of entrants, with the columns it was read by and every problem of its own."""

from collections.abc import Mapping
from dataclasses import dataclass

from events.entries.import_answers import Answers
from events.setup.models import Division, Event
from events.sheets.entrant_fields import ENTRANT_FIELDS
from events.sheets.entrants import EXPECTED, EntrantRow, guess_mapping, read_entrants
from events.sheets.problems import Problem
from events.sheets.reading import Table, read_table

Columns = Mapping[str, int | None]
NAMES = ("given", "family", "full_name")
# Money paid before is one sum; by which method is the desk's own record of what it took itself.
READ_FIELDS = tuple(field for field in ENTRANT_FIELDS if field.key != "payment_method")
_KEYS = frozenset(field.key for field in READ_FIELDS)


@dataclass(frozen=True, slots=True)
class Reading:
    """`offered`: the event's divisions by code."""

    table: Table
    mapping: Columns
    offered: Mapping[str, Division]
    entrants: tuple[EntrantRow, ...]
    problems: tuple[Problem, ...]

    def has(self, key: str) -> bool:
        """Whether a column was chosen for the field."""
        return self.mapping.get(key) is not None

    def column(self, key: str) -> str:
        index = self.mapping.get(key)
        return "" if index is None else self.table.column_name(index)


def read_list(
    *, event: Event, name: str, data: bytes, sheet: str | None, mapping: Columns | None, answers: Answers
) -> Reading:
    """Read a file as a list of entrants (1 query). `mapping` None: guess the columns. Raises `Refused`."""
    table = read_table(name, data, sheet=sheet or None, expected=EXPECTED)
    chosen = _fitting(guess_mapping(table) if mapping is None else mapping, len(table.headings))
    offered = {found.code: found for found in event.divisions.filter(dropped_at__isnull=True)}
    problems = list(_missing_columns(table, chosen))
    if problems:
        return Reading(table, chosen, offered, (), tuple(problems))
    entrants, problems = read_entrants(
        table,
        chosen,
        divisions=offered.keys(),
        date_order=answers.date_order,
        latest_birth_year=event.starts_on.year,
    )
    return Reading(table, chosen, offered, tuple(entrants), tuple(problems))


def _fitting(columns: Columns, width: int) -> dict[str, int | None]:
    """Only fields that are read and columns that the table has: the file may have been changed between."""
    chosen: dict[str, int | None] = dict.fromkeys(sorted(_KEYS))
    for key, index in columns.items():
        if key in _KEYS and index is not None and 0 <= index < width:
            chosen[key] = index
    return chosen


def _missing_columns(table: Table, mapping: Columns) -> list[Problem]:
    """Without names and divisions there is nothing to enter: one problem instead of one for each row."""
    missing = []
    if all(mapping.get(key) is None for key in NAMES):
        missing.append(("a name", "choose the column of the name, or of given and family name"))
    if mapping.get("division") is None:
        missing.append(("the division", "choose the column of the division"))
    return [
        Problem(table.header_row, "", "", f"no column was found for {what}", mend, kind="columns")
        for what, mend in missing
    ]
