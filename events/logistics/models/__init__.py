"""Things and people of the day behind the play."""

from events.logistics.models.found import FoundThing

__all__ = ["FoundThing"]
