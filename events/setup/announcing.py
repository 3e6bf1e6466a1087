"""What the director announces for a round."""

from datetime import datetime

from django.db import transaction

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from events.setup.rows import PlanError


class AnnouncementRefused(PlanError):
    """Nothing can be announced any more; the message is a sentence for the page."""


@transaction.atomic
def announce_night_or_snow(*, round: Round, on: bool, actor: Actor, now: datetime) -> Round:
    """Announce night or snow play for one round, or take that back; said again it changes and logs nothing.

    Only then may discs carry lights or tape: Official Rules 2025, 813.01.D. Raises AnnouncementRefused once the
    event is over.
    """
    round = Round.objects.select_for_update(of=("self",)).select_related("event").get(pk=round.pk)
    if round.event.over_at is not None:
        raise AnnouncementRefused("The event is over: nothing is announced any more.")
    if round.night_or_snow == on:
        return round
    round.night_or_snow = on
    round.save(update_fields=["night_or_snow"])
    record(
        chain=round.event.slug,
        action=Action.NIGHT_OR_SNOW,
        subject=str(round),
        actor=actor,
        now=now,
        detail={"night or snow play": {"old": not on, "new": on}},
    )
    return round
