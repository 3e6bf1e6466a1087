"""The governing body's list of approved discs, read as spreadsheets have mangled it: every problem named.

What cannot be read stops the list, since a limit that is guessed is worse than none. What only describes a model, such
as a certification number that a spreadsheet has turned into a date, is left out and said.
"""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation

from events.sheets.bad import BadValue, readable
from events.sheets.cells import Cell, is_blank, shown
from events.sheets.dates import date as read_date
from events.sheets.dates import year as read_year
from events.sheets.matching import Field, guess, vocabulary
from events.sheets.numbers import figures
from events.sheets.problems import Problem, Severity
from events.sheets.reading import Row, Table
from events.sheets.values import text
from players.names import fold


def _field(key: str, label: str, *synonyms: str, required: bool = False, kind: str = "figure") -> Field:
    return Field(key, label, synonyms, kind, required)


FIELDS = (
    _field(
        "maker",
        "maker",
        "manufacturer",
        "manufacturer / distributor",
        "company",
        "brand",
        required=True,
        kind="text",
    ),
    _field("name", "model", "disc model", "disc", "mold", "mould", "name", required=True, kind="text"),
    _field(
        "max_mass_g", "max weight (g)", "max weight", "maximum weight", "max mass", "weight", required=True
    ),
    _field("diameter_cm", "diameter (cm)", "diameter", "outside diameter"),
    _field("height_cm", "height (cm)", "height"),
    _field("rim_depth_cm", "rim depth (cm)", "rim depth"),
    _field("inside_diameter_cm", "inside rim diameter (cm)", "inside rim diameter", "inside diameter"),
    _field("rim_width_cm", "rim thickness (cm)", "rim thickness", "rim width", "rim width (cm)"),
    _field(
        "depth_to_diameter_percent",
        "rim depth / diameter ratio (%)",
        "rim depth / diameter ratio",
        "depth to diameter",
        "ratio",
    ),
    _field("rim_configuration", "rim configuration", "rim configuration rating"),
    _field("flexibility_kg", "flexibility (kg)", "flexibility"),
    _field("disc_class", "class", "classes", kind="text"),
    _field("max_mass_vintage_g", "max weight vint (g)", "max weight vintage", "vintage weight"),
    _field("last_year", "last year production", "last year of production", "last year"),
    _field("certification", "certification number", "certification", "cert no", "cert number", kind="text"),
    _field("approved_on", "approved date", "approval date", "approved", "date approved", kind="date"),
)
EXPECTED = vocabulary(FIELDS)

# Field → (least, most, decimals): what a figure can be at all, wider than any model listed.
FIGURES: Mapping[str, tuple[Decimal, Decimal, int]] = {
    "max_mass_g": (Decimal(80), Decimal(400), 1),
    "diameter_cm": (Decimal(15), Decimal(45), 1),
    "height_cm": (Decimal("0.5"), Decimal(10), 1),
    "rim_depth_cm": (Decimal("0.3"), Decimal(8), 1),
    "inside_diameter_cm": (Decimal(8), Decimal(42), 1),
    "rim_width_cm": (Decimal("0.1"), Decimal(8), 1),
    "depth_to_diameter_percent": (Decimal(1), Decimal(60), 1),
    "rim_configuration": (Decimal(5), Decimal(400), 2),
    "flexibility_kg": (Decimal("0.1"), Decimal(40), 2),
    "max_mass_vintage_g": (Decimal(80), Decimal(400), 1),
}
JUDGED_BY = frozenset(("max_mass_g", "diameter_cm"))
FIRST_APPROVAL = 1964  # the earliest approval in the list of July 2026
MOST_ERRORS = 2_000  # more are no news; warnings never stop a list, even where every row has one

