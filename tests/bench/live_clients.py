"""Who asks in the bench of the board: screens with a connection each, and groups' phones that say scores."""

import http.client
import json
import time
from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

TOKEN = "k" * 32
SENDING = {"Cookie": f"csrftoken={TOKEN}", "X-CSRFToken": TOKEN, "Content-Type": "application/json"}
HOLES = 18


@dataclass
class Tally:
    """Answers of one kind: seconds each took, what was not an answer, and letters received."""

    seconds: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    statuses: dict[int, int] = field(default_factory=dict)
    size: int = 0

    def percentile(self, share: float) -> float:
        """In milliseconds."""
        ordered = sorted(self.seconds)
        return ordered[min(len(ordered) - 1, int(share * len(ordered)))] * 1000 if ordered else float("nan")

    def line(self, name: str, seconds: float) -> str:
        rate = len(self.seconds) / seconds
        each = self.size // max(1, len(self.seconds))
        return (
            f"  {name:<24}{rate:7.1f}/s   p50 {self.percentile(0.5):6.1f} ms   p99 {self.percentile(0.99):6.1f} ms"
            f"   errors {len(self.errors)}   {dict(sorted(self.statuses.items()))}   {each} B"
        )


class Screen:
    """One client with a connection of its own that is kept open, from an address of its own. Of one thread only."""

    def __init__(self, port: int, number: int) -> None:
        self.port, self.source = port, (f"127.0.{1 + number // 200}.{1 + number % 200}", 0)
        self.connection = self._open()

    def _open(self) -> http.client.HTTPConnection:
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=30, source_address=self.source)

    def ask(self, path: str, tally: Tally, body: bytes | None = None) -> tuple[Any, bytes]:
        start = time.perf_counter()
        try:
            self.connection.request("POST" if body else "GET", path, body, SENDING if body else {})
            answer = self.connection.getresponse()
            text = answer.read()
        except (OSError, http.client.HTTPException) as error:
            tally.errors.append(repr(error))
            self.connection.close()
            self.connection = self._open()
            return None, b""
        tally.seconds.append(time.perf_counter() - start)
        tally.statuses[answer.status] = tally.statuses.get(answer.status, 0) + 1
        tally.size += len(text)
        if answer.status >= 400:
            tally.errors.append(f"{answer.status} {text[:200]!r}")
        return answer, text


class Phone:
    """A group's phone: says a figure for each player, hole after hole, and names the state that it was told."""

    def __init__(self, screen: Screen, group: dict[str, Any]) -> None:
        self.screen, self.group, self.device, self.seq = screen, group, str(uuid4()), 0
        self.state: dict[str, Any] = {}

    def body(self, holes: int = 1, throws: int | None = None) -> bytes:
        """One request with the next holes of all players; `throws` None: as it comes."""
        acts = []
        for entry in self.group["entries"] * holes:
            hole = 1 + self.seq // len(self.group["entries"]) % HOLES
            self.seq += 1
            figure = throws if throws is not None else 2 + (self.seq * 7 + entry) % 4
            act = {"key": str(uuid4()), "kind": "score", "seq": self.seq, "entry": entry, "hole": str(hole)}
            acts.append(act | {"throws": figure})
        return json.dumps({"device": self.device, "name": "bench", "acts": acts, **self.state}).encode()

    def send(self, tally: Tally, holes: int = 1, throws: int | None = None) -> None:
        _, text = self.screen.ask(f"{self.group['path']}acts/", tally, self.body(holes, throws))
        self._told(text)
        answers = json.loads(text or b"{}").get("answers", [])
        tally.errors += [each["refused"] for each in answers if each["refused"]]

    def look(self, tally: Tally) -> None:
        state = "&".join(f"{name}={value}" for name, value in self.state.items())
        self._told(self.screen.ask(f"{self.group['path']}state/?{state}", tally)[1])

    def _told(self, text: bytes) -> None:
        said = json.loads(text or b"{}")
        if told := said.get("told") or said.get("news"):
            self.state = {"seen": told["seen"], "heard": told["heard"]}
