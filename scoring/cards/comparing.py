"""Who says what about a card: cells on which the typed card, a second entry, the phones or the radio differ. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

ADDITIONAL = "additional"  # longer than the label of a hole can be
_PENALTY = "penalty "


def penalty_cell(label: str) -> str:
    """The cell of the penalty throws that are written beside a hole's score."""
    return f"{_PENALTY}{label}"


@dataclass(frozen=True, slots=True)
class Voice:
    """One source with its figures of one player, in layout order; `who` in words: "paper card, by Ines, 12:40".

    What only a card holds: throws on the total (None: this source cannot say) with their `reason`, penalty throws
    beside the holes' scores, and the total as it was read.
    """

    key: str
    who: str
    throws: Sequence[int | None]
    additional: int | None = None
    reason: str = ""
    penalties: Sequence[int | None] = ()
    written_total: int | None = None

    def figures(self, labels: Sequence[str]) -> dict[str, int | None]:
        """Cell → what this source says there; None: nothing. No penalty throw written says nothing."""
        beside = [*self.penalties, *[None] * len(labels)]
        return {
            **dict(zip(labels, self.throws, strict=True)),
            **{penalty_cell(label): count or None for label, count in zip(labels, beside, strict=False)},
            ADDITIONAL: self.additional,
        }


@dataclass(frozen=True, slots=True)
class Claim:
    """One figure of a cell and everybody who says it; `reason`: what throws on the total are for."""

    throws: int
    who: tuple[str, ...]
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Difference:
    """A cell with more than one figure: claims by how many say it, the lower figure first among equals. `cell` is the
    label of a hole, ADDITIONAL or a `penalty_cell`; `index` the hole in layout order where it is a hole's score."""

    entry_id: int
    name: str
    index: int | None
    cell: str
    claims: tuple[Claim, ...]

    @property
    def what(self) -> str:
        """ "hole 5", "penalty throws of hole 5", "additional throws on the total"."""
        if self.cell == ADDITIONAL:
            return "additional throws on the total"
        if self.index is None:
            return f"penalty throws of hole {self.cell.removeprefix(_PENALTY)}"
        return f"hole {self.cell}"


@dataclass(frozen=True, slots=True)
class Totals:
    """One player's written total where typists read different ones: each figure with who read it."""

    name: str
    claims: tuple[Claim, ...]


def differing_cells(
    entry_id: int, name: str, labels: Sequence[str], order: Sequence[int], voices: Sequence[Voice]
) -> list[Difference]:
    """The cells of one player on which the voices differ: holes in order of play, each with the penalty throws beside
    it, then what is on the total. A blank says nothing."""
    said = [(voice, voice.figures(labels)) for voice in voices]
    cells: list[tuple[int | None, str]] = []
    for index in order:
        cells += [(index, labels[index]), (None, penalty_cell(labels[index]))]
    found = []
    for at, cell in [*cells, (None, ADDITIONAL)]:
        claims = _claims([(figures[cell], voice) for voice, figures in said], reasons=cell == ADDITIONAL)
        if len(claims) > 1:
            found.append(Difference(entry_id, name, at, cell, claims))
    return found


def differing_totals(name: str, voices: Sequence[Voice]) -> Totals | None:
    """Where typists read different totals for a player, else None."""
    claims = _claims([(voice.written_total, voice) for voice in voices])
    return Totals(name, claims) if len(claims) > 1 else None


def _claims(said: Sequence[tuple[int | None, Voice]], *, reasons: bool = False) -> tuple[Claim, ...]:
    found: dict[int, list[Voice]] = {}
    for figure, voice in said:
        if figure is not None:
            found.setdefault(figure, []).append(voice)
    return tuple(
        Claim(
            figure,
            tuple(dict.fromkeys(voice.who for voice in voices)),
            next((voice.reason for voice in voices if voice.reason), "") if reasons else "",
        )
        for figure, voices in sorted(found.items(), key=lambda claim: (-len(claim[1]), claim[0]))
    )


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
        f"{each.name}, {each.what}"
        for each in differences
        if chosen.get((each.entry_id, each.cell)) not in {claim.throws for claim in each.claims}
    ]
