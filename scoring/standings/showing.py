"""Standings as board and phone show them: pages of rows, figures as words, strips as bars (no query).

Nothing of a player but name, town where the event shows it, division and scores comes in here, so nothing
else can get out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from unicodedata import east_asian_width

from scoring.standings import wording
from scoring.standings.board_turns import Length, Turn, foot
from scoring.standings.first_place import CO_WINNERS
from scoring.standings.lines import CARD_WAITS
from scoring.standings.marks import cut_shown, cut_words, moved_spoken, moved_text
from scoring.standings.queries import DivisionRound, DivisionStandings, PlayerRound, Row
from scoring.standings.strip_drawn import Strip, strip_of
from scoring.standings.tallying import Group

LONG_NAME, LONGER_NAME = (
    20,
    30,
)  # letters, a wide one counts two: beyond it a name is set smaller, then in two lines
NOTES = {"playoff": "won the playoff", "co-winners": "co-winner"}


@dataclass(frozen=True, slots=True)
class RoundCell:
    """One round of a player: "R1", "54" or "–", and the strip where a hole is scored."""

    label: str
    total: str
    to_par: str
    through: str
    strip: Strip | None


@dataclass(frozen=True, slots=True)
class ShownRow:
    """`holes` and `strip` are of the round in play; where there is none, `words` says why. `moved` are places won or
    lost, `note` what broke a tie for first place, `cut` the words of a cut whose line stands above this row, `open`
    what nobody has decided yet; `division` is the player's own where the list is of several."""

    entry_id: int
    place: str
    place_words: str
    name: str
    town: str
    size: str
    to_par: str
    to_par_spoken: str
    total: str
    holes: str
    strip: Strip | None
    words: str
    rounds: tuple[RoundCell, ...]
    moved: str = ""
    moved_spoken: str = ""
    note: str = ""
    cut: str = ""
    division: str = ""
    open: str = ""


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of a division: which rounds have one, whether totals have, what the run is called, and since when
    places were won and lost ("since R1"; "": they have no column)."""

    labels: tuple[str, ...]
    with_total: bool
    run_label: str
    moved_label: str = ""


@dataclass(frozen=True, slots=True)
class ShownDivision:
    """A division, or a part of it, as one list."""

    code: str
    name: str
    sub: str
    rows: tuple[ShownRow, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the kiosk; `key` stays the same when figures change. `lines` says how many have to find room."""

    key: str
    title: str
    name: str
    sub: str
    columns: Columns
    divisions: tuple[ShownDivision, ...]
    lines: int
    foot: str


def lengths(divisions: Sequence[DivisionStandings]) -> tuple[Length, ...]:
    """What the pages are cut by."""
    return tuple(Length(each.code, len(each.rows), columns_of(each)) for each in divisions)


def page_at(
    divisions: Sequence[DivisionStandings], found: Sequence[Turn], at: int, *, show_town: bool
) -> Page:
    """The page at a turn, and nothing of the others."""
    turn = found[at]
    members = [(divisions[each.index], each) for each in turn.slices]
    shown = tuple(
        ShownDivision(
            division.code,
            division.name,
            _sub_of(division, division.rows[part.first : part.last]),
            _rows(division, division.rows[part.first : part.last], show_town=show_town),
        )
        for division, part in members
    )
    alone = len(shown) == 1
    return Page(
        key=turn.key,
        title=" · ".join(turn.codes),
        name=shown[0].name if alone else "",
        sub=shown[0].sub if alone else "",
        columns=columns_of(members[0][0]),
        divisions=shown,
        lines=turn.lines,
        foot=foot(found, at),
    )


def columns_of(division: DivisionStandings) -> Columns:
    shown = _columns(division)
    return Columns(
        labels=tuple(f"R{each.number}" for each in shown),
        with_total=division.by_total and len(shown) > 1,
        run_label="last round" if division.by_total else "this round",
        moved_label=_moved_label(division),
    )


def _moved_label(division: DivisionStandings) -> str:
    current = division.current
    if current is None or current.number == 1 or not any(row.moved for row in division.rows):
        return ""
    return f"since R{current.number - 1}"


def _sub_of(division: DivisionStandings, rows: Sequence[Row]) -> str:
    """With what broke the tie for first place and the cut in words, where these rows show them: a narrow screen has no
    room for that beside a name."""
    parts = [division_sub(division), _decided(rows)]
    below, words = _first_outside(division)
    if words:
        drawn = any(row.entry_id == below for row in rows)
        parts.append(f"dashed line: {words}" if drawn else words)
    return " · ".join(filter(None, parts))


def _decided(rows: Sequence[Row]) -> str:
    """ "Ludvik Moravec won the playoff", "co-winners: …"; "" where no tie had to be broken among these rows."""
    first = [row for row in rows if row.standing.place == 1 and row.decided]
    names = ", ".join(row.standing.name for row in first)
    if not first:
        return ""
    return f"co-winners: {names}" if first[0].decided == CO_WINNERS else f"{names} won the playoff"


