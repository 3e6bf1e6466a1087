"""Checks a finished sheet, drawn or changed by hand, against the published rules.

Nothing here decides: a breach names the rule, its source and the group, and the director may keep it with a
reason. Only what cannot be (a player in two groups, two layouts in one group) can not be kept.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from events.draw.candidates import Candidate
from events.draw.conflicts import Placed, conflicts
from events.draw.ordering import division_key
from events.draw.sizes import SizeRule

MANUAL = "Competition Manual 2025"


class Severity(StrEnum):
    """What a breach means: it cannot be, the document says must, or it says should."""

    IMPOSSIBLE = "impossible"
    MUST = "must"
    SHOULD = "should"


class Rule(StrEnum):
    """Short names of the rules, stable: the reason for which a breach is kept is filed under them."""

    TWICE = "player-twice"
    MISSING = "player-missing"
    STRANGER = "player-unknown"
    LAYOUTS = "layouts-mixed"
    DIVISION_LAYOUT = "division-on-two-layouts"
    SMALL = "group-small"
    LARGE = "group-large"
    CLASSES = "classes-mixed"
    DIVISIONS = "divisions-mixed"
    GUARDIAN = "guardian-missing"
    TEE = "tee-taken"
    SECOND = "second-group"


@dataclass(frozen=True, slots=True)
class Breach:
    """One rule that the sheet does not keep; `group` is its number, None for the sheet as a whole.

    `players` holds the keys of those concerned, so that a page can mark them.
    """

    rule: Rule
    source: str
    text: str
    group: int | None
    severity: Severity
    players: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetGroup:
    """A group as it stands on the sheet. `layout` is the layout of its start, `tee` its physical tee.

    `minute` counts on one clock for the whole day; `occupies` is the interval with tee times, else 0.
    `official` names the official who goes with a small group.
    """

    number: int
    members: tuple[Candidate, ...]
    layout: int | None = None
    layout_name: str = ""
    tee: int | None = None
    tee_name: str = ""
    label: str = ""
    minute: int = 0
    occupies: int = 0
    second: bool = False
    official: str = ""


def check_sheet(
    groups: Sequence[SheetGroup],
    expected: Iterable[Candidate],
    *,
    rule: SizeRule | None = None,
    elsewhere: Iterable[Placed] = (),
    across: bool = False,
) -> tuple[Breach, ...]:
    """Every breach on the sheet, the impossible first, then by group.

    `expected` is everybody who should be on the sheet; `elsewhere` the starts of other sheets of the day
    that share the course. `groups` may hold several pools and layouts: tees are checked over all of them.
    `across`: drawn without regard to divisions where that is allowed (6.03.E), so mixed groups are no breach.
    """
    rule = rule or SizeRule()
    found = [*_attendance(groups, list(expected)), *_division_layouts(groups)]
    classes = _classes(groups)
    for group in groups:
        found += _layouts(group)
        found += _size(group, rule)
        found += () if across else _mixture(group, classes)
        found += _guardians(group)
    found += _tees(groups, elsewhere)
    order = list(Severity)
    return tuple(sorted(found, key=lambda b: (order.index(b.severity), b.group or 0, b.rule, b.text)))


def _attendance(groups: Sequence[SheetGroup], expected: list[Candidate]) -> Iterator[Breach]:
    """Nobody twice, nobody missing, nobody who does not belong (each player is told one group, 1.05.F)."""
    source = f"{MANUAL}, 1.05.F"
    seats: defaultdict[int, list[tuple[int, Candidate]]] = defaultdict(list)
    for group in groups:
        for player in group.members:
            seats[player.key].append((group.number, player))
    known = {player.key for player in expected}
    for key, places in seats.items():
        name = places[0][1].name
        if len(places) > 1:
            where = " and ".join(str(number) for number, _ in places)
            text = f"{name} is in groups {where}."
            yield Breach(Rule.TWICE, source, text, places[-1][0], Severity.IMPOSSIBLE, (key,))
        if key not in known:
            text = f"{name} is in group {places[0][0]} but does not play this round."
            yield Breach(Rule.STRANGER, source, text, places[0][0], Severity.MUST, (key,))
    for player in sorted(expected, key=lambda p: p.key):
        if player.key not in seats:
            text = f"{player.name} ({player.division}) is in no group."
            yield Breach(Rule.MISSING, source, text, None, Severity.MUST, (player.key,))


def _division_layouts(groups: Sequence[SheetGroup]) -> Iterator[Breach]:
    """Everybody in one division plays the same layout (1.06.B)."""
    played: defaultdict[str, defaultdict[int | None, list[SheetGroup]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for group in groups:
        for division in {player.division for player in group.members}:
            played[division][group.layout].append(group)
    for division in sorted(played, key=division_key):
        by_layout = played[division]
        if len(by_layout) < 2:
            continue
        most = max(by_layout, key=lambda layout: len(by_layout[layout]))
        for layout, those in by_layout.items():
            for group in those if layout != most else ():
                other = by_layout[most][0].layout_name or "another layout"
                text = f"Group {group.number}: {division} plays {group.layout_name or 'this layout'} here"
                text += f", {other} elsewhere."
                keys = tuple(p.key for p in group.members if p.division == division)
                yield Breach(
                    Rule.DIVISION_LAYOUT, f"{MANUAL}, 1.06.B", text, group.number, Severity.MUST, keys
                )


def _layouts(group: SheetGroup) -> Iterator[Breach]:
    """A group plays one layout, and it is the layout of every player in it (follows from 1.06.B)."""
    stated = [p.layout for p in group.members if p.layout is not None]
    home = group.layout if group.layout is not None or not stated else stated[0]
    astray = [p for p in group.members if p.layout is not None and p.layout != home]
    if astray:
        names = ", ".join(f"{p.name} ({p.division})" for p in astray)
        text = f"Group {group.number}: not the layout of {names}."
        keys = tuple(p.key for p in astray)
        yield Breach(Rule.LAYOUTS, f"{MANUAL}, 1.06.B", text, group.number, Severity.IMPOSSIBLE, keys)


def _size(group: SheetGroup, rule: SizeRule) -> Iterator[Breach]:
    """3 to 5 players (1.06.G, H); fewer only with a recorded reason and an official in the group."""
    players, source = len(group.members), f"{MANUAL}, 1.06.G, H"
    if players < rule.smallest:
        need = "a recorded reason" if group.official else "a recorded reason and an official"
        text = f"Group {group.number} has {players}, fewer than {rule.smallest}: needs {need}."
        yield Breach(Rule.SMALL, source, text, group.number, Severity.MUST)
    elif players > rule.largest:
        text = f"Group {group.number} has {players}, more than {rule.largest}."
        yield Breach(Rule.LARGE, source, text, group.number, Severity.MUST)


def _classes(groups: Sequence[SheetGroup]) -> dict[str, bool]:
    """Division -> whether it is a professional one."""
    classes: dict[str, bool] = {}
    for group in groups:
        for player in group.members:
            classes[player.division] = classes.get(player.division, False) or player.professional
    return classes


def _mixture(group: SheetGroup, classes: dict[str, bool]) -> Iterator[Breach]:
    """Professionals and amateurs apart, divisions together where practicable (1.06.A)."""
    divisions = sorted({player.division for player in group.members}, key=division_key)
    if len(divisions) < 2:
        return
    source, names = f"{MANUAL}, 1.06.A", ", ".join(divisions)
    if len({classes[division] for division in divisions}) > 1:
        text = f"Group {group.number} has professionals and amateurs: {names}."
        yield Breach(Rule.CLASSES, source, text, group.number, Severity.SHOULD)
    else:
        text = f"Group {group.number} has several divisions: {names}."
        yield Breach(Rule.DIVISIONS, source, text, group.number, Severity.SHOULD)


def _guardians(group: SheetGroup) -> Iterator[Breach]:
    """A player who must be accompanied has a guardian on record (1.13.B)."""
    for player in group.members:
        if player.needs_guardian and not player.guardian.strip():
            text = f"Group {group.number}: no guardian on record for {player.name} ({player.division})."
            yield Breach(Rule.GUARDIAN, f"{MANUAL}, 1.13.B", text, group.number, Severity.MUST, (player.key,))


def _tees(groups: Sequence[SheetGroup], elsewhere: Iterable[Placed]) -> Iterator[Breach]:
    """One group on a physical tee at a time, whatever its labels; a second one is marked (1.06.I)."""
    source = f"{MANUAL}, 1.06.I"
    ours = [_placed(group) for group in groups if group.tee is not None]
    own = {placed: int(placed.group) for placed in ours}
    for meeting in conflicts([*ours, *elsewhere]):
        numbers = [own[placed] for placed in meeting.placed if placed in own]
        if not numbers or meeting.intended:
            continue
        yield Breach(Rule.TEE, source, f"{meeting.text}.", numbers[-1], Severity.MUST)
    for group in groups:
        if group.second:
            text = f"Group {group.number} is a second group on hole {group.label}: emergency only."
            yield Breach(Rule.SECOND, source, text, group.number, Severity.MUST)


def _placed(group: SheetGroup) -> Placed:
    layout = group.layout_name or str(group.layout)
    return Placed(
        group=str(group.number),
        layout=layout,
        label=group.label,
        tee=group.tee or 0,
        minute=group.minute,
        players=len(group.members),
        occupies=group.occupies,
        second=group.second,
        tee_name=group.tee_name,
    )
