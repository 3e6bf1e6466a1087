"""A value that cannot be read, with its mend; and the values that no field can read."""

from datetime import date
from decimal import Decimal

from events.sheets.cells import Cell, Uncomputed, clean, shown

# The error values of spreadsheets and what they mean.
ERRORS = {
    "#REF!": "points to a cell that was deleted",
    "#N/A": "found no value to look up",
    "#VALUE!": "calculates with the wrong kind of value",
    "#NAME?": "uses a name that the spreadsheet does not know",
    "#DIV/0!": "divides by zero",
    "#NUM!": "calculates a number that cannot be",
    "#NULL!": "refers to cells that do not meet",
    "#SPILL!": "has no room for its results",
    "#CALC!": "cannot be calculated",
    "#GETTING_DATA": "was still loading when the file was saved",
    "#ERROR!": "cannot be calculated",
}


class BadValue(ValueError):
    """`problem` says what is wrong with the value, `mend` what to do about it."""

    def __init__(self, value: Cell, what: str, mend: str, *, unclear: bool = False) -> None:
        self.problem = f"'{shown(value)}' {what}"
        self.mend = mend
        self.unclear = unclear
        super().__init__(f"{self.problem}: {mend}")


def readable(cell: Cell) -> str | int | Decimal | date | bool | None:
    """The cell's value, its text cleaned; None when blank.

    Raises `BadValue` for a spreadsheet's error value and for a formula without a stored result.
    """
    if isinstance(cell, str):
        text = clean(cell)
        if not text:
            return None
        if text[0] == "#" and text.upper() in ERRORS:
            raise BadValue(text, f"is an error: the formula {ERRORS[text.upper()]}", "mend the formula")
        return text
    if isinstance(cell, Uncomputed):
        raise BadValue(
            cell,
            "is a formula whose result the file does not hold",
            "open the file in a spreadsheet program, save it there, or paste the values",
        )
    return cell
