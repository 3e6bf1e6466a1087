"""Who says what about a card: cells on which the typed card, a second entry, the phones or the radio differ. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Voice:
    """One source with its figures of one player, in layout order; `who` in words: "paper card, by Ines, 12:40"."""

    key: str
    who: str
    throws: Sequence[int | None]


@dataclass(frozen=True, slots=True)
class Claim:
    """One figure of a cell and everybody who says it."""

    throws: int
    who: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """A cell with more than one figure: claims by how many say it, the lower figure first among equals."""

    entry_id: int
    name: str
    index: int
    hole: str
    claims: tuple[Claim, ...]


def differences(
    entry_id: int, name: str, labels: Sequence[str], order: Sequence[int], voices: Sequence[Voice]
) -> list[Difference]:
    """The holes of one player on which the voices differ, in order of play; a blank says nothing."""
    found = []
    for index in order:
        said: dict[int, list[str]] = {}
        for voice in voices:
            throws = voice.throws[index]
            if throws is not None:
                said.setdefault(throws, []).append(voice.who)
        if len(said) > 1:
            claims = sorted(said.items(), key=lambda claim: (-len(claim[1]), claim[0]))
            found.append(
                Difference(
                    entry_id,
                    name,
                    index,
                    labels[index],
                    tuple(Claim(throws, tuple(dict.fromkeys(who))) for throws, who in claims),
                )
            )
    return found


def radio_sentence(
    name: str, through: int, to_par: int, throws_in_order: Sequence[int | None], pars_in_order: Sequence[int]
) -> str | None:
    """What to say where the radio and the holes do not agree; None where they do, or holes are missing."""
    played = list(throws_in_order[:through])
    if not through or any(throws is None for throws in played):
        return None
    counted = sum(throws or 0 for throws in played) - sum(pars_in_order[:through])
    if counted == to_par:
        return None
    return f"{name}: the radio said {_to_par(to_par)} after {through} holes, the card has {_to_par(counted)}."


def _to_par(value: int) -> str:
    return "E" if value == 0 else f"{value:+d}".replace("-", "−")


def undecided(differences: Sequence[Difference], chosen: Mapping[tuple[int, str], int]) -> list[str]:
    """ "Moravec, hole 5" of everything that nobody chose a figure for, or one that nobody said."""
    return [
        f"{each.name}, hole {each.hole}"
        for each in differences
        if chosen.get((each.entry_id, each.hole)) not in {claim.throws for claim in each.claims}
    ]
