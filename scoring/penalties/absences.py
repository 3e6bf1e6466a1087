"""Holes that a player did not play: scored as par and what the rules add, on a new version of the card."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from events.entries.models import Entry
from events.log.services import Actor
from events.setup.models import Round
from events.setup.queries import rulebook_for
from scoring.cards.checking import LineIn
from scoring.cards.models import CardLine, CardVersion
from scoring.cards.services import CardRefused, Saved, save_card
from scoring.penalties.catalogue import EACH_HOLE, Penalty, catalogue
from scoring.penalties.counting import NotPlayed, not_played
from scoring.penalties.queries import Where, where, written_scores
from scoring.penalties.services import PenaltyRefused


def absence_row(round: Round) -> Penalty:
    """The row of the catalogue for a hole that was not played (1 query)."""
    rows = catalogue(rulebook_for(round.event), round.event.tier)
    return next(row for row in rows.values() if row.booked == EACH_HOLE)


def proposed_scores(
    entry: Entry, round: Round, place: Where, labels: Sequence[str], over_par: int
) -> tuple[NotPlayed, ...]:
    """How these holes are scored, each with what is written now (1 query)."""
    written = written_scores(entry, round, len(place.holes))
    holes = [(label, par, score) for (label, par), score in zip(place.holes, written, strict=True)]
    return not_played(holes, labels, over_par)


def score_absence(
    *,
    entry: Entry,
    round: Round,
    labels: Sequence[str],
    reason: str,
    submission: UUID,
    actor: Actor,
    now: datetime,
) -> Saved:
    """Write par and the rulebook's throws for each of these holes into the player's line of the card.

    What stands there is kept as the version before. Raises PenaltyRefused without holes or a place on the tee sheet,
    and for what a card refuses: it is verified, the event is over.
    """
    place = where(entry, round)
    if place is None:
        raise PenaltyRefused(f"{entry.person.name} is in no group of the tee sheet of round {round.number}.")
    if not labels or set(labels) - set(place.labels):
        raise PenaltyRefused("Choose the holes that were not played.")
    row = absence_row(round)
    scores = {each.label: each.score for each in proposed_scores(entry, round, place, labels, row.throws)}
    held = CardLine.objects.filter(round=round, entry=entry, current=True).first()
    current = CardVersion.objects.filter(
        card__round=round, card__group_number=place.group, state=CardVersion.State.CURRENT
    ).first()
    try:
        return save_card(
            round=round,
            group_number=place.group,
            lines=[_line(entry, place, held, scores)],
            base=current.number if current else 0,
            submission=submission,
            source=CardVersion.Source.DESK,
            actor=actor,
            now=now,
            reason=f"{entry.person.name}: holes not played, {row.source}. {reason}".strip(),
        )
    except CardRefused as refused:
        raise PenaltyRefused(str(refused)) from refused


def _line(entry: Entry, place: Where, held: CardLine | None, scores: dict[str, int]) -> LineIn:
    """The typed line with these holes changed. A written total is kept: no longer the
    sum, it is asked about."""
    if held is None or len(held.throws) != len(place.holes):
        return LineIn(entry.pk, [scores.get(label) for label in place.labels])
    throws = [scores.get(label, old) for label, old in zip(place.labels, held.throws, strict=True)]
    penalties = [
        0 if label in scores else old
        for label, old in zip(place.labels, [*held.penalties, *[0] * len(place.holes)], strict=False)
    ]
    return LineIn(entry.pk, throws, penalties, held.additional, held.additional_reason, held.written_total)
