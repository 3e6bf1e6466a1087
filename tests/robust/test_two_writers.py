"""Several people who save the same card at the same moment: all versions are kept, one of them is current."""

import sqlite3
import threading
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

WRITERS = 6


def at_once(server: Any, cards: dict[UUID, int], base: int) -> list[str | None]:
    """Send the same card once for each key, all at the same moment, with the figure given on every hole."""
    answers: list[str | None] = []
    start = threading.Barrier(len(cards))

    def write(key: UUID, figure: int) -> None:
        start.wait()
        answers.append(server.post_card("1", key, base, [figure] * 18))

    threads = [threading.Thread(target=write, args=item) for item in cards.items()]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def versions(folder: Path) -> list[tuple[int, str, int]]:
    """(number, state, total of the first line) of every version of the card."""
    with sqlite3.connect(folder / "starthorn.sqlite3") as database:
        rows = database.execute(
            "SELECT v.number, v.state, l.total FROM cards_cardversion v"
            ' JOIN cards_cardline l ON l.version_id = v.id AND l."order" = 1 ORDER BY v.number'
        )
        return rows.fetchall()


def test_the_first_is_current_and_all_others_are_kept(server: Any, tmp_path: Path) -> None:
    server.start()
    figures = dict(zip((uuid4() for _ in range(WRITERS)), (2, 3, 4, 5, 2, 3), strict=True))

    answers = at_once(server, figures, base=0)

    found = versions(tmp_path)
    assert answers == [None] * WRITERS
    assert sorted(total for _, _, total in found) == sorted(18 * figure for figure in figures.values())
    assert [number for number, _, _ in found] == list(range(1, WRITERS + 1))
    # Who agrees with what stands supersedes it; who differs is kept for somebody to decide.
    current = [total for _, state, total in found if state == "current"]
    agreeing = [total for _, state, total in found if state in {"current", "superseded"}]
    assert len(current) == 1
    assert set(agreeing) == set(current)
    assert [total for _, _, total in found if total not in current] == [
        total for _, state, total in found if state == "differs"
    ]


def test_one_page_sent_many_times_at_once_is_one_version(server: Any, tmp_path: Path) -> None:
    server.start()
    key = uuid4()
    answers: list[str | None] = []
    threads = [
        threading.Thread(target=lambda: answers.append(server.post_card("1", key, 0, [3] * 18)))
        for _ in range(WRITERS)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert answers == [None] * WRITERS
    assert versions(tmp_path) == [(1, "current", 54)]
