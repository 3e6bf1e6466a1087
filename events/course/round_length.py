"""How long a round is taken to last. Pure; common practice, no source."""

from datetime import timedelta

HOLES = 18
MINUTES_KEY = "practice.round_minutes_18_holes.to"


def round_length(holes: int | None, minutes_18_holes: int) -> timedelta:
    """From the start of a group to its last putt, in whole minutes, the last one begun. None: no layout is chosen yet,
    and 18 holes are taken."""
    return timedelta(minutes=-(-(holes or HOLES) * minutes_18_holes // HOLES))


def length_words(holes: int | None, length: timedelta) -> str:
    """A length with what it rests on: "4:00", "6:00 for 27 holes", "4:00 (no layout yet: 18 holes)"."""
    minutes = int(length.total_seconds() // 60)
    clock = f"{minutes // 60}:{minutes % 60:02}"
    if holes is None:
        return f"{clock} (no layout yet: {HOLES} holes)"
    return clock if holes == HOLES else f"{clock} for {holes} {'hole' if holes == 1 else 'holes'}"
