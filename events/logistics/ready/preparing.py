"""What is to be done on a hole before people play it: only what the hole has. Pure.

The list follows guidance for directors (pads swept, lines visible and unbroken, mandatories marked on the ground,
chains sound, signs right), and what is common practice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import blake2s
from typing import Protocol


class Spot(Protocol):
    @property
    def name(self) -> str: ...

    @property
    def how(self) -> str: ...


class Hole(Protocol):
    """The facts of a physical hole that the list rests on."""

    signs: list[str]
    pad: bool
    basket: bool
    spotter: bool | None

    @property
    def lines(self) -> Sequence[Spot]: ...

    @property
    def areas(self) -> Sequence[Spot]: ...

    @property
    def mandatories(self) -> Sequence[Spot]: ...

    @property
    def zones(self) -> Sequence[Spot]: ...


@dataclass(frozen=True, slots=True)
class Task:
    """`key` names the same work again as long as the hole is described the same; `how` helps to do it."""

    key: str
    words: str
    how: str = ""


@dataclass(frozen=True, slots=True)
class OwnTask:
    """Work that the director added: for one hole, or for every hole."""

    id: int
    words: str


def tasks_of(hole: Hole, own: Sequence[OwnTask] = ()) -> tuple[Task, ...]:
    """In the order of a walk from the tee to the target."""
    return (
        Task("tee", "Tee pad swept" if hole.pad else "Tee clear and marked"),
        *(Task(_key("sign", sign), f"Sign “{sign}” there and right") for sign in hole.signs),
        *(
            Task(_key("mandatory", each.name), f"Mandatory marked: {each.name}", each.how)
            for each in hole.mandatories
        ),
        *(
            Task(_key("line", each.name), f"Out-of-bounds line seen and unbroken: {each.name}", each.how)
            for each in hole.lines
        ),
        *(Task(_key("area", each.name), f"Area marked: {each.name}", each.how) for each in hole.areas),
        *(Task(_key("zone", each.name), f"Drop zone {each.name} marked", each.how) for each in hole.zones),
        *(
            (Task("spotter", "Spotter post set up", "where the tee and the landing are seen"),)
            if hole.spotter
            else ()
        ),
        Task("target", "Chains and basket sound" if hole.basket else "Target marked and clear"),
        *(Task(f"own-{each.id}", each.words) for each in own),
    )


def _key(kind: str, name: str) -> str:
    """Short, and the same for the same words."""
    return f"{kind}-{blake2s(name.encode(), digest_size=8).hexdigest()}"
