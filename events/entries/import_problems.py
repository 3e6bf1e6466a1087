"""Where the steps of an import write down what is wrong or unclear."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Model

from events.entries.import_reading import Reading
from events.sheets.entrants import EntrantRow
from events.sheets.problems import Problem, Severity


@dataclass(frozen=True, slots=True)
class Notes:
    """Problems in the words of the file: its row numbers and its headings."""

    reading: Reading
    found: list[Problem] = field(default_factory=list)

    def error(self, row: EntrantRow, key: str, value: str, problem: str, mend: str) -> None:
        """The row cannot be taken as it stands. `key`: the field whose column is named."""
        self._add(row, key, value, problem, mend, "error")

    def question(self, row: EntrantRow, key: str, value: str, problem: str, mend: str, kind: str) -> None:
        """The row is taken only after somebody has decided; `kind` tells the page what can be answered."""
        self._add(row, key, value, problem, mend, "question", kind)

    def warning(self, row: EntrantRow | None, key: str, value: str, problem: str, mend: str) -> None:
        """The row is taken all the same; `row` None: said of the whole file."""
        self._add(row, key, value, problem, mend, "warning")

    def _add(
        self,
        row: EntrantRow | None,
        key: str,
        value: str,
        problem: str,
        mend: str,
        severity: Severity,
        kind: str = "",
    ) -> None:
        number = None if row is None else row.row
        self.found.append(Problem(number, self.reading.column(key), value, problem, mend, severity, kind))

    def fit(self, row: EntrantRow, model: type[Model], values: Mapping[str, Any]) -> dict[str, Any]:
        """The values without text that is too long for its field: shortened where half of it still says something."""
        fitting = dict(values)
        for name, value in values.items():
            longest = getattr(model._meta.get_field(name), "max_length", None)
            if longest is None or not isinstance(value, str) or len(value) <= longest:
                continue
            key = _KEYS.get(name, name)
            if name in _WHOLE:
                del fitting[name]
                done = "is left out"
            else:
                fitting[name] = value[:longest].rstrip()
                done = "is shortened"
            self.warning(
                row, key, value[:60], f"is longer than {longest} characters and {done}", "write it shorter"
            )
        return fitting


# Fields that are called otherwise in the list, and those of which half is nothing.
_KEYS = {"pack": "pack_size", "note": "notes"}
_WHOLE = frozenset({"email", "phone", "emergency_phone"})
