"""Prizes and the money of the event in the workbook, with every sum live. Pure: cents come in, currency goes out."""

from collections.abc import Sequence

from scoring.money.statement import Section, Statement
from scoring.prizes.awarding import Award, Awarded
from scoring.prizes.awards import DivisionAwards, Due, EventAwards
from scoring.report.book import MONEY, Book, Tab, at, span


def prizes_sheet(book: Book, awards: EventAwards, currency: str) -> None:
    about = "prizes by place, who is due what and why, what was handed out; sums are live"
    tab = book.tab("Prizes, for the desk", about, "the desk")
    posted = awards.purse.posted
    tab.put(1, 1, f"Prizes in {currency}", bold=True)
    tab.put(2, 1, f"as posted, version {posted.number}" if posted else "as planned: no payout is posted")
    row = 4
    for division in awards.divisions:
        row = _division(tab, division, row) + 2
    for code in awards.without:
        tab.put(row, 1, f"{code}: no prizes are worked out")
        row += 1
    tab.widths([7, 30, 12, 14, 12, 12, 50])


def _division(tab: Tab, division: DivisionAwards, row: int) -> int:
    base = division.awarded.base
    tab.put(row, 1, f"{base.code} {base.name}", bold=True)
    tab.put(row, 2, f"{base.words} ({base.source})" if base.source else base.words)
    prizes = row + 2
    row = _ladder(tab, base.prizes, base.purse, row + 1)
    head = ["place", "player", "due", "kind", "handed out", "open", "how it comes about"]
    tab.headings(row, head)
    first = row + 1
    for due in division.dues:
        row += 1
        _due(tab, due, row, division.awarded, prizes)
    if row >= first:
        row += 1
        sums = {3: [due.award.cents for due in division.dues], 5: [due.handed_cents for due in division.dues]}
        sums[6] = [due.open for due in division.dues]
        tab.put(row, 2, "together", bold=True)
        for column, cents in sums.items():
            whole = f"ROUND(SUM({span(first, column, row - 1, column)}),2)"
            tab.formula(row, column, whole, sum(cents) / 100, bold=True, form=MONEY)
    return row


def _ladder(tab: Tab, prizes: Sequence[int], purse: int, row: int) -> int:
    """Prizes by place side by side, and that they make up the purse."""
    tab.put(row, 2, "place", bold=True)
    tab.put(row + 1, 2, "prize", bold=True)
    for index, cents in enumerate(prizes):
        tab.put(row, 3 + index, index + 1)
        tab.put(row + 1, 3 + index, cents / 100, form=MONEY)
    tab.put(row + 2, 2, "purse", bold=True)
    if prizes:
        cells = span(row + 1, 3, row + 1, 2 + len(prizes))
        tab.formula(row + 2, 3, f"ROUND(SUM({cells}),2)", sum(prizes) / 100, bold=True, form=MONEY)
    else:
        tab.put(row + 2, 3, purse / 100, form=MONEY)
    return row + 4


def _due(tab: Tab, due: Due, row: int, awarded: Awarded, prizes: int) -> None:
    """One player; the prizes by place stand in row `prizes`."""
    award = due.award
    tab.put(row, 1, award.place)
    tab.put(row, 2, award.name)
    if award.tied > 1 and award.spans:
        tab.formula(row, 3, _shared(award, awarded, prizes), award.cents / 100, form=MONEY)
    else:
        tab.put(row, 3, award.cents / 100, form=MONEY)
    tab.put(row, 4, f"{award.kind} and trophy" if award.trophy and award.cents else str(award.kind))
    tab.put(row, 5, due.handed_cents / 100, form=MONEY)
    lapsed = f"-{due.forfeited_cents / 100:.2f}" if due.forfeited_cents else ""
    tab.formula(row, 6, f"ROUND({at(row, 3)}-{at(row, 5)}{lapsed},2)", due.open / 100, form=MONEY)
    tab.put(row, 7, _how(due))


def _shared(award: Award, awarded: Awarded, prizes: int) -> str:
    """The prizes of the places that a tie spans, divided in whole units; what rounding or left-over cents add to that
    is a figure of its own."""
    unit = awarded.split.unit
    whole = award.tied * unit
    first, last = 2 + award.spans[0], 2 + award.spans[-1]
    cents = sum(awarded.base.prizes[rung - 1] for rung in award.spans)
    rest = award.cents - cents // whole * unit
    together = f"ROUND(100*SUM({span(prizes, first, prizes, last)}),0)"
    return f"(INT({together}/{whole})*{unit}+{rest})/100"


def _how(due: Due) -> str:
    award, parts = due.award, []
    if award.tied > 1:
        parts.append(f"{award.tied} share the places they span")
    if award.extra:
        parts.append(f"{award.extra} of the cents left over")
    if award.passed:
        parts.append(f"{award.passed}; the prize moves on")
    if award.source:
        parts.append(award.source)
    if due.forfeit is not None:
        parts.append(f"{due.forfeited_cents / 100:.2f} forfeited: not claimed in time")
    return "; ".join(parts)


def money_sheet(book: Book, statement: Statement, currency: str) -> None:
    about = "the statement of the event's money, every total live; no contacts and no account numbers"
    tab = book.tab("Money, for the director", about, "the director")
    tab.put(1, 1, f"Money of the event in {currency}", bold=True)
    totals: dict[str, int] = {}
    row = 3
    for section in statement.sections:
        row = _section(tab, section, row, totals)
        totals[section.key] = row
        row += 2
    purposes, ways = statement.section("purposes"), statement.section("ways")
    tab.put(row, 1, "Entry money, one way less the other: has to be nothing", bold=True)
    both = f"ROUND({at(totals['purposes'], 2)}-{at(totals['ways'], 2)},2)"
    tab.formula(row, 2, both, (purposes.total - ways.total) / 100, form=MONEY)
    row += 2
    tab.rows(
        row, [["Open"], *([text] for text in statement.open)] if statement.open else [["Nothing is open."]]
    )
    tab.widths([52, 14, 40])


def _section(tab: Tab, section: Section, row: int, totals: dict[str, int]) -> int:
    """One section from `row` on; the row of its total. What is left points at the totals that it comes from."""
    tab.put(row, 1, section.title, bold=True)
    first = row + 1
    points = {"here": ("", "held"), "belongs to others": ("-", "others")} if section.key == "left" else {}
    for line in section.lines:
        row += 1
        tab.put(row, 1, line.label)
        if line.label in points:
            sign, other = points[line.label]
            tab.formula(row, 2, f"{sign}{at(totals[other], 2)}", line.cents / 100, form=MONEY)
        else:
            tab.put(row, 2, line.cents / 100, form=MONEY)
        tab.put(row, 3, line.source)
    row += 1
    tab.put(row, 1, section.total_label, bold=True)
    total = f"ROUND(SUM({span(first, 2, row - 1, 2)}),2)" if section.lines else "0"
    tab.formula(row, 2, total, section.total / 100, bold=True, form=MONEY)
    return row
