"""Deals the players of one pool into groups: at random, by rating, or by score.

Competition Manual 2025, 1.06.C (round 1: random within the division, or by rating dealt across the starting
holes), 1.06.D and E (later rounds: by division and lowest total), 1.06.A (professionals apart, divisions
together), 1.06.G and H (sizes). The same players and the same seed always give the same draw. Without regard to
divisions: across.py.
"""

import random
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Set
from dataclasses import dataclass

from events.draw.bundles import Row, Unit
from events.draw.candidates import Candidate
from events.draw.company import Pairs, meet_new_people, pairs_again
from events.draw.drawn import Draw, DrawnGroup, Places, shuffled
from events.draw.ordering import by_rating, by_score, division_key, rating_key, score_key
from events.draw.sharing import plan_groups
from events.draw.sizes import SizeRule, explain_sizes


@dataclass(slots=True)
class _Frame:
    """A group as counts, then as players: what the plan fixed and the deal fills."""

    layout: int | None
    row: Row
    members: list[Candidate]

    def takes(self, code: str) -> int:
        return dict(self.row).get(code, 0)


Line = Callable[[str, list[Candidate]], list[Candidate]]
Deal = Callable[[str, list[Candidate], list[_Frame]], None]


def draw_random(
    players: Iterable[Candidate],
    seed: int | str,
    *,
    rule: SizeRule | None = None,
    places: Places | None = None,
    avoid: Set[frozenset[int]] = frozenset(),
) -> Draw:
    """Draw at random within each division (Competition Manual 2025, 1.06.C.1).

    Players are put in the order of their keys, then shuffled with a generator seeded by the seed and the
    division, so that a late change in one division leaves the draw of the others alone. `avoid` holds pairs
    of keys that have played together; they are parted by exchanges within a division as far as it goes
    (common practice, no source). The throwing order of each group is drawn too. Raises NotEnoughPlaces.
    """
    line = list(players)

    def shuffle_line(code: str, division: list[Candidate]) -> list[Candidate]:
        return shuffled(sorted(division, key=lambda p: p.key), random.Random(f"{seed}/{code}"))  # noqa: S311 - a recorded seed is the point

    frames, notes = _frames(line, rule or SizeRule(), places, None)
    _fill(line, frames, shuffle_line, _deal_in_turn)
    if avoid:
        pairs = Pairs(avoid)
        chance = random.Random(f"{seed}/company")  # noqa: S311
        seats = meet_new_people([frame.members for frame in frames], pairs, chance)
        for frame, members in zip(frames, seats, strict=True):
            frame.members = members
        notes += _company_notes(seats, pairs)
    for number, frame in enumerate(frames, 1):
        frame.members = shuffled(
            sorted(frame.members, key=lambda p: p.key),
            random.Random(f"{seed}/order/{number}"),  # noqa: S311
        )
    return _finish(frames, notes, lambda code, _: f"{code} at random")


def draw_by_rating(
    players: Iterable[Candidate],
    groups: int | None = None,
    *,
    rule: SizeRule | None = None,
    places: Places | None = None,
) -> Draw:
    """Deal each division by rating across its starting holes (Competition Manual 2025, 1.06.C.2).

    12 players on 3 holes: 1-4-7-10, 2-5-8-11, 3-6-9-12. Unrated players come last. `groups` fixes the number
    of groups (starting holes) where all play one layout; left out, the best sizes decide.
    Raises NotEnoughPlaces, and ValueError for `groups` with several layouts.
    """
    line = list(players)
    frames, notes = _frames(line, rule or SizeRule(), places, groups)
    if groups is not None and len(frames) != groups:
        notes.append(f"{groups} groups were asked for; {len(line)} players fill {len(frames)}.")
    ranks = _fill(line, frames, lambda _, division: by_rating(division), _deal_across)
    for frame in frames:
        frame.members.sort(key=rating_key)
    return _finish(frames, notes, lambda code, ours: f"{code} by rating: {_ranks(ours, ranks, '-')}")


