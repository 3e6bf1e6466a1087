"""The working of a draw: what it rested on and the order it followed, so that anybody can repeat it (no query)."""

import random
from collections.abc import Mapping
from dataclasses import dataclass

from events.draw.across import EVERY_DIVISION, line_at_random
from events.draw.candidates import Candidate
from events.draw.drawn import shuffled
from events.draw.models import Sheet
from events.draw.ordering import division_key
from events.draw.placing import pool_seed
from events.draw.queries import SheetView


@dataclass(frozen=True, slots=True)
class InputRow:
    """One player as the draw saw them; `drawn` is the place in the line that was cut into groups."""

    drawn: int
    name: str
    division: str
    entry_id: int
    rating: int | None
    totals: tuple[int | None, ...]
    total: int | None
    member_number: int | None
    group: int | None


@dataclass(frozen=True, slots=True)
class InputLine:
    """The players of one division in one pool, or of every division, in the order in which they were dealt.

    `seed`: the text that the generator of this line was started with."""

    pool: str
    division: str
    seed: str
    rows: tuple[InputRow, ...]


def working_of(view: SheetView, names: Mapping[int, str]) -> list[InputLine]:
    """The lines of a draw, pool by pool and division by division; across divisions one line for each pool.

    By rating and by score the order follows from the figures. At random it follows from the seed: it is made
    again here from the recorded players, so that it can be compared with the groups.
    """
    sheet, way = view.sheet, view.sheet.way
    lines: dict[tuple[str, str], list[Candidate]] = {}
    for key, pool, division, rating, number, totals in sheet.inputs.get("players", []):
        person = Candidate(
            key=key,
            division=division,
            professional=False,
            rating=rating,
            member_number=number,
            given=names.get(key, f"#{key}"),
            totals=tuple(totals),
        )
        lines.setdefault((pool, EVERY_DIVISION if way.across else division), []).append(person)
    groups = {member.entry_id: group.number for group in view.groups for member in group.members}
    ordered = sorted(lines.items(), key=lambda item: (item[0][0], division_key(item[0][1])))
    return [_line(sheet, pool, division, people, groups) for (pool, division), people in ordered]


def _line(
    sheet: Sheet, pool: str, division: str, people: list[Candidate], groups: Mapping[int, int]
) -> InputLine:
    rows = [
        InputRow(
            drawn=place,
            name=person.given,
            division=person.division,
            entry_id=person.key,
            rating=person.rating,
            totals=person.totals,
            total=person.total,
            member_number=person.member_number,
            group=groups.get(person.key),
        )
        for place, person in enumerate(_order(sheet, pool, division, people), start=1)
    ]
    return InputLine(pool, division, f"{pool_seed(sheet.seed, pool)}/{division}", tuple(rows))


def _order(sheet: Sheet, pool: str, division: str, people: list[Candidate]) -> list[Candidate]:
    seed = pool_seed(sheet.seed, pool)
    if sheet.way is Sheet.Method.RANDOM_ALL:
        return line_at_random(people, seed)
    if sheet.way is Sheet.Method.RANDOM:
        chance = random.Random(f"{seed}/{division}")  # noqa: S311 - a recorded seed
        return shuffled(sorted(people, key=lambda person: person.key), chance)
    return people  # recorded in the order of the figures, best first
