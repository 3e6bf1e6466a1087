"""How a few plain questions lead from what happened to a row of the catalogue. Pure.

A way through is written as the situation's name and the numbers of the answers: `lost-1-2`. An answer leads to another
question, to rows of the catalogue (Found), to the word that it costs nothing (Free), or to another page (Elsewhere).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Found:
    """Keys of the rows that apply; several belong to different throws and add up. `company`: the whole group may
    have done it. `words`: what the director should know besides."""

    keys: tuple[str, ...]
    words: str = ""
    company: bool = False


@dataclass(frozen=True, slots=True)
class Free:
    """It costs nothing, and why."""

    words: str
    source: str


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Written on another page, by its name."""

    page: str
    words: str


@dataclass(frozen=True, slots=True)
class Ask:
    """`votes`: the group decides it, so that what more than half of it is is said beside the question."""

    text: str
    answers: "tuple[tuple[str, Node], ...]"
    votes: bool = False


MOST_WAYS = 4  # rules that one throw breaks; the product's own bound, no source
Node: TypeAlias = "Ask | Found | Free | Elsewhere"


@dataclass(frozen=True, slots=True)
class Situation:
    """Where the questions begin. `words` are further words under which somebody would look for it."""

    name: str
    chapter: str
    title: str
    words: str
    node: Node = field(repr=False)


@dataclass(frozen=True, slots=True)
class Step:
    """A question that was answered, and how."""

    question: str
    answer: str


@dataclass(frozen=True, slots=True)
class Walked:
    """How far a way leads: the situation, what was answered, and where that ends."""

    way: str
    situation: Situation
    steps: tuple[Step, ...]
    node: Node


class NoSuchWay(ValueError):
    """The way names no situation, or an answer that its question does not have."""


def walk(way: str, situations: Sequence[Situation]) -> Walked:
    """Follow a way as far as it goes. Raises NoSuchWay."""
    name, *numbers = way.split("-")
    start = next((each for each in situations if each.name == name), None)
    if start is None:
        raise NoSuchWay(way)
    node, steps = start.node, []
    for number in numbers:
        if not isinstance(node, Ask) or number not in _numbers(node):
            raise NoSuchWay(way)
        answer, following = node.answers[int(number) - 1]
        steps.append(Step(node.text, answer))
        node = following
    return Walked(way, start, tuple(steps), node)


def _numbers(ask: Ask) -> list[str]:
    return [str(number) for number in range(1, len(ask.answers) + 1)]


def ends(situations: Sequence[Situation]) -> Iterator[Walked]:
    """Every way to its end."""
    for start in situations:
        yield from _ends(start.name, situations)


def _ends(way: str, situations: Sequence[Situation]) -> Iterator[Walked]:
    walked = walk(way, situations)
    if not isinstance(walked.node, Ask):
        yield walked
        return
    for number in _numbers(walked.node):
        yield from _ends(f"{way}-{number}", situations)


def matching(text: str, situations: Sequence[Situation]) -> list[Situation]:
    """Situations in which every word of the text begins some word; all of them for a text without words."""
    wanted = text.casefold().split()
    return [each for each in situations if all(_begins(word, each) for word in wanted)]


def _begins(word: str, start: Situation) -> bool:
    held = f"{start.name} {start.title} {start.words}".casefold().replace(",", " ").split()
    return any(each.startswith(word) for each in held)
