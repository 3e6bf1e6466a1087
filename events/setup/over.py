"""What no longer changes once an event was declared over: everything that its results rest on."""

from events.setup.models import Event

OVER = (
    "The event is over: nothing that its results rest on changes any more. The director can open it again on the"
    " closing page, with a reason."
)


def hold_open(event: Event, refused: type[Exception]) -> Event:
    """Raise `refused` where the event was declared over; otherwise keep it from being so until this transaction ends.

    The row is read anew and locked, since a page may be older than the declaration, and another may be about to make it
    (1 query).
    """
    held = Event.objects.select_for_update().get(pk=event.pk)
    if held.over_at is not None:
        raise refused(OVER)
    return held
