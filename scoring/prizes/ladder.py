"""The prize of each place before anybody has finished: from a purse by a table or a curve, with its working. Pure."""

from dataclasses import dataclass
from fractions import Fraction

from events.setup.apportioning import apportion
from scoring.prizes.curve import CurveRefused, curve
from scoring.prizes.place_tables import PlaceTable

CURVE_SOURCE = "Curve of a published paper on tournament payouts (arXiv:1601.04203), the formula from memory."


@dataclass(frozen=True, slots=True)
class Ladder:
    """Prizes in cents by place, summing to the purse; `percents` are the table's, None for a curve."""

    prizes: tuple[int, ...]
    words: str
    source: str
    percents: tuple[Fraction, ...] | None = None


class NoLadder(Exception):
    """The purse cannot be laid out by place; the message is a sentence that names the mend."""


def by_table(purse: int, table: PlaceTable, places: int) -> Ladder:
    """The table's row for this number of places. Raises NoLadder where it has none."""
    if places == 0:
        return Ladder((), "no place is paid", table.source)
    row = table.rows.get(places)
    if row is None:
        raise NoLadder(
            f"{table.name} has rows for up to {table.longest} places, and {places} are paid: "
            "choose another table or a curve, or pay another number of places."
        )
    words = f"{table.name}, row for {places} place{'' if places == 1 else 's'}"
    return Ladder(apportion(purse, row), words, table.source, row)


def by_curve(purse: int, *, first_percent: Fraction | None, last: int, places: int) -> Ladder:
    """A curve from a first prize in per cent of the purse (None: α is 1) and a lower bound in cents.

    Raises NoLadder.
    """
    if places == 0:
        return Ladder((), "no place is paid", "")
    if not purse:
        return Ladder((0,) * places, "nothing to pay", "")
    first = None if first_percent is None else apportion(purse, (first_percent, 100 - first_percent))[0]
    try:
        found = curve(purse, first=first, last=last, places=places)
    except CurveRefused as refused:
        raise NoLadder(str(refused)) from None
    return Ladder(found.prizes, found.words, CURVE_SOURCE)
