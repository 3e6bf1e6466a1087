"""Draws without regard to divisions, for smaller events outside the United States and Canada. Pure.

Competition Manual 2025, 6.03.E: such events may draw the first round across divisions, and with enough rounds group
the second by score across divisions. Groups still share one layout (1.06.B) and have 3 to 5 players (1.06.G, H).
When it is allowed: ways.py.
"""

import random
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate, pairwise

from events.draw.candidates import Candidate
from events.draw.drawn import Draw, DrawnGroup, Places, shuffled
from events.draw.ordering import by_score, division_key
from events.draw.sizes import SizeRule, explain_sizes, sizes

Part = tuple[int | None, list[Candidate]]  # a layout, and who plays it
EVERY_DIVISION = "every division"  # after the seed, where a draw by divisions has the code of one


def line_at_random(players: Iterable[Candidate], seed: int | str) -> list[Candidate]:
    """Everybody in one line: in the order of their keys, then shuffled by a generator started with the seed."""
    ordered = sorted(players, key=lambda player: player.key)
    return shuffled(ordered, random.Random(f"{seed}/{EVERY_DIVISION}"))  # noqa: S311 - a recorded seed is the point


def draw_random_across(
    players: Iterable[Candidate],
    seed: int | str,
    *,
    rule: SizeRule | None = None,
    places: Places | None = None,
) -> Draw:
    """Draw everybody at random, whatever the division (Competition Manual 2025, 6.03.E).

    One line is cut into groups from the top, layout by layout. The throwing order of each group is drawn too.
    Raises NotEnoughPlaces.
    """
    rule = rule or SizeRule()
    parts = _by_layout(line_at_random(players, seed))
    groups: list[DrawnGroup] = []
    notes = _layout_notes(parts)
    for layout, ours in parts:
        chosen = _sizes(ours, layout, rule, places)
        notes += _size_notes(chosen, rule)
        for members in _cut(ours, chosen):
            number = len(groups) + 1
            ordered = sorted(members, key=lambda player: player.key)
            order = shuffled(ordered, random.Random(f"{seed}/order/{number}"))  # noqa: S311
            groups.append(_group(number, order, layout, "at random, whatever the division"))
    return Draw(tuple(groups), tuple(notes))


def draw_by_score_across(
    players: Iterable[Candidate], *, rule: SizeRule | None = None, places: Places | None = None
) -> Draw:
    """Group everybody by lowest total, whatever the division, best group first (Competition Manual 2025, 6.03.E).

    Equal totals stand in the order of 1.09.A. Where groups differ in size the leaders get the size aimed at; the
    leader throws first (common practice, no source). Totals of two layouts are not compared. Raises NotEnoughPlaces.
    """
    rule = rule or SizeRule()
    parts = _by_layout(by_score(players))
    groups: list[DrawnGroup] = []
    notes = _layout_notes(parts)
    for layout, ours in parts:
        chosen = sorted(_sizes(ours, layout, rule, places), key=lambda size: (abs(size - rule.aim), size))
        notes += _size_notes(chosen, rule)
        last = 0
        for members in _cut(ours, chosen):
            first, last = last + 1, last + len(members)
            how = f"by total, whatever the division: {first} to {last}"
            groups.append(_group(len(groups) + 1, members, layout, how))
    return Draw(tuple(groups), tuple(notes))


def _by_layout(line: Iterable[Candidate]) -> list[Part]:
    """The line parted by layout, each part in the order of the line."""
    parts: defaultdict[int | None, list[Candidate]] = defaultdict(list)
    for player in line:
        parts[player.layout].append(player)
    return sorted(parts.items(), key=lambda part: (part[0] is None, part[0] or 0))


def _sizes(players: list[Candidate], layout: int | None, rule: SizeRule, places: Places | None) -> list[int]:
    room = None if places is None else places.get(layout, 0)
    return sizes(len(players), smallest=rule.smallest, largest=rule.largest, aim=rule.aim, limit_groups=room)


def _layout_notes(parts: Sequence[Part]) -> list[str]:
    """A group plays one layout, so that only who plays the same one can meet (1.06.B)."""
    return ["Divisions that play different layouts are drawn apart."] if len(parts) > 1 else []


def _size_notes(chosen: list[int], rule: SizeRule) -> list[str]:
    return [f"{explain_sizes(chosen, rule)}."] if set(chosen) != {rule.aim} else []


def _cut(line: list[Candidate], chosen: Iterable[int]) -> Iterator[list[Candidate]]:
    for start, stop in pairwise(accumulate(chosen, initial=0)):
        yield line[start:stop]


def _group(number: int, members: list[Candidate], layout: int | None, how: str) -> DrawnGroup:
    codes = tuple(sorted({player.division for player in members}, key=division_key))
    return DrawnGroup(number, tuple(members), codes, layout, f"{', '.join(codes)} {how}")
