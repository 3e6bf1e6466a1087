"""What the course may not look up itself: which groups are on a layout, and how far they are."""

from datetime import datetime

from events.course.above import Above
from events.course.models import Layout
from events.course.touching import PlayingGroup
from events.draw.models import Group, Sheet
from scoring.cards.models import Card


def groups_of(layout: Layout, now: datetime) -> list[PlayingGroup]:
    """The groups of published tee sheets on the layout (2 queries)."""
    ended = set(
        Card.objects.filter(round__event=layout.event_id, finished_at__isnull=False).values_list(
            "round_id", "group_number"
        )
    )
    groups = Group.objects.filter(layout=layout, sheet__state=Sheet.State.PUBLISHED).order_by("pk")
    rows = groups.values_list("sheet__round_id", "sheet__round__number", "number", "starts_at")
    return [
        PlayingGroup(
            round_number, number, _state(started=starts_at <= now, finished=(round_id, number) in ended)
        )
        for round_id, round_number, number, starts_at in rows
    ]


def _state(*, started: bool, finished: bool) -> str:
    if finished:
        return "finished"
    return "playing" if started else "waiting"


ABOVE_COURSE = Above(groups_of=groups_of)