def draw_by_score(
    players: Iterable[Candidate], *, rule: SizeRule | None = None, places: Places | None = None
) -> Draw:
    """Group each division by lowest total, best group first (Competition Manual 2025, 1.06.D, E).

    Equal totals stand in the order of 1.09.A. Where groups differ in size the leaders get the size aimed at;
    where divisions share a group, their last players do; the leader throws first (common practice, no
    source). Raises NotEnoughPlaces.
    """
    line = list(players)
    rule = rule or SizeRule()
    frames, notes = _frames(line, rule, places, None)
    frames.sort(key=lambda frame: _sheet_place(frame, rule))
    ranks = _fill(line, frames, lambda _, division: by_score(division), _deal_in_turn)
    for frame in frames:
        frame.members.sort(key=score_key)
    return _finish(frames, notes, lambda code, ours: f"{code} by total: {_ranks(ours, ranks, ', ')}")


def _frames(
    players: list[Candidate], rule: SizeRule, places: Places | None, groups: int | None
) -> tuple[list[_Frame], list[str]]:
    """Plan the groups of every layout as counts; the notes say what is out of the ordinary."""
    by_layout: defaultdict[int | None, list[Candidate]] = defaultdict(list)
    for player in players:
        by_layout[player.layout].append(player)
    if groups is not None and len(by_layout) > 1:
        raise ValueError("A fixed number of groups needs players on one layout.")
    frames: list[_Frame] = []
    notes: list[str] = []
    for layout in sorted(by_layout, key=lambda layout: (layout is None, layout or 0)):
        units = _units(by_layout[layout])
        room = None if places is None else places.get(layout, 0)
        for plan in plan_groups(units, rule, places=room, groups=groups):
            frames += [_Frame(layout, row, []) for row in plan.rows]
        notes += _size_notes(units, frames, layout, rule)
    frames.sort(key=lambda frame: _sheet_place(frame, rule, leaders=False))
    return frames, notes


def _units(players: list[Candidate]) -> list[Unit]:
    divisions: defaultdict[str, list[Candidate]] = defaultdict(list)
    for player in players:
        divisions[player.division].append(player)
    return [
        Unit(code, len(ours), any(p.professional for p in ours), all(p.junior for p in ours))
        for code, ours in sorted(divisions.items())
    ]


def _sheet_place(frame: _Frame, rule: SizeRule, *, leaders: bool = True) -> tuple[object, ...]:
    """Where a group stands on the sheet: by its first division, unmixed first, leaders at the size aimed at.

    Without `leaders` the larger groups come first, which is the order that a deal across holes fills.
    """
    codes = sorted((code for code, _ in frame.row), key=division_key)
    size = sum(count for _, count in frame.row)
    own = (abs(size - rule.aim), size) if leaders else (0, -size)
    return (division_key(codes[0]), len(codes) > 1, own, frame.layout or 0, tuple(codes))


def _fill(players: list[Candidate], frames: list[_Frame], line: Line, deal: Deal) -> dict[int, int]:
    """Deal every division of every layout into its groups; returns each player's rank in that line."""
    found: defaultdict[tuple[int | None, str], list[Candidate]] = defaultdict(list)
    for player in players:
        found[player.layout, player.division].append(player)
    ranks: dict[int, int] = {}
    for layout, code in sorted(found, key=lambda at: (at[0] is None, at[0] or 0, division_key(at[1]))):
        ordered = line(code, found[layout, code])
        ranks.update((player.key, rank) for rank, player in enumerate(ordered, 1))
        deal(code, ordered, [f for f in frames if f.layout == layout and f.takes(code)])
    return ranks


def _deal_in_turn(code: str, line: list[Candidate], frames: list[_Frame]) -> None:
    """Fill group after group; a group shared with other divisions gets the last of the line."""
    start = 0
    for frame in sorted(frames, key=lambda frame: len(frame.row) > 1):
        stop = start + frame.takes(code)
        frame.members.extend(line[start:stop])
        start = stop


