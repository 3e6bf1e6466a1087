"""Bringing in a list of scores: every row or nothing, through the same door as a typed card."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import uuid4

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from events.sheets.problems import Problem
from scoring.cards.checking import LineIn
from scoring.cards.grid import standing_lines_in
from scoring.cards.keeping import CardRefused, figures
from scoring.cards.models import CardVersion
from scoring.cards.queries import cards_of
from scoring.cards.score_list import read_scores
from scoring.cards.services import save_card
from scoring.cards.states import CardState


class ScoresRefused(Exception):
    """Nothing was saved: each of `problems` names row, column and mend."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__(f"Nothing was saved: {len(problems)} to mend.")
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did. `differing` are groups whose card somebody typed otherwise: both are kept."""

    players: int
    saved: tuple[int, ...]
    unchanged: tuple[int, ...]
    differing: tuple[int, ...]
    blank_rows: tuple[int, ...]


@transaction.atomic
def import_scores(*, round: Round, name: str, data: bytes, actor: Actor, now: datetime) -> Imported:
    """Save the scores of a list, card by card.

    A card that came from a list is replaced by what the newer list says; a card that somebody typed is not,
    the list's figures are kept beside it to be decided on. Groups that say nothing new are left alone.

    Raises Refused for a file that cannot be read, ScoresRefused with every problem, CardRefused when there is
    no published tee sheet or the event is over.
    """
    states = cards_of(round)
    if not states:
        raise CardRefused(f"Round {round.number} has no published tee sheet.")
    found = read_scores(name, data, states)
    if found.problems:
        raise ScoresRefused(found.problems)
    from_lists = set(
        CardVersion.objects.filter(
            card__round=round, state=CardVersion.State.CURRENT, source=CardVersion.Source.IMPORT
        ).values_list("card__group_number", flat=True)
    )
    saved: list[int] = []
    unchanged: list[int] = []
    differing: list[int] = []
    for state in states:
        lines = found.lines.get(state.number, ())
        if not _new(state, lines):
            unchanged += [state.number] if lines else []
            continue
        result = save_card(
            round=round,
            group_number=state.number,
            lines=lines,
            base=state.base if state.number in from_lists else 0,
            submission=uuid4(),
            source=CardVersion.Source.IMPORT,
            actor=actor,
            now=now,
            reason=f"imported from {name}"[:200],
        )
        (differing if result.conflict else saved).append(state.number)
    outcome = Imported(
        sum(len(lines) for lines in found.lines.values()),
        tuple(saved),
        tuple(unchanged),
        tuple(differing),
        found.blank_rows,
    )
    _log(round, name, outcome, actor, now)
    return outcome


def _new(state: CardState, lines: Sequence[LineIn]) -> bool:
    """Whether the list says anything else than what stands. Penalty throws are not in a list, so they do not
    count; a total that the list leaves out says nothing."""
    standing = {line.entry_id: line for line in standing_lines_in(state)}
    for line in lines:
        held = standing[line.entry_id]
        throws, _, additional, written = figures(line)
        was_throws, _, was_additional, was_written = figures(held)
        if (throws, additional) != (was_throws, was_additional) or written not in (None, was_written):
            return True
    return False


def _log(round: Round, name: str, outcome: Imported, actor: Actor, now: datetime) -> None:
    record(
        chain=round.event.slug,
        action=Action.SCORES_IMPORTED,
        subject=f"{round}, {name}",
        actor=actor,
        now=now,
        detail={
            "round": round.number,
            "file": name,
            "players": outcome.players,
            "saved": list(outcome.saved),
            "unchanged": list(outcome.unchanged),
            "differing": list(outcome.differing),
        },
    )
