"""Whether the run of a day has changed since a page was drawn: asked of the log, so that nothing has to be counted."""

from events.log.actions import Action
from events.log.models import Act
from events.setup.models import Event

MOVES = (
    Action.DAY_DELAYED,
    Action.DELAY_UNDONE,
    Action.STARTS_MOVED,
    Action.RUN_ITEM_SAVED,
    Action.RUN_ITEM_REMOVED,
    Action.RUN_ITEM_RESTORED,
    Action.PLAY_SUSPENDED,
    Action.RESTART_NAMED,
    Action.PLAY_RESUMED,
    Action.PLAY_ENDED,
    Action.DRAW_PUBLISHED,
    Action.EVENT_CHANGED,
    Action.ROUND_CHANGED,
    Action.SHIFT_KEPT,
    Action.SHIFT_DROPPED,
    Action.SHIFT_BACK,
    Action.SHIFT_MANNED,
    Action.SHIFT_LEFT,
    Action.SHIFTS_FILLED,
    Action.SHIFTS_EMPTIED,
)


def newest_since(event: Event, seen: int) -> Act | None:
    """The newest act after row `seen` of the log that moved something of a day (1 query)."""
    acts = Act.objects.filter(chain=event.slug, number__gt=seen, action__in=MOVES)
    return acts.order_by("-number").first()
