"""The card's form as it was posted: every figure read, what cannot be read named, nothing lost."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from uuid import UUID, uuid4

from django.http import QueryDict

from events.setup.models import Event
from scoring.cards.arithmetic import absent
from scoring.cards.checking import LineIn
from scoring.cards.reading import UnreadableThrows, typed_cell, typed_penalties
from scoring.cards.states import CardState, PlayerLine


@dataclass(frozen=True, slots=True)
class Typed:
    """`raw` is the text of every field, to be shown again; `sure` the keys of questions answered already."""

    lines: tuple[LineIn, ...]
    problems: tuple[str, ...]
    raw: Mapping[str, str]
    base: int
    submission: UUID
    sure: frozenset[str]
    reason: str


@dataclass(slots=True)
class _Reader:
    post: QueryDict
    problems: list[str] = field(default_factory=list)

    def text(self, name: str) -> str:
        return str(self.post.get(name, "")).strip()

    def number(self, name: str, what: str) -> int | None:
        text = self.text(name)
        if not text:
            return None
        if not re.fullmatch(r"[0-9]{1,4}", text):
            self.problems.append(f"{what}: “{text[:20]}” is not a whole number.")
            return None
        return int(text)


def read_card(post: QueryDict, state: CardState, absence: int) -> Typed:
    """What was typed into the card's form; `absence` is what an absent hole costs over par (rulebook)."""
    reader = _Reader(post)
    lines = tuple(_line(reader, state, player, absence) for player in state.players)
    base = reader.text("base")
    return Typed(
        lines=lines,
        problems=tuple(reader.problems),
        raw={name: str(value) for name, value in post.items()},
        base=int(base) if re.fullmatch(r"[0-9]{1,6}", base) else 0,
        submission=_key(reader.text("submission")),
        sure=frozenset(str(key) for key in post.getlist("sure")),
        reason=reader.text("reason"),
    )


def _line(reader: _Reader, state: CardState, player: PlayerLine, absence: int) -> LineIn:
    entry = player.entry_id
    throws: list[int | None] = []
    for index, hole in enumerate(state.layout.holes):
        score = None
        try:
            score = typed_cell(reader.text(f"t{entry}_{index}"), absent(hole.par, absence))
        except UnreadableThrows as refused:
            reader.problems.append(f"{player.name}, hole {hole.label}: {refused}")
        throws.append(score)
    penalties: tuple[int, ...] = ()
    try:
        penalties = typed_penalties(reader.text(f"p{entry}"), [hole.label for hole in state.layout.holes])
    except UnreadableThrows as refused:
        reader.problems.append(f"{player.name}: {refused}")
    return LineIn(
        entry,
        throws,
        penalties,
        reader.number(f"a{entry}", f"{player.name}, additional") or 0,
        reader.text(f"r{entry}"),
        reader.number(f"w{entry}", f"{player.name}, written total"),
    )


def _key(text: str) -> UUID:
    """A page without a key of its own (an old browser, a hand-made request) is simply not protected twice."""
    try:
        return UUID(text)
    except ValueError:
        return uuid4()


class BadClock(Exception):
    """A typed time that is none."""


def read_clock(text: str, event: Event, day: date, after: datetime) -> datetime:
    """The moment of a typed time such as 12:24 or 1224 on the round's day, or on the next one when that
    would lie before `after`, the group's start. Raises BadClock."""
    found = re.fullmatch(r"([0-9]{1,2})[:.h]?([0-9]{2})(?::[0-9]{2})?", text.strip())
    if found is None or int(found[1]) > 23 or int(found[2]) > 59:
        raise BadClock("Write the time as 12:24.")
    moment = event.at(day, time(int(found[1]), int(found[2])))
    return (
        moment if moment >= after else event.at(day + timedelta(days=1), moment.timetz().replace(tzinfo=None))
    )