def _deal_across(code: str, line: list[Candidate], frames: list[_Frame]) -> None:
    """One player to each group in turn, over and over: 1-4-7-10, 2-5-8-11, 3-6-9-12 over three groups."""
    room = [frame.takes(code) for frame in frames]
    waiting = iter(line)
    while any(room):
        for place, frame in enumerate(frames):
            if room[place]:
                frame.members.append(next(waiting))
                room[place] -= 1


def _ranks(ours: list[Candidate], ranks: dict[int, int], between: str) -> str:
    return between.join(str(rank) for rank in sorted(ranks[player.key] for player in ours))


def _finish(frames: list[_Frame], notes: list[str], how: Callable[[str, list[Candidate]], str]) -> Draw:
    totals: defaultdict[tuple[int | None, str], int] = defaultdict(int)
    for frame in frames:
        for code, count in frame.row:
            totals[frame.layout, code] += count
    groups = []
    for number, frame in enumerate(frames, 1):
        codes = tuple(sorted((code for code, _ in frame.row), key=division_key))
        dealt = [how(code, [p for p in frame.members if p.division == code]) for code in codes]
        shared = _shared(codes, frame, totals)
        groups.append(
            DrawnGroup(number, tuple(frame.members), codes, frame.layout, ". ".join([*shared, *dealt]))
        )
        notes += _class_notes(number, codes, frame)
    return Draw(tuple(groups), tuple(notes))


def _shared(codes: tuple[str, ...], frame: _Frame, totals: Mapping[tuple[int | None, str], int]) -> list[str]:
    """Why divisions share this group, in one sentence; nothing for a group of one division."""
    if len(codes) == 1:
        return []
    names = f"{', '.join(codes[:-1])} and {codes[-1]} share a group"
    parts = []
    for code in codes:
        here, all_told = frame.takes(code), totals[frame.layout, code]
        parts.append(f"all {here} of {code}" if here == all_told else f"{here} left over in {code}")
    left = {frame.takes(code) for code in codes}
    if len(left) == 1 and not any(part.startswith("all") for part in parts):
        return [f"{names}: {left.pop()} left over in each"]
    return [f"{names}: {', '.join(parts)}"]


def _size_notes(units: list[Unit], frames: list[_Frame], layout: int | None, rule: SizeRule) -> list[str]:
    """One line for each division that stays apart and does not come out in groups of the size aimed at."""
    notes = []
    for unit in units:
        rows = [f.row for f in frames if f.layout == layout and f.takes(unit.code)]
        chosen = [sum(count for _, count in row) for row in rows]
        if all(len(row) == 1 for row in rows) and set(chosen) != {rule.aim}:
            notes.append(f"{unit.code}: {explain_sizes(chosen, rule)}.")
        notes += [
            f"{' and '.join(code for code, _ in row)}: {explain_sizes([size], rule)}."
            for row, size in zip(rows, chosen, strict=True)
            if len(row) > 1 and size < rule.smallest and row[0][0] == unit.code
        ]
    return notes


def _class_notes(number: int, codes: tuple[str, ...], frame: _Frame) -> list[str]:
    if len({division_class(frame.members, code) for code in codes}) < 2:
        return []
    return [f"Group {number} has professionals and amateurs ({', '.join(codes)}); 1.06.A keeps them apart."]


def division_class(members: Iterable[Candidate], code: str) -> bool:
    """Whether the division is a professional one, from any of its players."""
    return any(player.professional for player in members if player.division == code)


def _company_notes(seats: list[list[Candidate]], pairs: Pairs) -> list[str]:
    again = sum(pairs_again(members, pairs) for members in seats)
    if not again:
        return ["Nobody meets anybody they have played with."]
    return [
        f"{again} pair{'s meet' if again > 1 else ' meets'} again: no exchange was found that parts them."
    ]
