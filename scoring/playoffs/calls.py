"""Calls in a playoff: of the rules that warn first, the warning, then the throws.

Warnings of the rounds do not count in a playoff, and its own end with it (Official Rules 2025, 801.02.C): what was said
before is counted within one playoff. Warnings are enforced without a second person.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from events.entries.models import Entry
from events.log.actions import Action
from events.log.services import Actor, record
from events.rulebook.loader import Rulebook
from events.setup.queries import rulebook_for
from scoring.penalties.catalogue import Penalty, catalogue
from scoring.penalties.counting import Earlier, Part, comes_to
from scoring.playoffs.claiming import PlayoffRefused, claim_playoff
from scoring.playoffs.models import Playoff, PlayoffCall


@dataclass(frozen=True, slots=True)
class Told:
    """Who broke which rule on which hole of the playoff (from 1), and who called it."""

    entry: int
    rule: str
    hole: int
    caller: str
    what: str = ""


def warning_rules(book: Rulebook, tier: str) -> Mapping[str, Penalty]:
    """Key → rule that warns before it costs throws."""
    return {key: row for key, row in catalogue(book, tier).items() if row.warnings}


@transaction.atomic
def write_call(*, playoff: Playoff, told: Told, submission: UUID, actor: Actor, now: datetime) -> PlayoffCall:
    """Write a warning, or from the next breach on the throws. The same submission again is what is there.

    Raises PlayoffRefused for somebody who is not in the playoff, a rule that knows no warning, a hole that was not
    begun, no caller, and once it was dropped or the event is over.
    """
    playoff = claim_playoff(playoff)
    held = PlayoffCall.objects.filter(submission=submission).first()
    if held is not None:
        return _same(held, playoff, told)
    rule = warning_rules(rulebook_for(playoff.division.event), playoff.division.event.tier).get(told.rule)
    _refuse(playoff, told, rule)
    assert rule is not None
    part = _part(playoff, told, rule)
    call = PlayoffCall.objects.create(
        playoff=playoff,
        entry_id=told.entry,
        rule=told.rule,
        hole=told.hole,
        throws=part.throws,
        what=told.what.strip()[:200],
        caller=told.caller.strip()[:120],
        submission=submission,
        at=now,
        by=actor.name[:150],
    )
    _log(Action.PLAYOFF_CALL, call, actor, now)
    return call


def _part(playoff: Playoff, told: Told, rule: Penalty) -> Part:
    """What it comes to after what stands in this playoff (1 query)."""
    before = playoff.calls.filter(entry=told.entry, rule=told.rule, taken_back_at=None)
    throws = list(before.values_list("throws", flat=True))
    earlier = Earlier(warnings=throws.count(0), penalties=len(throws) - throws.count(0))
    return comes_to(rule, earlier, str(told.hole), "")


def _refuse(playoff: Playoff, told: Told, rule: Penalty | None) -> None:
    if told.entry not in playoff.players:
        raise PlayoffRefused("Choose a player of this playoff.")
    if rule is None:
        raise PlayoffRefused(
            "Choose a rule that warns first; the throws of others go into the figure of the hole."
        )
    version = playoff.versions.order_by("number").last()
    begun = len(version.figures) + 1 if version is not None else 1
    if not 1 <= told.hole <= begun:
        raise PlayoffRefused(f"Choose one of the holes 1 to {begun} of the playoff.")
    if not told.caller.strip():
        raise PlayoffRefused("Write who made the call.")


def _same(held: PlayoffCall, playoff: Playoff, told: Told) -> PlayoffCall:
    said = (playoff.pk, told.entry, told.rule, told.hole)
    if (held.playoff_id, held.entry_id, held.rule, held.hole) != said:
        raise PlayoffRefused(
            "This page had written another call already, which stands: look at it, and write this one again."
        )
    return held


@transaction.atomic
def take_call_back(*, call: PlayoffCall, reason: str, actor: Actor, now: datetime) -> None:
    """It counts no longer and stays to be read. Figures of holes stay as they are. Twice is once.

    Raises PlayoffRefused without a reason, and once the playoff was dropped or the event is over."""
    playoff = claim_playoff(call.playoff)
    call = PlayoffCall.objects.get(pk=call.pk)
    call.playoff = playoff
    if not reason.strip():
        raise PlayoffRefused("Write why the call does not count.")
    if call.taken_back_at is None:
        call.taken_back_at, call.taken_back_by = now, actor.name[:150]
        call.taken_back_reason = reason.strip()[:200]
        call.save(update_fields=["taken_back_at", "taken_back_by", "taken_back_reason"])
        _log(Action.PLAYOFF_CALL_TAKEN_BACK, call, actor, now, call.taken_back_reason)


def _log(action: Action, call: PlayoffCall, actor: Actor, now: datetime, reason: str = "") -> None:
    person = Entry.objects.select_related("person").get(pk=call.entry_id).person
    record(
        chain=call.playoff.division.event.slug,
        action=action,
        subject=f"{person.name}, {call.playoff}",
        actor=actor,
        now=now,
        detail={"rule": call.rule, "hole": call.hole, "throws": call.throws, "caller": call.caller},
        reason=reason,
    )
