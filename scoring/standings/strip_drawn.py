"""The run of a round as a picture: the bars of `strip.py` as two SVG paths (no query)."""

from dataclasses import dataclass

from scoring.standings import strip
from scoring.standings.queries import PlayerRound

STEP = 9  # the kit's strip: width of a hole and of a bar, height of a throw, and the most that is drawn
BAR = 6
UNIT = 6
TALLEST = 3
LINE = UNIT * TALLEST


@dataclass(frozen=True, slots=True)
class Strip:
    """A run as two SVG paths, one above and one below the line: a board draws hundreds of them at a time."""

    label: str
    width: int
    over: str
    under: str


def strip_of(round: PlayerRound) -> Strip | None:
    """The run of a round from the player's own start hole; None where no hole is known, as after a radio call alone: a
    line without bars would say par on every hole."""
    if round.layout is None or not any(round.throws or ()):
        return None
    found = strip.bars(round.throws or (), round.layout.pars, round.start_index)
    return Strip(
        label=strip.strip_text(found),
        width=STEP * len(round.layout.holes),
        over="".join(_bar(bar) for bar in found if bar.amount > 0),
        under="".join(_bar(bar) for bar in found if bar.amount < 0),
    )


def _bar(bar: strip.Bar) -> str:
    height = UNIT * min(abs(bar.amount), TALLEST)
    top = LINE - height if bar.amount > 0 else LINE
    return f"M{STEP * bar.x + 1} {top}h{BAR}v{height}h-{BAR}z"
