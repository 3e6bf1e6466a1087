"""A table of pieces, as `manage.py check_bag` takes it: model, stamped mass, reading, mark, condition. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from events.bags.checking import Condition
from events.sheets.bad import BadValue
from events.sheets.cells import Cell, clean, is_blank, plain, shown
from events.sheets.matching import Field, guess, vocabulary
from events.sheets.numbers import figures
from events.sheets.problems import Problem
from events.sheets.reading import Row, Table
from events.sheets.values import text, yes_no

FIELDS = (
    Field("maker", "maker", ("manufacturer", "brand")),
    Field("model", "model", ("disc", "disc model", "mould", "mold", "name"), required=True),
    Field("stamped", "stamped mass", ("stamped", "stamped g", "mass", "stamped weight"), "figure"),
    Field("reading", "reading", ("weighed", "reading g", "scale", "weight"), "figure"),
    Field("mark", "mark", ("owner's mark", "marked", "owner mark")),
    Field("condition", "condition", ("state", "notes", "faults")),
)
EXPECTED = vocabulary(FIELDS)
LIGHTEST, HEAVIEST = Decimal(20), Decimal(400)

# Words of the condition column → what they say was seen; "ok" says that everything was looked at.
_FAULTS: Mapping[str, str] = {
    "crack": "cracked",
    "cracked": "cracked",
    "hole": "holed",
    "holed": "holed",
    "carved": "carved",
    "carving": "carved",
    "engraved": "carved",
    "etched": "carved",
    "paint": "added_material",
    "tape": "lights_or_tape",
    "lights": "lights_or_tape",
    "added material": "added_material",
    "sanded": "over_sanded",
    "over sanded": "over_sanded",
    "warped": "out_of_shape",
    "out of shape": "out_of_shape",
}
_FINE = ("ok", "sound", "fine", "good", "none")
_NO_MARK = ("none", "unmarked", "no mark", "not marked", "blank", "missing")
_NOT_SAID = ("", "unknown", "not known", "na", "n a")
_INK = ("ink", "dye", "dyed", "signed", "worn", "new", "beat in")
_SEEN = ("cracked", "holed", "carved", "added_material", "over_sanded", "out_of_shape", "lights_or_tape")


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One piece of the table; grams, None where the cell is blank."""

    row: int
    maker: str
    model: str
    stamped_g: Decimal | None
    reading_g: Decimal | None
    condition: Condition


def read_pieces(table: Table) -> tuple[list[PieceRow], list[Problem]]:
    """Every piece that can be read, and every problem with its row, column and mend."""
    mapping = guess(table.headings, [row.cells for row in table.rows[:60]], FIELDS)
    if mapping["model"] is None:
        held = ", ".join(filter(None, table.headings)) or "none"
        problem = Problem(
            table.header_row, "model", "", "no column is headed “model”", f"the headings read are: {held}"
        )
        return [], [problem]
    pieces: list[PieceRow] = []
    problems: list[Problem] = []
    for row in table.rows:
        found = _piece(table, mapping, row)
        if isinstance(found, Problem):
            problems.append(found)
        elif found is not None:
            pieces.append(found)
    return pieces, problems


def off_step(pieces: Iterable[PieceRow], step_g: Decimal) -> list[Problem]:
    """Readings that a scale of these steps cannot show: another scale was used, or somebody has rounded."""
    return [
        Problem(
            piece.row,
            "reading",
            f"{piece.reading_g}",
            f"'{piece.reading_g}' is no reading of a scale with steps of {step_g} g",
            "write what the scale showed, and choose its steps with --scale",
        )
        for piece in pieces
        if piece.reading_g is not None and piece.reading_g % step_g
    ]


def _piece(table: Table, mapping: Mapping[str, int | None], row: Row) -> PieceRow | Problem | None:
    def cell(key: str) -> Cell:
        index = mapping[key]
        return None if index is None else row.cells[index]

    if all(is_blank(each) for each in row.cells):
        return None
    key = "model"
    try:
        model = text(cell("model"), longest=100)
        if not model:
            raise BadValue(None, "is blank", "write the model, or take the row out")
        values: dict[str, Any] = {}
        for key in ("stamped", "reading"):
            values[key] = _grams(cell(key))
        key = "mark"
        marked = _marked(cell("mark"))
        key = "condition"
        condition = _condition(cell("condition"), marked)
        key = "maker"
        maker = text(cell("maker"), longest=100) or ""
    except BadValue as bad:
        index = mapping[key]
        column = table.column_name(index) if index is not None else key
        return Problem(row.number, column, shown(cell(key)), bad.problem, bad.mend)
    return PieceRow(row.number, maker, model, values["stamped"], values["reading"], condition)


def _grams(cell: Cell) -> Decimal | None:
    if is_blank(cell):
        return None
    words = figures(shown(cell)).casefold().removesuffix("g").strip().replace(",", ".")
    try:
        found = Decimal(words)
    except InvalidOperation:
        raise BadValue(cell, "is no mass", "write it in grams, as 175.4") from None
    if not found.is_finite() or not LIGHTEST <= found <= HEAVIEST:
        raise BadValue(cell, f"is outside {LIGHTEST} to {HEAVIEST} g", "write it in grams, as 175.4")
    return found


def _marked(cell: Cell) -> bool | None:
    """Yes or no; "none" is no mark, "?" says nothing; any other text is the mark itself."""
    words = plain(shown(cell))
    if words in _NO_MARK:
        return False
    try:
        return yes_no(cell)
    except BadValue:
        return None if words in _NOT_SAID else True


def _condition(cell: Cell, marked: bool | None) -> Condition:
    """Faults by name; what is not named was not looked at, unless the cell says "ok"."""
    words = plain(shown(cell))
    if not words:
        return Condition(marked=marked)
    seen: dict[str, bool | None] = dict.fromkeys(_SEEN)
    for part in [plain(part) for part in clean(shown(cell)).replace(";", ",").split(",")]:
        if part in _FINE:
            seen = {name: bool(answer) for name, answer in seen.items()}
        elif part in _FAULTS:
            seen[_FAULTS[part]] = True
        elif part not in _INK and part:
            known = ", ".join(sorted({*_FAULTS, *_FINE, *_INK}))
            raise BadValue(cell, f"names a condition “{part}” that is not known", f"write one of: {known}")
    return Condition(**seen, marked=marked, signed="signed" in words.split())
