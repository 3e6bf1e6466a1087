"""The real server as a process of its own, on a data folder of its own, for the tests of this folder."""

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

import pytest

TOKEN = "k" * 32


@dataclass
class Server:
    """The forking server: `start` returns when a process serves, `verify` the faults of the log."""

    process: subprocess.Popen[str]
    port: int
    world: dict[str, Any]
    child: int | None = None

    def ask(self, words: str) -> Any:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(f"{words}\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def start(self) -> None:
        self.child = int(self.ask("serve"))
        for _ in range(2000):
            try:
                socket.create_connection(("127.0.0.1", self.port), timeout=5).close()
            except OSError:
                time.sleep(0.005)
            else:
                return
        raise AssertionError("the server did not come up")

    def post_card(self, group: str, submission: UUID, base: int, throws: Sequence[int]) -> str | None:
        """Send a card on which everybody has these throws. None: acknowledged; else what was answered.

        Raises OSError or HTTPException when no whole answer comes.
        """
        fields: dict[str, Any] = {"base": base, "submission": submission}
        for entry in self.world["groups"][group]:
            fields |= {f"t{entry}_{index}": score for index, score in enumerate(throws)}
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        try:
            connection.request(
                "POST",
                f"/desk/quiet-pines/cards/1/{group}/save/",
                urlencode(fields),
                {
                    "Content-Type": "application/x-www-form-urlencoded",
                    "Cookie": f"sessionid={self.world['session']}; csrftoken={TOKEN}",
                    "X-CSRFToken": TOKEN,
                },
            )
            answer = connection.getresponse()
            body = answer.read()
        finally:
            connection.close()
        return None if answer.status == 302 else f"{answer.status}: {body[:500]!r}"

    def post_acts(self, path: str, session: str, acts: Sequence[dict[str, Any]]) -> list[str]:
        """Send acts on a bag, as a page does; returns what was refused of each ("": done).

        Raises OSError or HTTPException when no whole answer comes.
        """
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            connection.request(
                "POST",
                path,
                json.dumps({"acts": acts}),
                {
                    "Content-Type": "application/json",
                    "Cookie": f"sessionid={session}; csrftoken={TOKEN}",
                    "X-CSRFToken": TOKEN,
                },
            )
            answer = connection.getresponse()
            body = answer.read()
        finally:
            connection.close()
        assert answer.status == 200, body[:500]
        return [each["refused"] for each in json.loads(body)["answers"]]

    def kill(self) -> None:
        if self.child is not None:
            os.kill(self.child, signal.SIGKILL)
        self.child = None


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    process = subprocess.Popen(
        [sys.executable, str(Path(__file__).with_name("forking_server.py")), str(port)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**environment, "STARTHORN_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "desk.settings"},
    )
    assert process.stdout is not None
    server = Server(process, port, json.loads(process.stdout.readline()))
    try:
        yield server
    finally:
        server.kill()
        process.kill()
        process.communicate()
