"""What cannot be written, as sentences."""

from events.setup.models import Event
from events.setup.queries import is_over


class PenaltyRefused(Exception):
    """It cannot be written; the message is a sentence."""


class ComesToSomethingElse(PenaltyRefused):
    """Since the page was shown, something else was written that changes what this comes to."""


class WrittenAlready(PenaltyRefused):
    """The same ruling stands: whoever writes it says first that it happened twice."""


def refuse_over(event: Event) -> None:
    """Raises PenaltyRefused once the event is over (1 query)."""
    if is_over(event):
        raise PenaltyRefused("The event is over: cards and warnings stay as they are.")
