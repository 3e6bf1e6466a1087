"""The event's money on one page: what came in and went out, what should be here, what of it belongs to others.

Pure; every amount in integer cents. The parts lean on each other and are checked against each other: the entry money
by what it is for is the entry money by the way it came, and what is left is what is held less what belongs to others.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scoring.money.fees import Fee

PRIZES_BOUGHT = "prizes"  # the category of what prizes in things cost


@dataclass(frozen=True, slots=True)
class Line:
    """`source`: where the figure comes from, in words that name a page or a document; `group`: the words under which
    lines may be printed as one where a page is short, "" for a line that stays alone."""

    label: str
    cents: int
    source: str = ""
    group: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    key: str
    title: str
    lines: tuple[Line, ...]
    total_label: str

    @property
    def total(self) -> int:
        return sum(line.cents for line in self.lines)


@dataclass(frozen=True, slots=True)
class Statement:
    """`left`: what stays with the event when everybody has paid and everybody is paid. `open`: sentences."""

    sections: tuple[Section, ...]
    open: tuple[str, ...]

    def section(self, key: str) -> Section:
        return next(section for section in self.sections if section.key == key)

    @property
    def held(self) -> int:
        """In the box and at the bank, without the float."""
        return self.section("held").total

    @property
    def left(self) -> int:
        return self.section("left").total


@dataclass(frozen=True, slots=True)
class EntryMoney:
    """Money of entries. `fees` and `addons`: (words, cents) charged to those in the field.

    `owed` and `overpaid` are of those in the field as well; `waiting` and `gone` is what is held of players on the
    waitlist or not let in yet, and of those who left or did not play. `ways`: method → (taken, paid back), both
    above zero; `before`: paid before, as the imported list says.
    """

    fees: tuple[tuple[str, int], ...]
    addons: tuple[tuple[str, int], ...]
    owed: int
    overpaid: int
    waiting: int
    gone: int
    ways: Mapping[str, tuple[int, int]]
    before: int

    @property
    def received(self) -> int:
        """What came in less what went back."""
        return self.before + sum(taken - back for taken, back in self.ways.values())


@dataclass(frozen=True, slots=True)
class PotMoney:
    """One side game: what came in besides the entries' add-on, what was handed out, what is held for it."""

    name: str
    taken: Mapping[str, int]
    handed: Mapping[str, int]
    held: int
    held_words: str


@dataclass(frozen=True, slots=True)
class PrizeMoney:
    """Prizes: `unpaid` is still due in money, player by player, so that what one got too much (`overpaid`) pays nobody
    else; `paid`: method → cents; `things`: the value due otherwise; `added`: added cash that the prizes count on, None
    where nothing is planned."""

    unpaid: int
    paid: Mapping[str, int]
    overpaid: int = 0
    things: int = 0
    added: int | None = None


@dataclass(frozen=True, slots=True)
class OwnLine:
    """A line somebody wrote; cents above zero came in. `kind`: the category's key; `words`: its name.

    `income` is the category's, so that a reversed line stays beside the one that it puts right.
    """

    kind: str
    words: str
    income: bool
    cents: int
    method: str
    who: str


@dataclass(frozen=True, slots=True)
class Facts:
    """Everything that the statement is made from. `passes`: (category, words, cents) that was collected for others.

    `fees`: the per-player fee and the sanction fee with their category, `counted`: method → difference that the last
    count found.
    """

    entries: EntryMoney
    own: tuple[OwnLine, ...]
    pots: tuple[PotMoney, ...]
    prizes: PrizeMoney
    fees: tuple[tuple[str, Fee], ...]
    passes: tuple[tuple[str, str, int], ...]
    counted: Mapping[str, int]
    methods: Mapping[str, str]
    open: tuple[str, ...] = ()

    @property
    def things_to_buy(self) -> int:
        """Value of the prizes in things while no line says what they cost; nothing once one does."""
        return 0 if any(line.kind == PRIZES_BOUGHT for line in self.own) else self.prizes.things

    @property
    def by_method(self) -> dict[str, int]:
        """What should be here by each method, without the float and without what was paid before."""
        sums = dict.fromkeys(self.methods, 0)
        for method, (taken, back) in self.entries.ways.items():
            sums[method] += taken - back
        for line in self.own:
            sums[line.method] += line.cents
        for pot in self.pots:
            for method, cents in pot.taken.items():
                sums[method] += cents
            for method, cents in pot.handed.items():
                sums[method] -= cents
        for method, cents in self.prizes.paid.items():
            sums[method] -= cents
        return sums


def statement_of(facts: Facts) -> Statement:
    sections = [
        _purposes(facts.entries),
        _ways(facts),
        _own(facts, income=True),
        _own(facts, income=False),
        _games(facts.pots),
        _held(facts),
        _others(facts),
    ]
    held = next(section for section in sections if section.key == "held").total
    others = next(section for section in sections if section.key == "others").total
    return Statement((*sections, _left(facts, held, others)), facts.open)