_NUMBER = re.compile(r"\d{1,4}(?:[.,]\d{1,4})?\Z")
_CERTIFICATION = re.compile(r"(\d{2})[-. ](\d{1,4})\Z")
_SHORT_DATE = re.compile(r"(\d{1,2})[-/ ]([A-Za-z]{3})[-/ ](\d{2})\Z")
_DATE_LIKE = re.compile(r"\d{1,2}[-/ ][A-Za-z]{3}|[A-Za-z]{3}[-/ ]\d{1,4}|\d{1,4}/\d{1,2}/\d{1,4}")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@dataclass(frozen=True, slots=True)
class ModelRow:
    """One model as listed; grams and centimetres. None: the list leaves it blank, which is not zero."""

    row: int
    maker: str
    name: str
    max_mass_g: Decimal | None = None
    diameter_cm: Decimal | None = None
    height_cm: Decimal | None = None
    rim_depth_cm: Decimal | None = None
    inside_diameter_cm: Decimal | None = None
    rim_width_cm: Decimal | None = None
    depth_to_diameter_percent: Decimal | None = None
    rim_configuration: Decimal | None = None
    flexibility_kg: Decimal | None = None
    disc_class: str = ""
    max_mass_vintage_g: Decimal | None = None
    last_year: int | None = None
    certification: str = ""
    approved_on: dt.date | None = None

    @property
    def key(self) -> str:
        return model_key(self.maker, self.name)


def model_key(maker: str, name: str) -> str:
    """What two ways of writing one model have in common: "Örn  Bow" and "orn bow" are both "orn bow"."""
    return " ".join(fold(f"{maker} {name}").split())[:210]


@dataclass(frozen=True, slots=True)
class ListRead:
    """`problems` of severity "error" mean that the list cannot be taken; warnings say what was left out."""

    models: tuple[ModelRow, ...]
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "error")


def read_list(table: Table, *, as_of: dt.date) -> ListRead:
    """Every model of a list that was published by `as_of`, and every problem, in the order of the rows."""
    mapping = guess(table.headings, [row.cells for row in table.rows[:60]], FIELDS)
    missing = [each.label for each in FIELDS if each.required and mapping[each.key] is None]
    if missing:
        return ListRead((), tuple(_no_column(table, label) for label in missing))
    reading = _Reading(table, mapping, as_of)
    for row in table.rows:
        if reading.errors >= MOST_ERRORS:
            reading.say(row.number, "", None, "has too many problems before it", "mend the rows above first")
            break
        reading.take(row)
    if not reading.models and not reading.problems:
        reading.problems.append(Problem(None, "", "", "the list holds no model", "choose the published list"))
    return ListRead(tuple(reading.models.values()), tuple(reading.problems))


def _no_column(table: Table, label: str) -> Problem:
    held = ", ".join(heading for heading in table.headings if heading) or "none"
    return Problem(
        table.header_row, label, "", f"no column is headed “{label}”", f"the headings read are: {held}"
    )


