"""What is chosen for a division whose round could not be finished: options with their consequences, and the choice."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.safety.above import DivisionPlay
from events.safety.completion import (
    CompletionRule,
    Option,
    PartialRound,
    completion_rule,
    options,
    partial_round,
)
from events.safety.models import Completion
from events.setup.models import Division, Event
from events.setup.queries import rulebook_for


class CompletionRefused(Exception):
    """The choice cannot be taken; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class DivisionChoice:
    """A division, what its partial round amounts to, what can be chosen, and what was chosen last."""

    play: DivisionPlay
    part: PartialRound
    options: tuple[Option, ...]
    chosen: Completion | None


def choices_of(event: Event, plays: Sequence[DivisionPlay], now: datetime) -> list[DivisionChoice]:
    """For each unfinished division (2 queries)."""
    rule = completion_rule(rulebook_for(event))
    chosen = {(row.round_id, row.division_id): row for row in Completion.objects.filter(event=event)}
    days_left = event.local(now).date() < event.ends_on
    return [
        _choice(play, rule, chosen.get((play.round.pk, play.division_id)), days_left=days_left)
        for play in plays
    ]


def _choice(
    play: DivisionPlay, rule: CompletionRule, chosen: Completion | None, *, days_left: bool
) -> DivisionChoice:
    part = partial_round(play.layout, play.finished, rule)
    found = options(part, play.rounds_scheduled, play.rounds_finished, rule, days_left=days_left)
    return DivisionChoice(play, part, found, chosen)


@transaction.atomic
def choose(
    *,
    event: Event,
    play: DivisionPlay,
    option: str,
    approval: str,
    reason: str,
    actor: Actor,
    now: datetime,
) -> Completion:
    """Take down what the director chose for a division. Raises CompletionRefused for what is not offered, and where
    the policy asks for an approval and none is written."""
    if event.over_at is not None:
        raise CompletionRefused("The event is over.")
    offered = _choice(
        play, completion_rule(rulebook_for(event)), None, days_left=event.local(now).date() < event.ends_on
    )
    found = next((each for each in offered.options if each.key == option), None)
    if found is None:
        raise CompletionRefused(f"{play.code}: choose one of what is offered.")
    approval = approval.strip()[:200]
    if found.needs_approval and not approval:
        raise CompletionRefused(f"{play.code}: write who approved it, when and how ({found.source}).")
    row = Completion.objects.create(
        event=event,
        round=play.round,
        division=Division.objects.get(pk=play.division_id, event=event),
        option=option,
        common=list(offered.part.common),
        approval=approval,
        reason=reason.strip()[:200],
        at=now,
        by=actor.name[:150],
    )
    record(
        chain=event.slug,
        action=Action.COMPLETION_CHOSEN,
        subject=f"{play.code}, round {play.round.number}",
        actor=actor,
        now=now,
        detail={
            "chosen": found.words,
            "consequences": list(found.consequences),
            "common holes": list(offered.part.common),
            "approval": approval,
            "source": found.source,
        },
        reason=row.reason,
    )
    return row
