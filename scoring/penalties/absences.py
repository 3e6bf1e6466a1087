"""Holes that a player did not play: scored as par and what the rules add, on a new version of the card."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from events.entries.models import Entry
from events.log.services import Actor
from events.setup.models import Round
from events.setup.queries import rulebook_for
from scoring.cards.checking import LineIn
from scoring.cards.models import Card, CardLine, CardVersion
from scoring.cards.rulings import RulingRefused, make_ruling, say_in_card
from scoring.cards.services import CardRefused, Saved, save_card
from scoring.penalties.catalogue import EACH_HOLE, Penalty, catalogue
from scoring.penalties.counting import NotPlayed, not_played
from scoring.penalties.models import HoleNotPlayed
from scoring.penalties.queries import Where, hole_scores, where
from scoring.penalties.refusals import PenaltyRefused


def absence_row(round: Round) -> Penalty:
    """The row of the catalogue for a hole that was not played (1 query)."""
    rows = catalogue(rulebook_for(round.event), round.event.tier)
    return next(row for row in rows.values() if row.booked == EACH_HOLE)


def proposed_scores(
    entry: Entry,
    round: Round,
    place: Where,
    labels: Sequence[str],
    over_par: int,
    *,
    with_rulings: bool = False,
) -> tuple[NotPlayed, ...]:
    """How these holes are scored, each with what is written now, or counts with its rulings (1 query)."""
    written = hole_scores(entry, round, len(place.holes), with_rulings=with_rulings)
    holes = [(label, par, score) for (label, par), score in zip(place.holes, written, strict=True)]
    return not_played(holes, labels, over_par)


@transaction.atomic
def score_absence(
    *,
    entry: Entry,
    round: Round,
    labels: Sequence[str],
    reason: str,
    submission: UUID,
    actor: Actor,
    now: datetime,
) -> Saved | None:
    """Write par and the rulebook's throws for each of these holes into the player's line of the card.

    What stands there is kept as the version before. On a verified card, which is locked, the difference is ruled
    instead (None). Raises PenaltyRefused without holes or a place on the tee sheet, and for what a card or a ruling
    refuses.
    """
    place = where(entry, round)
    if place is None:
        raise PenaltyRefused(f"{entry.person.name} is in no group of the tee sheet of round {round.number}.")
    if not labels or set(labels) - set(place.labels):
        raise PenaltyRefused("Choose the holes that were not played.")
    Round.objects.select_for_update(of=("self",)).get(pk=round.pk)
    row = absence_row(round)
    locked = Card.objects.filter(round=round, group_number=place.group, verified_at__isnull=False).exists()
    scores = proposed_scores(entry, round, place, labels, row.throws, with_rulings=locked)
    act: dict[str, Any] = {"submission": submission, "actor": actor, "now": now}
    try:
        if locked:
            _rule(entry, round, row, scores, reason, **act)
            _keep(entry, round, scores, actor, now)
            return None
        words = f"{entry.person.name}: holes not played, {row.source}. {reason}".strip()
        saved = _save(entry, round, place, scores, words, **act)
        _keep(entry, round, scores, actor, now)
        return saved
    except (CardRefused, RulingRefused) as refused:
        raise PenaltyRefused(str(refused)) from refused


def _keep(entry: Entry, round: Round, scores: Sequence[NotPlayed], actor: Actor, now: datetime) -> None:
    """That these holes were not played, for whoever asks what was play."""
    HoleNotPlayed.objects.bulk_create(
        [
            HoleNotPlayed(
                round=round, entry=entry, hole_label=each.label, score=each.score, at=now, by=actor.name[:150]
            )
            for each in scores
        ],
        update_conflicts=True,
        unique_fields=["round", "entry", "hole_label"],
        update_fields=["score", "at", "by"],
    )


def _save(
    entry: Entry, round: Round, place: Where, scores: Sequence[NotPlayed], words: str, **act: Any
) -> Saved:
    held = CardLine.objects.filter(round=round, entry=entry, current=True).first()
    current = CardVersion.objects.filter(
        card__round=round, card__group_number=place.group, state=CardVersion.State.CURRENT
    ).first()
    return save_card(
        round=round,
        group_number=place.group,
        lines=[_line(entry, place, held, {each.label: each.score for each in scores})],
        base=current.number if current else 0,
        source=CardVersion.Source.DESK,
        reason=words,
        **act,
    )


def _rule(
    entry: Entry,
    round: Round,
    row: Penalty,
    scores: Sequence[NotPlayed],
    reason: str,
    *,
    submission: UUID,
    actor: Actor,
    now: datetime,
) -> None:
    """The difference between what counts and par with the rulebook's throws, hole by hole."""
    ruled = [(each, each.score - each.written) for each in scores if each.written is not None]
    if len(ruled) < len(scores):
        raise PenaltyRefused(
            "The card is verified, and one of these holes has no score that could be ruled on."
        )
    for hole, throws in ruled:
        if throws:
            ruling = make_ruling(
                entry=entry,
                round=round,
                hole_label=hole.label,
                throws=throws,
                rule=row.source,
                what=": ".join(filter(None, (f"hole not played, {row.figure}", reason))),
                caller=actor.name,
                confirmer="",
                origin=f"by hand {uuid5(submission, f'{entry.pk} {hole.label}')}",
                actor=actor,
                now=now,
            )
            say_in_card(ruling=ruling, in_card=False, actor=actor, now=now)


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