@dataclass
class _Reading:
    """The state of one pass over the list."""

    table: Table
    mapping: Mapping[str, int | None]
    as_of: dt.date
    models: dict[str, ModelRow] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    errors: int = 0

    def say(
        self, row: int, key: str, value: Cell, problem: str, mend: str, severity: Severity = "error"
    ) -> None:
        index = self.mapping.get(key)
        column = self.table.column_name(index) if index is not None else key
        self.problems.append(Problem(row, column, shown(value), problem, mend, severity))
        self.errors += severity == "error"

    def cell(self, row: Row, key: str) -> Cell:
        index = self.mapping.get(key)
        return None if index is None else row.cells[index]

    def take(self, row: Row) -> None:
        if all(is_blank(cell) for cell in row.cells):
            return
        names = {key: self._text(row, key) for key in ("maker", "name")}
        for key, name in names.items():
            if name == "":
                self.say(row.number, key, None, "is blank", "write it, or take the row out")
        if not all(names.values()):
            return
        figures_read = {key: self._figure(row, key) for key in FIGURES}
        model = ModelRow(
            row.number,
            names["maker"] or "",
            names["name"] or "",
            **figures_read,
            disc_class=self._text(row, "disc_class", longest=40) or "",
            last_year=self._year(row),
            certification=self._certification(row),
            approved_on=self._approved(row),
        )
        self._keep(row, model)

    def _keep(self, row: Row, model: ModelRow) -> None:
        if is_blank(self.cell(row, "max_mass_g")):
            self.say(
                row.number,
                "max_mass_g",
                None,
                "is blank",
                "taken as not known: no piece passes on it",
                "warning",
            )
        held = self.models.get(model.key)
        if held is None:
            self.models[model.key] = model
            return
        what = f"{model.maker} {model.name} stands in row {held.row} too"
        if _figures(held) == _figures(model):
            self.say(
                row.number, "name", model.name, f"{what}, with the same figures", "taken once", "warning"
            )
        else:
            self.say(row.number, "name", model.name, f"{what}, with other figures", "take one of the two out")

    def _text(self, row: Row, key: str, longest: int = 100) -> str | None:
        """The text, "" for a blank, None where a problem was said."""
        try:
            return text(self.cell(row, key), longest=longest) or ""
        except BadValue as bad:
            self.say(row.number, key, self.cell(row, key), bad.problem, bad.mend)
            return None

    def _figure(self, row: Row, key: str) -> Decimal | None:
        cell = self.cell(row, key)
        least, most, decimals = FIGURES[key]
        try:
            return _decimal(cell, least, most, decimals)
        except BadValue as bad:
            if key in JUDGED_BY:
                self.say(row.number, key, cell, bad.problem, bad.mend)
            else:
                self.say(row.number, key, cell, bad.problem, "left out", "warning")
            return None

    def _year(self, row: Row) -> int | None:
        try:
            return read_year(self.cell(row, "last_year"))
        except BadValue as bad:
            self.say(row.number, "last_year", self.cell(row, "last_year"), bad.problem, "left out", "warning")
            return None

    def _certification(self, row: Row) -> str:
        """Text `YY-n`. A spreadsheet's date is not turned back: 03-07 and 07-03 look alike by then."""
        cell = self.cell(row, "certification")
        if is_blank(cell):
            return ""
        words = shown(cell)
        known = _CERTIFICATION.match(words) if isinstance(cell, str | int | Decimal) else None
        if known:
            return f"{known[1]}-{known[2]}"
        why = (
            "is a date"
            if isinstance(cell, dt.date) or _DATE_LIKE.match(words)
            else "is no certification number"
        )
        mend = "left out; read the column as text when the list is saved"
        self.say(row.number, "certification", cell, f"{why}: a spreadsheet has changed it", mend, "warning")
        return ""

    def _approved(self, row: Row) -> dt.date | None:
        cell = self.cell(row, "approved_on")
        try:
            found = _short_date(cell, self.as_of) or read_date(cell)
            if found is not None and not (found.year >= FIRST_APPROVAL and found <= self.as_of):
                day = f"{self.as_of:%-d %B %Y}"
                raise BadValue(cell, f"is not between {FIRST_APPROVAL} and the list’s {day}", "correct it")
        except BadValue as bad:
            self.say(row.number, "approved_on", cell, bad.problem, "left out", "warning")
            return None
        return found


def _figures(model: ModelRow) -> tuple[Decimal | None, ...]:
    return model.max_mass_g, model.diameter_cm, model.max_mass_vintage_g


def _decimal(cell: Cell, least: Decimal, most: Decimal, decimals: int) -> Decimal | None:
    """A figure with its lost zeros back (176 is 176.0); None for a blank. Raises BadValue."""
    value = readable(cell)
    if value is None:
        return None
    if isinstance(value, bool | dt.date):
        raise BadValue(value, "is not a number", "write it in digits, as 176.0")
    words = figures(str(value)).strip().removesuffix("g").removesuffix("cm").strip()
    try:
        found = Decimal(words.replace(",", ".")) if _NUMBER.match(words) else None
    except InvalidOperation:
        found = None
    if found is None:
        raise BadValue(value, "is not a number", "write it in digits, as 176.0")
    if not least <= found <= most:
        raise BadValue(value, f"is outside {least} to {most}", "correct the figure, or clear the cell")
    return found.quantize(Decimal(1).scaleb(-decimals))


def _short_date(cell: Cell, as_of: dt.date) -> dt.date | None:
    """`1-Jan-64`: nothing was approved before 1964 or after the list, so the century is known."""
    parts = _SHORT_DATE.match(cell.strip()) if isinstance(cell, str) else None
    if parts is None:
        return None
    month = parts[2].casefold()
    if month not in _MONTHS:
        raise BadValue(cell, "is not a date", "write it as 2025-03-14")
    year = int(parts[3]) + (2000 if int(parts[3]) <= as_of.year % 100 else 1900)
    try:
        return dt.date(year, _MONTHS.index(month) + 1, int(parts[1]))
    except ValueError:
        raise BadValue(cell, "is no day of the calendar", "write it as 2025-03-14") from None
