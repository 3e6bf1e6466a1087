"""A table of signal, strikes and thunder, as `manage.py restart_clock` takes it. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from events.safety.lightning import Evidence, Strike, Thunder
from events.safety.units import NotAReading, count_seconds, distance_m
from events.setup.zones import NoSuchMoment, one_moment
from events.sheets.cells import Cell, plain, shown
from events.sheets.matching import Field, guess, vocabulary
from events.sheets.problems import Problem
from events.sheets.reading import Row, Table

FIELDS = (
    Field("what", "what", ("kind", "event", "type", "evidence"), "words", required=True),
    Field("time", "time", ("at", "when", "clock", "seen at"), "clock", required=True),
    Field("distance", "distance", ("how far", "far", "away"), "figure"),
    Field("seconds", "seconds", ("count", "flash to bang", "s"), "figure"),
)
EXPECTED = vocabulary(FIELDS)
SIGNAL, STRIKE, THUNDER = "signal", "strike", "thunder"
_WORDS: Mapping[str, str] = {
    "signal": SIGNAL,
    "horn": SIGNAL,
    "suspended": SIGNAL,
    "suspension": SIGNAL,
    "strike": STRIKE,
    "lightning": STRIKE,
    "flash": STRIKE,
    "thunder": THUNDER,
}


@dataclass(frozen=True, slots=True)
class Clocks:
    """How bare times are read: the day and zone they belong to, and the moment after which nothing can be yet."""

    day: date
    zone: ZoneInfo
    now: datetime


@dataclass(frozen=True, slots=True)
class Told:
    """What a table tells: the moment of the signal (None: none in it) and the evidence."""

    signal: datetime | None
    evidence: tuple[Evidence, ...]


def read_evidence(table: Table, clocks: Clocks) -> tuple[Told, list[Problem]]:
    """Every row that can be read, and every problem with its row, column and mend."""
    columns = guess(table.headings, [row.cells for row in table.rows[:60]], FIELDS)
    for needed in ("what", "time"):
        if columns[needed] is None:
            held = ", ".join(filter(None, table.headings)) or "none"
            problem = f"no column is headed “{needed}”"
            return Told(None, ()), [
                Problem(table.header_row, needed, "", problem, f"the headings read are: {held}")
            ]
    signals: list[datetime] = []
    evidence: list[Evidence] = []
    problems: list[Problem] = []
    for row in table.rows:
        try:
            found = _row(row, columns, clocks)
        except (NotAReading, NoSuchMoment) as refused:
            problems.append(Problem(row.number, "row", "", str(refused), "mend the row"))
            continue
        if isinstance(found, datetime):
            signals.append(found)
        else:
            evidence.append(found)
    if len(signals) > 1:
        problems.append(
            Problem(None, "what", "", "there is more than one signal", "keep the one that counts")
        )
    return Told(signals[0] if signals else None, tuple(evidence)), problems


def _row(row: Row, columns: Mapping[str, int | None], clocks: Clocks) -> datetime | Evidence:
    """The moment of a signal, a strike or thunder. Raises NotAReading or NoSuchMoment."""
    cells = {key: _cell(row, index) for key, index in columns.items()}
    what = _WORDS.get(plain(cells["what"]))
    if what is None:
        raise NotAReading(f"{cells['what']!r} is none of signal, strike, thunder.")
    at = moment_of(cells["time"], clocks)
    if what == SIGNAL:
        return at
    if what == THUNDER:
        if cells["distance"]:
            raise NotAReading("Thunder has no distance: write the counted seconds, or nothing.")
        return Thunder(at, float(count_seconds(cells["seconds"])) if cells["seconds"] else None)
    if cells["seconds"]:
        raise NotAReading("A strike has a distance, not seconds: write thunder for what was counted.")
    return Strike(at, float(distance_m(cells["distance"])))


def moment_of(typed: str, clocks: Clocks) -> datetime:
    """`14:07` on the day, or a date and time, with or without an offset. Raises NoSuchMoment, also for the future."""
    words = typed.strip()
    short = words[:5].count(":") == 1 and len(words) <= 8
    if len(words.partition(":")[0]) == 1:
        words = f"0{words}"
    try:
        wall = datetime.fromisoformat(f"{clocks.day.isoformat()}T{words}" if short else words)
    except ValueError:
        raise NoSuchMoment(f"{typed!r} is not a time. Write 14:07, or 2026-06-12 14:07.") from None
    at = one_moment(wall, clocks.zone)
    if at.astimezone(UTC) > clocks.now.astimezone(UTC):
        raise NoSuchMoment(
            f"{typed} is in the future: it is {clocks.now.astimezone(clocks.zone):%Y-%m-%d %H:%M} now."
        )
    return at


def _cell(row: Row, index: int | None) -> str:
    cell: Cell = None if index is None or index >= len(row.cells) else row.cells[index]
    return shown(cell).strip()
