"""Whom a change of a layout in play touches, in sentences. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlayingGroup:
    """A group of a published tee sheet on the layout. `state`: "waiting" to start, "playing" or "finished"."""

    round_number: int
    number: int
    state: str


STATES: Mapping[str, str] = {
    "playing": "on the course now",
    "finished": "finished on the layout as it was",
    "waiting": "still to start",
}


def sentences(uses: Sequence[tuple[int, str]], groups: Sequence[PlayingGroup]) -> list[str]:
    """`uses`: (round number, division code). Divisions by round, then groups by round and state.

    An empty list: nobody plays the layout, in no round.
    """
    said = [f"Round {number}: {', '.join(codes)}." for number, codes in sorted(_by_round(uses).items())]
    for state, words in STATES.items():
        for number in sorted({group.round_number for group in groups if group.state == state}):
            found = sorted(g.number for g in groups if g.state == state and g.round_number == number)
            said.append(f"Round {number}, {_groups(found)}: {words}.")
    return said


def _by_round(uses: Sequence[tuple[int, str]]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for number, code in uses:
        found.setdefault(number, []).append(code)
    return found


def _groups(numbers: Sequence[int]) -> str:
    return f"group {numbers[0]}" if len(numbers) == 1 else f"groups {', '.join(map(str, numbers))}"
