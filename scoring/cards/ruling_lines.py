"""What a card's page and a group's page say of rulings: what was decided, and whether the card has it already."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from django.urls import reverse

from events.setup.models import Event, Round
from scoring.cards.models import Ruling
from scoring.cards.rulings import confirmed_words, rulings_of
from scoring.cards.states import CardState, PlayerLine

TYPED = ("entry", "hole", "throws", "what", "rule", "caller", "confirmer", "alone")


@dataclass(frozen=True, slots=True)
class RulingLine:
    """One ruling in words. `asked`: nobody has said whether the written score has it; `first`: the keys answer it."""

    ruling: Ruling
    where: str
    throws: str
    words: str
    asked: bool
    first: bool
    waits: bool
    url: str
    back_url: str


def ruling_lines(event: Event, round: Round, state: CardState) -> list[RulingLine]:
    """Every ruling on the players of a card, oldest first (1 query)."""
    players = {player.entry_id: player for player in state.players}
    index = {hole.label: at for at, hole in enumerate(state.layout.holes)}
    rulings = rulings_of(round, players)
    open_ones = [each.pk for each in rulings if each.taken_back_at is None and each.in_card is None]
    return [
        RulingLine(
            ruling=each,
            where=f"hole {each.hole_label}" if each.hole_label else "round total",
            throws=f"{each.throws:+d}".replace("-", "\N{MINUS SIGN}"),
            words=_words(each),
            asked=each.pk in open_ones,
            first=each.pk == next(iter(open_ones), None),
            waits=_waits(players[each.entry_id], index.get(each.hole_label)),
            url=reverse("cards:in_card", args=[event.slug, round.number, state.number, each.pk]),
            back_url=reverse("cards:unrule", args=[event.slug, round.number, state.number, each.pk]),
        )
        for each in rulings
    ]


def unasked_of(state: CardState, lines: Sequence[RulingLine]) -> int:
    """How many rulings lie on a score of which nobody has said whether it has them: the card waits for that."""
    return sum(line.asked and not line.waits for line in lines)


def _words(ruling: Ruling) -> str:
    said = [f"called by {ruling.caller}"] if ruling.caller else []
    said += [confirmed_words(ruling.confirmer)] if ruling.confirmer else []
    return ", ".join(said)


def _waits(player: PlayerLine, index: int | None) -> bool:
    """Nothing is written yet where the throws belong: missing stays missing."""
    return player.sum.played == 0 if index is None else player.throws[index] is None


def rulings_context(event: Event, round: Round, state: CardState, *, can_write: bool) -> dict[str, Any]:
    """The part of the card's page below the grid (1 query)."""
    lines = ruling_lines(event, round, state)
    return {
        "round": round,
        "state": state,
        "rulings": lines,
        "on_top": _on_top(state, lines),
        "may_rule": can_write and event.over_at is None,
        "rule_url": reverse("cards:rule", args=[event.slug, round.number, state.number]),
        "rule_key": str(uuid4()),
        "wrong": "",
        "twin": False,
        "typed": dict.fromkeys(TYPED, ""),
    }


def _on_top(state: CardState, lines: Sequence[RulingLine]) -> list[str]:
    """What is written and what counts, for the players whose total a ruling changes."""
    found = []
    ruled = {line.ruling.entry_id for line in lines}
    for player in state.players:
        written = [throws for throws in player.throws if throws is not None]
        total = sum(written) + player.additional if written else None
        if player.entry_id in ruled and total is not None and total != player.sum.total:
            added = f"{player.additional:+d}".replace("-", "\N{MINUS SIGN}") + " additional"
            said = f"{sum(written)} on the holes and {added}" if player.additional else f"{total}"
            found.append(f"{player.name}: {said} written, {player.sum.total} counts.")
    return found
