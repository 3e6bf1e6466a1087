"""SIGKILL at random moments while cards are entered: no acknowledged card is lost, and the database is whole.

SQLite only: the server runs on a data folder of its own, whatever database the other tests use. The moments are
random, the verdict is not: whatever was acknowledged must be there, whatever was not may be there once.
"""

import http.client
import json
import random
import sqlite3
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

RUNS = 50
WRITERS = 2
LONGEST = 0.3  # seconds until the kill
PATIENCE = 60  # seconds for one answer, on a machine that does much else


@dataclass
class Writer:
    """Types the cards of its groups one after the other, and sends a page again that got no answer."""

    server: Any
    groups: list[str]
    acknowledged: dict[UUID, list[int]] = field(default_factory=dict)
    bases: dict[str, int] = field(default_factory=dict)
    waiting: tuple[str, UUID, list[int]] | None = None
    interrupted: int = 0
    refused: list[str] = field(default_factory=list)

    def work(self, killed: threading.Event) -> None:
        while not killed.is_set() and not self.refused:
            if self.waiting is None:
                group = self.groups[len(self.acknowledged) % len(self.groups)]
                self.waiting = (group, uuid4(), [random.randint(2, 5) for _ in range(18)])
            try:
                self.send(*self.waiting)
            except (OSError, http.client.HTTPException):
                self.interrupted += 1

    def send(self, group: str, submission: UUID, throws: list[int]) -> None:
        refusal = self.server.post_card(group, submission, self.bases.get(group, 0), throws)
        if refusal is not None:
            self.refused.append(refusal)
            return
        self.acknowledged[submission] = throws
        self.bases[group] = self.bases.get(group, 0) + 1
        self.waiting = None


def one_run(server: Any, writers: list[Writer], delay: float, *, after_an_answer: bool) -> None:
    """Kill `delay` seconds after the start, or after the first answer: on a slow machine too, cards come in."""
    server.start()
    before = sum(len(writer.acknowledged) for writer in writers)
    killed = threading.Event()
    threads = [threading.Thread(target=writer.work, args=(killed,)) for writer in writers]
    for thread in threads:
        thread.start()
    patience = time.monotonic() + PATIENCE
    while after_an_answer and sum(len(writer.acknowledged) for writer in writers) == before:
        assert time.monotonic() < patience, "no card was acknowledged"
        time.sleep(0.002)
    time.sleep(delay)
    server.kill()
    killed.set()
    for thread in threads:
        thread.join()


def test_fifty_kills_lose_no_acknowledged_card(server: Any, tmp_path: Path) -> None:
    moments = random.Random(20260612)
    groups = sorted(server.world["groups"])
    writers = [Writer(server, groups[first::WRITERS]) for first in range(WRITERS)]

    for run in range(RUNS):
        one_run(server, writers, moments.uniform(0, LONGEST), after_an_answer=run % 2 == 0)

    assert [writer.refused for writer in writers] == [[]] * WRITERS
    acknowledged = {key: throws for writer in writers for key, throws in writer.acknowledged.items()}
    sent = set(acknowledged) | {writer.waiting[1] for writer in writers if writer.waiting}
    assert len(acknowledged) >= RUNS / 2
    assert sum(writer.interrupted for writer in writers) > 0
    with sqlite3.connect(tmp_path / "starthorn.sqlite3") as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []
        rows = database.execute("SELECT submission, id FROM cards_cardversion").fetchall()
        versions = {UUID(submission): version for submission, version in rows}
        assert set(acknowledged) - set(versions) == set()
        assert set(versions) - sent == set()
        for submission, throws in acknowledged.items():
            lines = database.execute(
                "SELECT throws FROM cards_cardline WHERE version_id = ?", [versions[submission]]
            ).fetchall()
            assert [json.loads(line) for (line,) in lines] == [throws, throws]
        # A card and its act in the log exist together or not at all; a page that was sent again is one version.
        (acts,) = database.execute("SELECT count(*) FROM log_act WHERE action = 'card.saved'").fetchone()
        assert acts == len(rows)
        assert database.execute(
            "SELECT count(*) FROM cards_cardversion WHERE state NOT IN ('current', 'superseded')"
        ).fetchone() == (0,)
    assert server.ask("verify") == []
