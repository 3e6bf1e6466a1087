"""A payout as it is posted: the prizes of each division as plain JSON, and what changed since. Pure.

No name stands in it: it is hung up before the last round, when nobody has a place.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from scoring.prizes.splitting import Finisher, split
from scoring.prizes.working import Working


@dataclass(frozen=True, slots=True)
class Base:
    """What a division pays by place, in cents: as posted, or as planned while nothing is."""

    code: str
    name: str
    professional: bool
    players: int
    purse: int
    prizes: tuple[int, ...]
    unit: int
    amateur_kind: str
    trophies: int
    true_amateur: bool
    words: str
    source: str

    @property
    def without_ties(self) -> tuple[int, ...]:
        """What each place is paid in the division's units while nobody is tied."""
        alone = [Finisher(place, place) for place in range(1, len(self.prizes) + 1)]
        found = split(self.prizes, alone, unit=self.unit)
        return tuple(share.cents if (share := found.of(each.key)) else 0 for each in alone)


def base_of(working: Working) -> Base | None:
    """None while the division has no ladder."""
    ladder = working.ladder
    if ladder is None:
        return None
    return Base(
        code=working.code,
        name=working.name,
        professional=working.professional,
        players=working.money.players,
        purse=sum(ladder.prizes),
        prizes=ladder.prizes,
        unit=working.choices.unit,
        amateur_kind=working.choices.amateur_kind,
        trophies=working.trophies,
        true_amateur=working.choices.true_amateur and not working.professional,
        words=ladder.words,
        source=ladder.source,
    )


def content_of(bases: Iterable[Base], added: int) -> dict[str, Any]:
    """The payout as plain JSON: divisions in their order, and the added cash that is in it."""
    return {
        "added_cents": added,
        "divisions": [
            {
                "code": base.code,
                "name": base.name,
                "professional": base.professional,
                "players": base.players,
                "purse_cents": base.purse,
                "prizes_cents": list(base.prizes),
                "unit_cents": base.unit,
                "amateur_kind": base.amateur_kind,
                "trophies": base.trophies,
                "true_amateur": base.true_amateur,
                "words": base.words,
                "source": base.source,
            }
            for base in bases
        ],
    }


def bases_in(content: Mapping[str, Any]) -> dict[str, Base]:
    """What `content_of` made, back, by division."""
    return {
        row["code"]: Base(
            code=row["code"],
            name=row["name"],
            professional=row["professional"],
            players=row["players"],
            purse=row["purse_cents"],
            prizes=tuple(row["prizes_cents"]),
            unit=row["unit_cents"],
            amateur_kind=row["amateur_kind"],
            trophies=row["trophies"],
            true_amateur=row["true_amateur"],
            words=row["words"],
            source=row["source"],
        )
        for row in content["divisions"]
    }


def fingerprint(content: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def changed_since(posted: Mapping[str, Base], now: Iterable[Base]) -> list[str]:
    """Codes whose prizes are no longer those that hang on the wall, those without any now last."""
    planned = {base.code: base for base in now}
    other = [
        code for code, base in planned.items() if code not in posted or _seen(base) != _seen(posted[code])
    ]
    return [*other, *(code for code in posted if code not in planned)]


def _seen(base: Base) -> tuple[tuple[int, ...], int, int, str]:
    """What players see of a payout."""
    return base.prizes, base.trophies, base.unit, base.amateur_kind
