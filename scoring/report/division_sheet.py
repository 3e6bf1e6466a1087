"""A division in the workbook: every hole, a live sum for each round, the total and the score against par. Pure.

A round is the sum of its holes and additional penalties, the total is the sum of the rounds, against par is the total
less the par of those rounds. What is not complete stays empty, never zero. Holes that do not count of a round that was
stopped stand in brackets: text, which no sum takes.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime

from openpyxl.utils.cell import get_column_letter

from events.entries.models import Status
from events.entries.statuses import STATUS_WORDS
from scoring.report.book import Book, Tab, at, span
from scoring.standings.queries import DivisionRound, DivisionStandings, PlayerRound, Row
from scoring.standings.showing import division_sub
from scoring.standings.tallying import Group

HEAD_ROW, PAR_ROW, FIRST_ROW = 3, 4, 5
FACTS = ("place", "player", "member", "town", "state")
DECIDED = {"playoff": "place by playoff", "co-winners": "co-winner"}
Common = Mapping[int, frozenset[str]]  # round number → labels of the holes that alone count


def division_sheet(
    book: Book, division: DivisionStandings, *, title: str, as_of: datetime, common: Common, towns: bool
) -> None:
    """`towns`: whether the event shows where players come from, as everybody may read this sheet."""
    tab = book.tab(division.code, f"{division.name}: places, rounds, every hole; sums are live", "everybody")
    tab.put(1, 1, f"{division.code} {division.name} · {title}", bold=True)
    tab.put(2, 1, _under(division, as_of))
    columns = Columns([each for each in division.rounds if each.begun], common)
    tab.headings(HEAD_ROW, columns.headings(), right_from=len(FACTS) + 1)
    _par(tab, columns)
    shown = [row for row in division.rows if row.standing.group is not Group.DQ]
    for line, row in enumerate(shown, start=FIRST_ROW):
        _player(tab, line, row, columns, towns=towns)
    tab.sheet.freeze_panes = f"C{FIRST_ROW}"
    tab.widths(
        [5, 28, 8, 16, 20, *[6] * (len(columns.rounds) + 2), *[3] * (columns.end - columns.first_hole)]
    )


def _under(division: DivisionStandings, as_of: datetime) -> str:
    parts = [division_sub(division), f"as of {as_of:%Y-%m-%d %H:%M}", "equal scores share a place"]
    out = sum(row.standing.group is Group.DQ for row in division.rows)
    if out:
        players = "1 disqualified player is" if out == 1 else f"{out} disqualified players are"
        parts.append(f"{players} left out (Competition Manual 2025, 5.06.D)")
    return " · ".join(part for part in parts if part)


class Columns:
    """Where what stands: facts, a column for each round, total, against par, then the holes of each round."""

    def __init__(self, rounds: Sequence[DivisionRound], common: Common) -> None:
        self.rounds = tuple(rounds)
        self.common = common
        self.first_round = len(FACTS) + 1
        self.round = {each.number: self.first_round + index for index, each in enumerate(rounds)}
        self.total = self.first_round + len(rounds)
        self.to_par = self.total + 1
        self.first_hole = self.to_par + 1
        self.holes: dict[int, tuple[int, int]] = {}
        column = self.first_hole
        for each in rounds:
            count = len(each.layout.holes) if each.layout else 0
            self.holes[each.number] = (column, count)
            column += count + 1  # and one for additional penalties
        self.end = column

    def headings(self) -> list[str]:
        words = [*FACTS, *(f"R{each.number}" for each in self.rounds), "total", "to par"]
        for each in self.rounds:
            words += [f"R{each.number} {hole.label}" for hole in (each.layout.holes if each.layout else ())]
            words.append(f"R{each.number} extra")
        return words

    def counts(self, round: DivisionRound) -> list[bool]:
        """Which holes of a round count, in layout order."""
        kept = self.common.get(round.number)
        return [kept is None or hole.label in kept for hole in (round.layout.holes if round.layout else ())]

    def rounds_span(self, row: int) -> str:
        return span(row, self.first_round, row, self.total - 1)


def _par(tab: Tab, columns: Columns) -> None:
    tab.put(PAR_ROW, 2, "par")
    pars = []
    for each in columns.rounds:
        if each.layout is None:
            continue
        first, count = columns.holes[each.number]
        counting = columns.counts(each)
        for index, hole in enumerate(each.layout.holes):
            tab.put(PAR_ROW, first + index, hole.par if counting[index] else f"({hole.par})")
        pars.append(sum(hole.par for hole, kept in zip(each.layout.holes, counting, strict=True) if kept))
        holes = span(PAR_ROW, first, PAR_ROW, first + count - 1)
        tab.formula(PAR_ROW, columns.round[each.number], f"SUM({holes})", pars[-1])
    if columns.rounds:
        tab.formula(PAR_ROW, columns.total, f"SUM({columns.rounds_span(PAR_ROW)})", sum(pars))


def _player(tab: Tab, line: int, row: Row, columns: Columns, *, towns: bool) -> None:
    standing = row.standing
    town = row.town if towns else ""
    facts = (standing.place, standing.name, standing.member_number, town, _state(row))
    for column, fact in enumerate(facts, start=1):
        tab.put(line, column, fact)
    known: list[int] = []
    elsewhere = False
    for each in columns.rounds:
        played = next((round for round in row.rounds if round.number == each.number), None)
        if played is None or played.throws is None or not any(played.throws):
            continue
        if played.layout is not None and each.layout is not None and played.layout.id != each.layout.id:
            elsewhere = True
            tab.put(line, columns.round[each.number], played.result.total if played.result.complete else None)
        else:
            _round(tab, line, each, played, columns)
        if played.result.complete and played.result.total is not None:
            known.append(played.result.total)
    if known or standing.group is Group.RANKED:
        _sums(tab, line, row, columns, known, elsewhere=elsewhere)


def _sums(tab: Tab, line: int, row: Row, columns: Columns, known: list[int], *, elsewhere: bool) -> None:
    """The total of a player with every round that counts for them; who was cut has fewer. Where a round was played
    on another layout, its par is not on this sheet and the score against par stands as a figure."""
    standing = row.standing
    rounds = columns.rounds_span(line)
    needed = len(known) if standing.complete and standing.group is Group.RANKED else len(columns.rounds)
    whole = bool(known) and len(known) == needed
    total = sum(known) if whole else None
    tab.formula(line, columns.total, f'IF(COUNT({rounds})={max(needed, 1)},SUM({rounds}),"")', total)
    if elsewhere:
        tab.put(line, columns.to_par, standing.to_par if whole else None)
        return
    first, last = get_column_letter(columns.first_round), get_column_letter(columns.total - 1)
    pars = f"{first}${PAR_ROW}:{last}${PAR_ROW}"
    cell = at(line, columns.total)
    against = f'IF({cell}="","",{cell}-SUMPRODUCT(ISNUMBER({rounds})*{pars}))'
    tab.formula(line, columns.to_par, against, _to_par(row, columns) if whole else None)


def _to_par(row: Row, columns: Columns) -> int:
    begun = {each.number for each in columns.rounds}
    return sum(
        played.result.to_par or 0
        for played in row.rounds
        if played.number in begun and played.result.complete
    )


def _round(tab: Tab, line: int, round: DivisionRound, played: PlayerRound, columns: Columns) -> None:
    """A round's holes and its sum. A whole round that the standings do not count, as after a missed cut, stands in
    brackets without one."""
    first, count = columns.holes[round.number]
    counting = columns.counts(round)
    result = played.result
    assert played.throws is not None
    whole = all(figure is not None for figure, kept in zip(played.throws, counting, strict=True) if kept)
    if whole and not result.complete:
        counting = [False] * count
    for index, figure in enumerate(played.throws):
        shown = f"({figure})" if figure is not None and not counting[index] else figure
        tab.put(line, first + index, shown)
    if not any(counting):
        return
    tab.put(line, first + count, played.additional or None)
    holes, every = span(line, first, line, first + count - 1), span(line, first, line, first + count)
    formula = f'IF(COUNT({holes})={sum(counting)},SUM({every}),"")'
    tab.formula(line, columns.round[round.number], formula, result.total if result.complete else None)


def _state(row: Row) -> str:
    """Empty for who has a place and every card; the code of the report beside "did not finish"."""
    standing = row.standing
    if standing.group is Group.RANKED and standing.complete:
        return DECIDED.get(standing.decided, standing.decided)
    if standing.group is Group.DNF and standing.words == Status.DID_NOT_FINISH.label:
        code = STATUS_WORDS[Status.DID_NOT_FINISH].report_code
        return f"{standing.words} ({code})"
    return standing.words
