"""Writing what the equipment desk finds: readings, what was seen, what was questioned and decided.

Nothing here penalises: a rejected piece is one not to be thrown, and the director has the last word.
"""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from events.bags.checking import SEEN
from events.bags.limits import Limit, limit_of
from events.bags.lists import list_in_use, listed_for
from events.bags.models import Examination, Question, Scale, Weighing
from events.bags.rules import error_rule_of, guard_factor, mass_rule
from events.bags.scales import (
    DeskRefused,
    cleaned,
    refuse_off_step,
    refuse_over,
    refuse_retired,
    valid_checks,
)
from events.bags.weighing import ScaleFacts, decide, max_error
from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for
from players.models import ApprovedModel, Disc

LIGHTEST_READING, HEAVIEST_READING = Decimal(20), Decimal(400)
LONGEST_NAME, LONGEST_NOTE, LONGEST_REASON = 150, 200, 300
SENT_BEFORE = (
    "This page had sent something else already, which is kept: look at the piece, and send it again."
)


def _claim(entry: Entry) -> Entry:
    """The entry, locked before anything is looked up: sent twice at the same moment, one waits and finds the other."""
    return Entry.objects.select_for_update(of=("self",)).select_related("event", "person").get(pk=entry.pk)


@transaction.atomic
def weigh(
    *,
    entry: Entry,
    disc: Disc,
    round: Round | None,
    scale: Scale,
    reading_g: Decimal,
    submission: UUID,
    actor: Actor,
    now: datetime,
) -> Weighing:
    """Keep a reading and what follows from it. The same submission again is the weighing that is there.

    The limit is the listed one; without it nothing is decided. Raises DeskRefused for a reading that cannot be,
    and for a submission that has kept another reading: a page that was shown again must not swallow what is typed.
    """
    entry = _claim(entry)
    held = Weighing.objects.filter(submission=submission).first()
    if held is not None:
        if (held.disc_id, held.reading_g) != (disc.pk, reading_g):
            raise DeskRefused(SENT_BEFORE)
        return held
    event = entry.event
    refuse_over(event)
    _refuse_stranger(entry, disc)
    refuse_retired(scale)
    _refuse_reading(scale, reading_g)
    approved = list_in_use(event)
    listed = listed_for(approved, [disc]).get(disc.pk)
    weighing = Weighing.objects.create(
        disc=disc,
        entry=entry,
        round=round,
        scale=scale,
        list=approved,
        listed=listed,
        submission=submission,
        at=now,
        by=actor.name[:150],
        **_judged(event, scale, reading_g, listed, now),
    )
    detail = {
        "piece": str(disc),
        "reading g": str(reading_g),
        "limit g": None if weighing.limit_g is None else str(weighing.limit_g),
        "decision": weighing.get_zone_display(),
        "scale": scale.name,
        "list": str(approved) if approved else None,
    }
    subject = entry.person.name
    record(chain=event.slug, action=Action.DISC_WEIGHED, subject=subject, actor=actor, now=now, detail=detail)
    return weighing


def _refuse_reading(scale: Scale, reading_g: Decimal) -> None:
    if not LIGHTEST_READING <= reading_g <= HEAVIEST_READING:
        raise DeskRefused(
            f"{reading_g} g is no disc: a reading lies between {LIGHTEST_READING} and {HEAVIEST_READING} g."
        )
    refuse_off_step(scale, reading_g)


def _judged(
    event: Event, scale: Scale, reading_g: Decimal, listed: ApprovedModel | None, now: datetime
) -> dict[str, Any]:
    """The reading against the listed limit by the rules in force, as the fields of a weighing; grams."""
    book = rulebook_for(event)
    rule = mass_rule(book)
    limit = limit_of(listed.max_mass_g, listed.diameter_cm, rule) if listed else Limit(None, None, False)
    error = max_error(scale.kind, scale.resolution_g, limit.listed_g or reading_g, error_rule_of(book))
    decision = decide(reading_g, limit.listed_g, ScaleFacts(scale.resolution_g, error), guard_factor(book))
    p = decision.probability
    return {
        "check_used": valid_checks(event, book, now).get(scale.pk),
        "reading_g": reading_g,
        "limit_g": limit.listed_g,
        "formula_limit_g": limit.formula_g,
        "uncertainty_g": decision.uncertainty_g,
        "guard_g": decision.guard_g,
        "zone": decision.zone.value,
        "probability": None if p is None else Decimal(str(round_p(p))),
    }


