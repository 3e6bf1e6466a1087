"""What a score card says, as plain data: no layout, no database."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

StartKind = Literal["shotgun", "tee time"]


@dataclass(frozen=True)
class CardHole:
    """One hole as labelled in the layout ("7", "4S", "12B"); length in metres; None is unknown."""

    label: str
    par: int | None
    length_m: int | None = None
    note: str = ""


@dataclass(frozen=True)
class CardPlayer:
    """One player of the group; an empty name is a line to write on."""

    name: str
    division: str = ""
    member_number: str | None = None
    note: str = ""


@dataclass(frozen=True)
class CardSheet:
    """One card: holes in playing order from the group's own start hole, players in throwing order.

    `copy_label` names whose copy it is; `url` is what the QR code opens. Empty texts are left out, and
    an empty group number or start is a line to write on.
    """

    group_number: str
    start_label: str
    time_text: str
    start_kind: StartKind
    round_number: int
    date_text: str
    pool: str
    layout_name: str
    holes: tuple[CardHole, ...]
    players: tuple[CardPlayer, ...]
    url: str = ""
    copy_label: str = ""
    course_note: str = ""  # what is dangerous on the whole course


def copies_per_player(card: CardSheet) -> tuple[CardSheet, ...]:
    """One card for each player of the group, each listing the whole group.

    In the United States and Canada every player keeps a card (Official Rules 2025, 808.A; Competition Manual
    2025, 6.02.A).
    """
    return tuple(
        replace(card, copy_label=f"Card kept by {player.name}") for player in card.players if player.name
    )


def playing_order(holes: Sequence[CardHole], start_label: str) -> tuple[CardHole, ...]:
    """The layout's holes from the start hole onward and round to the one before it.

    Raises ValueError when the layout has no such hole.
    """
    labels = [hole.label for hole in holes]
    start = labels.index(start_label)
    return (*holes[start:], *holes[:start])


def total_par(holes: Sequence[CardHole]) -> int | None:
    """The par of the round; None when a hole's par is missing."""
    pars = [hole.par for hole in holes if hole.par is not None]
    return sum(pars) if pars and len(pars) == len(holes) else None


def total_length(holes: Sequence[CardHole]) -> int | None:
    """The whole length in metres; None when a hole's length is missing."""
    lengths = [hole.length_m for hole in holes if hole.length_m is not None]
    return sum(lengths) if lengths and len(lengths) == len(holes) else None
