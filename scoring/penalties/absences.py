"""Holes that a player did not play: scored as par and what the rules add, on a new version of the card."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from events.entries.models import Entry
from events.log.services import Actor
from events.setup.models import Round
from events.setup.queries import rulebook_for
from scoring.cards.checking import LineIn
from scoring.cards.deciding import overrule
from scoring.cards.keeping import claim
from scoring.cards.models import Card, CardLine, CardVersion, HoleEntry, Ruling
from scoring.cards.rulings import NEEDS_NOBODY, RulingRefused, make_ruling, say_in_card, take_back_ruling
from scoring.cards.services import CardRefused, Saved, save_card
from scoring.penalties.catalogue import EACH_HOLE, Penalty, catalogue
from scoring.penalties.counting import NotPlayed, not_played
from scoring.penalties.models import HoleNotPlayed
from scoring.penalties.queries import Where, hole_scores, rulings_on, where
from scoring.penalties.refusals import PenaltyRefused

LATE_TO_START = "starter.late_throws"
LATE_IS_VOID = "absent there: nothing is added for being late"
SCORED_ANEW = "the hole is scored anew"
THROW_IS_VOID = "the hole was not played, so its throw is void"


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of the catalogue that an absence turns on: `hole` not played, and `late` to the starter, whose throws
    are dropped where the player is absent on that hole (Competition Manual 2025, 1.04.E)."""

    hole: Penalty
    late: Penalty | None


def absence_rows(round: Round) -> Rows:
    """(1 query)"""
    rows = catalogue(rulebook_for(round.event), round.event.tier)
    return Rows(next(row for row in rows.values() if row.booked == EACH_HOLE), rows.get(LATE_TO_START))


@dataclass(frozen=True, slots=True)
class There:
    """The rulings that stand on some holes of a player: `late` go with the absence, `before` scored an absence
    already, of `open` ones the director says what becomes of each. Others came from a call and go with that."""

    late: tuple[Ruling, ...]
    before: tuple[Ruling, ...]
    open: tuple[Ruling, ...]


def rulings_there(entry: Entry, round: Round, labels: Sequence[str], rows: Rows) -> There:
    """(1 query) A ruling that the written score has is void with that score."""
    found = rulings_on(entry, round, [label for label in labels if label])
    late = tuple(each for each in found if rows.late and each.rule == rows.late.source)
    before = tuple(each for each in found if each.rule == rows.hole.source)
    open_ones = tuple(
        each
        for each in found
        if each not in late and each not in before and each.by_hand and each.in_card is not True
    )
    return There(late, before, open_ones)


def proposed_scores(
    entry: Entry, round: Round, place: Where, labels: Sequence[str], over_par: int
) -> tuple[NotPlayed, ...]:
    """How these holes are scored, each with what is written now (1 query)."""
    written = hole_scores(entry, round, len(place.holes))
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
    void: Collection[int] = (),
    stay: Collection[int] = (),
) -> Saved | None:
    """Write par and the rulebook's throws for each of these holes into the player's line of the card.

    What stands there is kept as the version before; what phones said of these holes by now is overruled and kept too,
    since the absence is decided. On a verified card, which is locked, the difference is ruled instead (None); both come
    to the same. The throws for being late to the starter on such a hole are taken back in the same act. Of every other
    ruling there the ids in `void` are taken back and those in `stay` stay on top.

    Raises PenaltyRefused without holes or a place on the tee sheet, for a ruling in neither, and for what a card or a
    ruling refuses.
    """
    place = where(entry, round)
    if place is None:
        raise PenaltyRefused(f"{entry.person.name} is in no group of the tee sheet of round {round.number}.")
    if not labels or set(labels) - set(place.labels):
        raise PenaltyRefused("Choose the holes that were not played.")
    Round.objects.select_for_update(of=("self",)).get(pk=round.pk)
    rows = absence_rows(round)
    there = rulings_there(entry, round, labels, rows)
    _refuse_unanswered(there.open, {*void, *stay})
    locked = Card.objects.filter(round=round, group_number=place.group, verified_at__isnull=False).exists()
    scores = proposed_scores(entry, round, place, labels, rows.hole.throws)
    act: dict[str, Any] = {"submission": submission, "actor": actor, "now": now}
    try:
        _take_back(there.late, LATE_IS_VOID, actor, now)
        _take_back([each for each in there.open if each.pk in void], THROW_IS_VOID, actor, now)
        if locked:
            _rule(entry, round, rows.hole, scores, there.before, reason, **act)
            saved = None
        else:
            _take_back(there.before, SCORED_ANEW, actor, now)
            words = f"{entry.person.name}: holes not played, {rows.hole.source}. {reason}".strip()
            saved = _save(entry, round, place, scores, words, **act)
        _keep(entry, round, scores, actor, now)
        return saved
    except (CardRefused, RulingRefused) as refused:
        raise PenaltyRefused(str(refused)) from refused


def _refuse_unanswered(rulings: Sequence[Ruling], answered: Collection[int]) -> None:
    left = [each for each in rulings if each.pk not in answered]
    if left:
        said = "; ".join(f"hole {each.hole_label}, {each.throws:+d}, {each.what}" for each in left)
        raise PenaltyRefused(f"Say of each ruling on these holes whether it is void with its throw: {said}.")


def _take_back(rulings: Sequence[Ruling], reason: str, actor: Actor, now: datetime) -> None:
    for ruling in rulings:
        take_back_ruling(ruling=ruling, reason=reason, actor=actor, now=now)


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
    saved = save_card(
        round=round,
        group_number=place.group,
        lines=[_line(entry, place, held, {each.label: each.score for each in scores})],
        base=current.number if current else 0,
        source=CardVersion.Source.DESK,
        reason=words,
        **act,
    )
    if not saved.replayed:
        _overrule_phones(entry, round, place, scores, act["submission"], act["now"])
    return saved


def _overrule_phones(
    entry: Entry, round: Round, place: Where, scores: Sequence[NotPlayed], submission: UUID, now: datetime
) -> None:
    labels = [each.label for each in scores]
    said = HoleEntry.objects.filter(round=round, entry=entry, hole__in=labels).values_list("hole", flat=True)
    heard = set(said)
    right = {(entry.pk, each.label): each.score for each in scores if each.label in heard}
    locked, card = claim(round, place.group)
    overrule(locked, card, right, uuid5(submission, "phones"), now)


def _rule(
    entry: Entry,
    round: Round,
    row: Penalty,
    scores: Sequence[NotPlayed],
    before: Sequence[Ruling],
    reason: str,
    *,
    submission: UUID,
    actor: Actor,
    now: datetime,
) -> None:
    """The difference between what is written and par with the rulebook's throws, hole by hole; one that an earlier
    act ruled already stays as it is."""
    if any(each.written is None for each in scores):
        raise PenaltyRefused(
            "The card is verified, and one of these holes has no score that could be ruled on."
        )
    for hole in scores:
        throws = hole.score - (hole.written or 0)
        held = [each for each in before if each.hole_label == hole.label]
        if [each.throws for each in held] == ([throws] if throws else []):
            continue
        _take_back(held, SCORED_ANEW, actor, now)
        if throws:
            ruling = make_ruling(
                entry=entry,
                round=round,
                hole_label=hole.label,
                throws=throws,
                rule=row.source,
                what=": ".join(filter(None, (f"hole not played, {row.figure}", reason))),
                caller=actor.name,
                confirmer=NEEDS_NOBODY,
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
