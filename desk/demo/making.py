"""One demo in the making: what every part of it is handed."""

import random
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid5

from events.log.services import Actor
from events.setup.models import Event

ACTOR = Actor(name="demo")
DRAWN_SPACE = UUID("6d2c0a53-6a0c-4f4e-9a55-0f5b6f0d5a11")  # submissions of the demo are the same for a seed


@dataclass(slots=True)
class Demo:
    """`now` is the real present, which no act of the demo may pass."""

    event: Event
    rng: random.Random
    seed: int
    now: datetime

    def at(self, moment: datetime) -> datetime:
        return min(moment, self.now)

    def key(self, *parts: object) -> UUID:
        """The key of an act, the same each time the demo is made."""
        return uuid5(DRAWN_SPACE, "/".join(str(part) for part in (self.event.pk, *parts)))
