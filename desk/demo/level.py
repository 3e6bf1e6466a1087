"""Two of a division are level at the top after the last round. Pure."""

from collections.abc import Mapping, Sequence

from events.draw.queries import GroupView

BEST = 2  # nobody is made to hole out in one


def level_first(
    groups: Sequence[GroupView],
    scores: Sequence[dict[int, list[int]]],
    before: Mapping[int, Sequence[int | None]],
) -> None:
    """Take throws off the runner-up of the division where first and second are closest, until they are level.

    `scores`: entry → throws of the last round, group by group, changed in place; `before`: totals of earlier rounds.
    """
    thrown = {entry: throws for each in scores for entry, throws in each.items()}
    divisions: dict[str, list[tuple[int, int]]] = {}
    for member in (member for group in groups for member in group.members):
        earlier = before.get(member.entry_id, ())
        if None not in earlier:
            total = sum(each or 0 for each in earlier) + sum(thrown[member.entry_id])
            divisions.setdefault(member.division, []).append((total, member.entry_id))
    pairs = [sorted(found)[:2] for found in divisions.values() if len(found) > 1]
    if not pairs:
        return
    (least, _), (more, runner_up) = min(pairs, key=lambda pair: pair[1][0] - pair[0][0])
    _take_off(thrown[runner_up], more - least)


def _take_off(throws: list[int], count: int) -> None:
    """One throw after the other from the hole that has most."""
    for _ in range(count):
        worst = throws.index(max(throws))
        if throws[worst] > BEST:
            throws[worst] -= 1