def _first_outside(division: DivisionStandings) -> tuple[int | None, str]:
    """The entry above which the line of a cut stands, and the cut in words."""
    cut = cut_shown(division)
    if cut is None:
        return None, ""
    inside = cut.through | cut.level
    outside = (row.entry_id for row in division.rows if row.standing.key not in inside)
    return next(outside, None), cut_words(cut)


def division_list(division: DivisionStandings, *, show_town: bool, most: int | None = None) -> ShownDivision:
    """A division as one list; with `most` only so many of its players, from the top."""
    return ShownDivision(
        division.code,
        division.name,
        division_sub(division),
        _rows(division, division.rows[:most], show_town=show_town),
    )


def worth_showing(division: DivisionStandings) -> bool:
    """Scores are in, or at least it is known when the players start."""
    return division.begun or any(
        row.standing.words == CARD_WAITS or row.standing.words.startswith("starts ") for row in division.rows
    )


def division_sub(division: DivisionStandings) -> str:
    """The line beside the division's name: "round 3 of 3 · Upper layout, par 61"."""
    current = division.current
    if current is None:
        return ""
    last = division.rounds[-1].number
    undecided = wording.undecided_text(division.undecided)
    if division.finished:
        done = "final, all cards in" if last == 1 else f"after {last} rounds, all cards in"
        return " · ".join([done, *division.remarks])
    waiting = wording.waiting_text(len(division.waiting)) if division.by_total else ""
    where = "after round" if division.by_total and not waiting else "round"
    parts = [
        f"{where} {current.number} of {last}",
        waiting,
        undecided,
        layout_text(current),
        *division.remarks,
    ]
    return " · ".join(part for part in parts if part)


def layout_text(round: DivisionRound) -> str:
    """ "Upper layout, par 61"; a name that says layout already is not said twice."""
    if round.layout is None:
        return ""
    name = round.layout.name
    named = name if "layout" in name.lower() else f"{name} layout"
    return f"{named}, par {round.layout.par}"


def round_cell(round: PlayerRound) -> RoundCell:
    result = round.result
    return RoundCell(
        label=f"R{round.number}",
        total=wording.total_text(result.total),
        to_par=wording.to_par_text(result.to_par),
        through="" if result.complete else wording.holes_text(result.played, result.holes),
        strip=strip_of(round),
    )


def _columns(division: DivisionStandings) -> list[DivisionRound]:
    """Rounds with a column of their own: those before the one in play, and that one too once it is in."""
    current = division.current
    if current is None or not division.begun:
        return []
    until = current.number if division.by_total else current.number - 1
    return [each for each in division.rounds if each.number <= until]


def _rows(division: DivisionStandings, rows: Sequence[Row], *, show_town: bool) -> tuple[ShownRow, ...]:
    columns = {each.number for each in _columns(division)}
    current = division.current.number if division.current else 0
    before: int | None = None
    below, cut = _first_outside(division)
    made = []
    for row in rows:
        standing = row.standing
        now = next((each for each in row.rounds if each.number == current), None)
        playing = standing.group is Group.RANKED and now is not None and now.result.played > 0
        made.append(
            ShownRow(
                entry_id=row.entry_id,
                place=wording.place_text(standing.place, repeats=standing.place == before),
                place_words=wording.place_words(standing.place, tied=standing.tied),
                name=standing.name,
                town=row.town if show_town else "",
                size=_size(standing.name),
                to_par=wording.to_par_text(standing.to_par),
                to_par_spoken=wording.to_par_spoken(standing.to_par),
                total=wording.total_text(standing.total),
                holes=standing.holes if playing else "",
                strip=strip_of(now) if playing and now is not None else None,
                words="" if playing else standing.words,
                rounds=tuple(round_cell(each) for each in row.rounds if each.number in columns),
                moved=moved_text(row.moved),
                moved_spoken=moved_spoken(row.moved),
                note=NOTES.get(row.decided, "") if standing.place == 1 else "",
                cut=cut if row.entry_id == below else "",
                division=standing.division if standing.division != division.code else "",
                open=_open(row),
            )
        )
        before = standing.place
    return tuple(made)


def _open(row: Row) -> str:
    found = [each.open for each in row.rounds if each.open is not None]
    holes = [label for each in found for label in each.holes]
    return wording.open_text(holes, card=any(each.card for each in found))


def _size(name: str) -> str:
    """How a name is set: "" in full, "long" smaller, "longer" in two lines at most."""
    letters = sum(2 if east_asian_width(letter) in "WF" else 1 for letter in name)
    return "" if letters <= LONG_NAME else "long" if letters <= LONGER_NAME else "longer"
