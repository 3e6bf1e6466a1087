"""How long the paper of a round of 150 takes, against a bare reportlab table with the same number of cells.

    .venv/bin/python tests/bench/prints.py [PLAYERS]

Run by hand. The first figure is cold: it loads the faces. "bare" draws one reportlab Table per card with a figure in
every cell and no names to measure, no QR code, no headings.
"""

import io
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from reportlab.lib.pagesizes import A4, landscape
from reportlab.platypus import PageBreak, SimpleDocTemplate, Table

from events.draw.prints import (
    CardHole,
    CardPlayer,
    CardSheet,
    TeeGroup,
    TeePlayer,
    copies_per_player,
    score_cards,
    whole_round,
)
from events.paper.page import EventHead

HEAD = EventHead("Quarry Open", "Quarry Park", "12–13 June", "EUR")
HOLES = tuple(CardHole(str(i), 3, 100.0 + i) for i in range(1, 19))
NAMES = (
    "Ada Kvist",
    "Wilhelmina-Margarethe von Hohenbergstein",
    "名前 太郎",
    "Ελένη Παπαδάκου",
    "Dov Brandt",
)


def _cards(players: int) -> list[CardSheet]:
    names = [f"{NAMES[i % 5]} {i}" for i in range(players)]
    return [
        CardSheet(
            str(g + 1),
            str(g % 18 + 1),
            "09:00",
            "shotgun",
            1,
            "Saturday 12 June",
            "Pool A",
            "Upper layout",
            HOLES,
            tuple(CardPlayer(name, "MA40", "70001") for name in names[g * 4 : g * 4 + 4]),
            f"http://192.168.1.20:8000/g/Ab3dEf7h{g}/",
        )
        for g in range(-(-players // 4))
    ]


def _bare(pages: int, players: int = 4) -> bytes:
    """One table per page: three head rows and two rows per player, 22 columns."""
    buffer = io.BytesIO()
    rows = [["61"] * 22 for _ in range(3 + 2 * players)]
    story = [flowable for _ in range(pages) for flowable in (Table(rows), PageBreak())]
    SimpleDocTemplate(buffer, pagesize=landscape(A4), invariant=1).build(story)
    return buffer.getvalue()


def _timed(label: str, draw: Callable[[], bytes]) -> float:
    start = time.perf_counter()
    pdf = draw()
    seconds = time.perf_counter() - start
    print(f"{label:<46}{seconds:7.2f} s{len(pdf) / 1024:9.0f} KiB")  # noqa: T201
    return seconds


def main() -> None:
    players = int(sys.argv[1]) if len(sys.argv) > 1 else 150
    cards = _cards(players)
    copies = [copy for card in cards for copy in copies_per_player(card)]
    groups = [
        TeeGroup(
            c.group_number,
            c.time_text,
            c.start_label,
            tuple(TeePlayer(p.name, p.division) for p in c.players),
        )
        for c in cards
    ]
    _timed(f"cold: {len(cards)} cards", lambda: score_cards(HEAD, cards))
    ours = min(_timed(f"warm: {len(cards)} cards", lambda: score_cards(HEAD, cards)) for _ in range(3))
    bare = min(_timed(f"bare table: {len(cards)} pages", lambda: _bare(len(cards))) for _ in range(3))
    _timed(f"a card for each of {players} players", lambda: score_cards(HEAD, copies))
    _timed("whole round", lambda: whole_round(HEAD, cards=cards, groups=groups, subtitle="round 1"))
    print(f"cards against the bare table: {ours / bare:.2f} times")  # noqa: T201


if __name__ == "__main__":
    main()