def _left(facts: Facts, held: int, others: int) -> Section:
    lines = [
        Line("here", held, "above"),
        Line("belongs to others", -others, "above"),
        Line("still to come from players", facts.entries.owed, "desk: who owes"),
    ]
    lines += _kept(
        (
            Line("prizes paid too much: to come back", facts.prizes.overpaid, "prizes"),
            Line("prizes in things, not bought yet", -facts.things_to_buy, "prizes, at their value"),
        )
    )
    return Section("left", "When all is settled", tuple(lines), "stays with the event")


def _kept(lines: Sequence[Line]) -> tuple[Line, ...]:
    """Lines of nothing are left out."""
    return tuple(line for line in lines if line.cents)


def _purposes(money: EntryMoney) -> Section:
    lines = [Line(words, cents, "entries", "fees of all divisions") for words, cents in money.fees]
    lines += [Line(words, cents, "add-ons") for words, cents in money.addons]
    lines += [
        Line("not paid yet", -money.owed, "desk: who owes"),
        Line("paid too much", money.overpaid, "entries"),
        Line("of players who wait", money.waiting, "waitlist, not let in yet"),
        Line("of players who left", money.gone, "withdrawn, did not play"),
    ]
    return Section("purposes", "Entry money by what it is for", _kept(lines), "entry money")


def _ways(facts: Facts) -> Section:
    money, names = facts.entries, facts.methods
    lines = [Line("paid before the desk opened", money.before, "imported list")]
    lines += [Line(f"taken, {names[way]}", taken, "payments") for way, (taken, _) in money.ways.items()]
    lines += [Line(f"paid back, {names[way]}", -back, "payments") for way, (_, back) in money.ways.items()]
    return Section("ways", "Entry money by the way it came", _kept(lines), "entry money")


def _own(facts: Facts, *, income: bool) -> Section:
    """Lines of one category together; who gave or got it stands beside where it is one."""
    groups: dict[str, list[OwnLine]] = {}
    for line in facts.own:
        if line.income == income:
            groups.setdefault(line.kind, []).append(line)
    lines = []
    for rows in groups.values():
        people = sorted({row.who for row in rows})
        source = people[0] if len(people) == 1 else f"{len(rows)} lines"
        lines.append(Line(rows[0].words, sum(row.cents for row in rows), source))
    if income:
        return Section("income", "Other income", _kept(lines), "other income")
    prizes = sum(facts.prizes.paid.values())
    lines.append(Line("prizes paid in money", -prizes, "prizes handed out"))
    return Section("expenses", "Expenses", _kept(lines), "expenses")


def _games(pots: Sequence[PotMoney]) -> Section:
    lines = []
    for pot in pots:
        taken, handed = sum(pot.taken.values()), sum(pot.handed.values())
        lines.append(Line(f"{pot.name}, taken", taken, "side games", "all games, taken"))
        lines.append(Line(f"{pot.name}, handed out", -handed, "side games", "all games, handed out"))
    return Section("games", "Side games, besides add-ons", _kept(lines), "side games")


def _held(facts: Facts) -> Section:
    lines = [Line("paid before the desk opened", facts.entries.before, "imported list")]
    lines += [Line(facts.methods[way], cents, "all lines above") for way, cents in facts.by_method.items()]
    lines += [
        Line(f"difference found, {facts.methods[way]}", cents, "cash box, last count")
        for way, cents in facts.counted.items()
    ]
    return Section("held", "Should be here, without the float", _kept(lines), "here")


def _others(facts: Facts) -> Section:
    money, spent = facts.entries, _spent(facts.own)
    lines = [
        Line("paid too much: give back", money.overpaid, "entries"),
        Line("of players who wait: give back or let in", money.waiting, "waitlist, not let in yet"),
    ]
    lines.append(Line("prizes in money not paid yet", facts.prizes.unpaid, "prizes"))
    for kind, fee in facts.fees:
        if fee.cents is not None:
            lines.append(Line(f"{fee.words} ({fee.basis})", fee.cents - spent.get(kind, 0), fee.source))
    lines += [
        Line(words, cents - spent.get(kind, 0), "add-ons, not passed on yet")
        for kind, words, cents in facts.passes
    ]
    lines += [Line(f"{pot.name}: {pot.held_words}", pot.held, "side games", "all pots") for pot in facts.pots]
    return Section("others", "Of this belongs to others", _kept(lines), "belongs to others")


def _spent(own: Sequence[OwnLine]) -> dict[str, int]:
    """Category → cents that went out for it."""
    sums: dict[str, int] = {}
    for line in own:
        sums[line.kind] = sums.get(line.kind, 0) - line.cents
    return sums