def round_p(probability: float) -> float:
    """Four digits, and never 0 or 1 for what is only nearly so."""
    return min(max(round(probability, 4), 0.0001), 0.9999)


@transaction.atomic
def examine(
    *,
    entry: Entry,
    disc: Disc,
    round: Round | None,
    seen: Mapping[str, bool | None],
    note: str,
    submission: UUID,
    actor: Actor,
    now: datetime,
) -> Examination:
    """Keep what was seen of a piece; what is not named was not looked at.

    The same submission again is the examination that is there. Raises DeskRefused for nothing at all, for a note
    that is too long, and for a submission that has kept something else.
    """
    found = {name: answer for name, answer in seen.items() if name in SEEN and answer is not None}
    entry = _claim(entry)
    held = Examination.objects.filter(submission=submission).first()
    if held is not None:
        said = {name: getattr(held, name) for name in SEEN if getattr(held, name) is not None}
        if (held.disc_id, said) != (disc.pk, found):
            raise DeskRefused(SENT_BEFORE)
        return held
    refuse_over(entry.event)
    _refuse_stranger(entry, disc)
    if not found:
        raise DeskRefused("Say at least one thing that was looked at.")
    row = Examination.objects.create(
        disc=disc,
        entry=entry,
        round=round,
        note=cleaned(note, "The note", LONGEST_NOTE),
        submission=submission,
        at=now,
        by=actor.name[:150],
        **found,
    )
    detail = {"piece": str(disc)} | {name.replace("_", " "): answer for name, answer in found.items()}
    record(
        chain=entry.event.slug,
        action=Action.DISC_EXAMINED,
        subject=entry.person.name,
        actor=actor,
        now=now,
        detail=detail,
    )
    return row


@transaction.atomic
def question_disc(
    *, entry: Entry, disc: Disc, round: Round | None, asked_by: str, reason: str, actor: Actor, now: datetime
) -> Question:
    """A piece that somebody questions is illegal until the director approves it (813.01.F).

    The same question sent twice is one. Raises DeskRefused without asker or reason, and while another question
    about the piece is open: the director answers that one first.
    """
    entry = _claim(entry)
    refuse_over(entry.event)
    _refuse_stranger(entry, disc)
    asked_by = cleaned(asked_by, "The name of who questions it", LONGEST_NAME)
    reason = cleaned(reason, "The reason", LONGEST_REASON)
    if not asked_by or not reason:
        raise DeskRefused("Write who questions the disc, and why.")
    held = Question.objects.filter(disc=disc, entry=entry, approved__isnull=True).first()
    if held is not None:
        if (held.asked_by, held.reason) != (asked_by, reason):
            raise DeskRefused(f"{held.asked_by} questions it already: the director decides on that first.")
        return held
    question = Question.objects.create(
        disc=disc,
        entry=entry,
        round=round,
        asked_by=asked_by,
        reason=reason,
        at=now,
        by=actor.name[:150],
    )
    detail = {"piece": str(disc), "asked by": asked_by}
    record(
        chain=entry.event.slug,
        action=Action.DISC_QUESTIONED,
        subject=entry.person.name,
        actor=actor,
        now=now,
        detail=detail,
        reason=reason,
    )
    return question


@transaction.atomic
def decide_question(
    *, question: Question, approved: bool, reason: str, actor: Actor, now: datetime
) -> Question:
    """The director's word. Raises DeskRefused without a reason, or when it was decided already."""
    question = (
        Question.objects.select_for_update(of=("self",)).select_related("entry__event").get(pk=question.pk)
    )
    refuse_over(question.entry.event)
    if question.approved is not None:
        raise DeskRefused("It was decided already.")
    reason = cleaned(reason, "The reason", LONGEST_REASON)
    if not reason:
        raise DeskRefused("Write the reason: the player will ask for it.")
    question.approved, question.decision = approved, reason
    question.decided_at, question.decided_by = now, actor.name[:150]
    question.save()
    detail = {"piece": str(question.disc), "approved": approved}
    record(
        chain=question.entry.event.slug,
        action=Action.DISC_DECIDED,
        subject=question.entry.person.name,
        actor=actor,
        now=now,
        detail=detail,
        reason=question.decision,
    )
    return question


def _refuse_stranger(entry: Entry, disc: Disc) -> None:
    if disc.person_id != entry.person_id:
        raise DeskRefused("That piece is in another player's box.")
