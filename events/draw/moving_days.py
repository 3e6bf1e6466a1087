"""What the draw keeps of the days of an event, when the event is moved: the starts of pools and of drafts."""

from events.draw.models import Group, Pool, Sheet
from events.setup.models import Event
from events.setup.moving import CannotMove, at_same_hour


def move_starts(event: Event, days: int) -> dict[str, int]:
    """Part of the service that moves an event. Raises CannotMove once players have been told when they start."""
    out = Sheet.objects.filter(round__event=event).exclude(state=Sheet.State.DRAFT).order_by("round__number")
    told = out.select_related("round").first()
    if told is not None:
        raise CannotMove(
            f"The tee sheet of {told.round} is published: the event keeps its days. Move single rounds under Draw."
        )
    pools = list(Pool.objects.filter(round__event=event))
    for pool in pools:
        pool.first_start_at = at_same_hour(event, pool.first_start_at, days)
    groups = list(Group.objects.filter(sheet__round__event=event))
    for group in groups:
        group.starts_at = at_same_hour(event, group.starts_at, days)
    Pool.objects.bulk_update(pools, ["first_start_at"])
    Group.objects.bulk_update(groups, ["starts_at"])
    return {"pools": len(pools), "groups of a draft": len(groups)}
