"""Stopping before the signal and playing on after it: two throws each, with evidence, beside the card."""

from datetime import datetime

from events.entries.models import Entry
from events.log.services import Actor
from events.safety.above import AboveSafety, GroupStands, Penalty
from events.safety.models import Suspension
from events.safety.suspending import SuspensionRefused
from events.setup.queries import rulebook_for

THROWS = "suspension.too_early_or_played_on_throws"
WHAT = {"early": "stopped before the signal", "on": "played on after the signal"}


def penalise(
    *,
    suspension: Suspension,
    group: GroupStands,
    entry_id: int,
    what: str,
    hole_label: str,
    evidence: str,
    above: AboveSafety,
    actor: Actor,
    now: datetime,
) -> None:
    """Book the penalty through the floor that keeps the cards, which logs it. `hole_label` "": on the total.

    Raises SuspensionRefused without evidence (1.07.H asks for it), PenaltyRefused from above.
    """
    if what not in WHAT:
        raise SuspensionRefused("Choose what the player did.")
    if entry_id not in {player for player, _ in group.players}:
        raise SuspensionRefused(f"This player is not in group {group.number}.")
    if hole_label and hole_label not in group.holes:
        raise SuspensionRefused(f"Group {group.number} plays no hole {hole_label[:6]}.")
    evidence = evidence.strip()
    if not evidence:
        raise SuspensionRefused("Write the evidence: who saw it, or what shows it.")
    book = rulebook_for(suspension.event)
    penalty = Penalty(
        suspension=suspension,
        entry=Entry.objects.select_related("person").get(pk=entry_id, event=suspension.event_id),
        round=group.round,
        hole_label=hole_label,
        throws=book.int(THROWS),
        rule=book.value(THROWS).citation,
        what=f"{WHAT[what]}: {evidence}"[:200],
        evidence=evidence[:120],
    )
    above.book(penalty, actor, now)
