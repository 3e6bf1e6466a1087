"""The board under load, on the built-in server and SQLite: 200 screens that ask every 5 seconds, 40 groups that send a
hole a minute, and what single requests cost beside a view that does nothing and a bare commit of SQLite.

    .venv/bin/python tests/bench/live.py [--players 150] [--seconds 30]

Run by hand. All figures of a run come from the same machine at the same time, so that the ratios stand whatever else
it does. The server is a process of its own with the threads of `manage.py start`; the screens are another.
"""

import argparse
import http.client
import itertools
import json
import logging
import os
import socket
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from uuid import uuid4

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent), str(HERE)]
TOKEN = "k" * 32
SENDING = {"Cookie": f"csrftoken={TOKEN}", "X-CSRFToken": TOKEN, "Content-Type": "application/json"}
SCREENS, GROUPS, GROUP_OF = 200, 40, 4
ASKED_EVERY, SENT_EVERY = 5.0, 60.0
AT_ONCE = 4  # who ask without a pause where a rate is measured
RATE_SECONDS, TURNS = 2.0, 3

say = print


@dataclass
class Tally:
    """Answers of one kind: seconds each took, what was not an answer, and letters received."""

    seconds: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    statuses: dict[int, int] = field(default_factory=dict)
    size: int = 0

    def percentile(self, share: float) -> float:
        ordered = sorted(self.seconds)
        return ordered[min(len(ordered) - 1, int(share * len(ordered)))] * 1000 if ordered else float("nan")

    def line(self, name: str, seconds: float) -> str:
        rate = len(self.seconds) / seconds
        each = self.size // max(1, len(self.seconds))
        return (
            f"  {name:<22}{rate:7.1f}/s   p50 {self.percentile(0.5):6.1f} ms   p99 {self.percentile(0.99):6.1f} ms"
            f"   errors {len(self.errors)}   {dict(sorted(self.statuses.items()))}   {each} B"
        )


class Screen:
    """One client with a connection of its own that is kept open, from an address of its own."""

    def __init__(self, port: int, number: int) -> None:
        self.port, self.source = port, (f"127.0.{1 + number // 200}.{1 + number % 200}", 0)
        self.connection = self._open()

    def _open(self) -> http.client.HTTPConnection:
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=30, source_address=self.source)

    def ask(self, path: str, tally: Tally, body: bytes | None = None) -> tuple[Any, bytes]:
        headers = (
            {"Cookie": f"csrftoken={TOKEN}", "X-CSRFToken": TOKEN, "Content-Type": "application/json"}
            if body
            else {}
        )
        start = time.perf_counter()
        try:
            self.connection.request("POST" if body else "GET", path, body, headers)
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
    """A group's phone that sends a figure for each player, hole after hole."""

    def __init__(self, screen: Screen, group: dict[str, Any]) -> None:
        self.screen, self.group, self.device, self.seq = screen, group, str(uuid4()), 0

    def send(self, tally: Tally, throws: int | None = None) -> None:
        hole = str(1 + self.seq // len(self.group["entries"]) % 18)
        acts = []
        for entry in self.group["entries"]:
            self.seq += 1
            figure = throws if throws is not None else 2 + (self.seq * 7 + entry) % 4
            acts.append(
                {
                    "key": str(uuid4()),
                    "kind": "score",
                    "seq": self.seq,
                    "entry": entry,
                    "hole": hole,
                    "throws": figure,
                }
            )
        body = json.dumps({"device": self.device, "name": "bench", "acts": acts}).encode()
        _, text = self.screen.ask(f"{self.group['path']}acts/", tally, body)
        refused = [
            each["refused"] for each in json.loads(text or b"{}").get("answers", []) if each["refused"]
        ]
        tally.errors += refused


def board_of(world: dict[str, Any], number: int) -> str:
    """Half of the screens are kiosks, each on its own page; half are phones, each on one division."""
    code = world["codes"][number % len(world["codes"])]
    slug = world["slug"]
    return (
        f"/board/{slug}/parts/?page={code}-0" if number % 2 else f"/board/{slug}/phone/parts/?division={code}"
    )


def polled(path: str, headers: Any) -> str:
    return f"{path}&seen={headers['Revision']}&until={headers['Until']}&tag={headers['Tag']}"


def everyday(port: int, world: dict[str, Any], seconds: float) -> None:
    """What an event is: all screens and all groups at their own pace."""
    tallies = {"kiosk": Tally(), "phone page": Tally(), "saved hole": Tally()}
    begin = (
        time.monotonic() + ASKED_EVERY
    )  # each screen has asked once by then, as after the doors have opened
    end = begin + seconds

    def watch(number: int) -> None:
        screen, path, known = Screen(port, number), board_of(world, number), None
        time.sleep(ASKED_EVERY * number / SCREENS)
        tally = tallies["kiosk" if number % 2 else "phone page"]
        while time.monotonic() < end:
            begun = time.monotonic()
            counted = tally if begun >= begin else Tally()
            answer, _ = screen.ask(polled(path, known) if known else path, counted)
            if answer is not None and answer.headers.get("Revision"):
                known = answer.headers
            time.sleep(max(0.0, ASKED_EVERY - (time.monotonic() - begun)))

    def play(number: int) -> None:
        phone = Phone(Screen(port, 1000 + number), world["groups"][number])
        time.sleep(ASKED_EVERY + SENT_EVERY * number / GROUPS)
        while time.monotonic() < end:
            phone.send(tallies["saved hole"])
            time.sleep(SENT_EVERY)

    groups = min(GROUPS, len(world["groups"]))
    run([lambda n=n: watch(n) for n in range(SCREENS)] + [lambda n=n: play(n) for n in range(groups)])
    say(
        f"{SCREENS} screens every {ASKED_EVERY:.0f} s and {groups} groups a hole every {SENT_EVERY:.0f} s, "
        f"for {seconds:.0f} s:"
    )
    report(tallies, seconds)


def rates(port: int, world: dict[str, Any], folder: Path) -> None:
    """What single answers cost: each kind asked for without a pause, in turns with the view that does nothing."""
    first = Screen(port, 0)
    kiosk, phone = board_of(world, 1), board_of(world, 0)
    answer, text = first.ask(kiosk, Tally())
    asked = {
        "unchanged poll": lambda _: polled(kiosk, answer.headers),
        "constant, empty": lambda _: "/constant/0/",
        "kiosk page": lambda _: kiosk,
        f"constant, {len(text)} B": lambda _: f"/constant/{len(text)}/",
        "phone list": lambda _: phone,
        "standings.json": lambda _: f"/board/{world['slug']}/standings.json",
    }
    found = {name: Tally() for name in asked}
    for _ in range(TURNS):
        for name, path_of in asked.items():
            closed_loop(
                port, lambda screen, path_of=path_of, name=name: screen.ask(path_of(screen), found[name])
            )
    say(f"\n{AT_ONCE} at once without a pause, {TURNS} turns of {RATE_SECONDS:.0f} s, nothing written:")
    report(found, TURNS * RATE_SECONDS)
    poll, nothing = len(found["unchanged poll"].seconds), len(found["constant, empty"].seconds)
    say(f"  unchanged poll at {poll / nothing:.2f} of the constant view (aim 0.70)")
    writes(port, world, folder)


def writes(port: int, world: dict[str, Any], folder: Path) -> None:
    saved, bare = Tally(), 0
    phones = [Phone(Screen(port, 2000 + n), group) for n, group in enumerate(world["groups"][: 10 * AT_ONCE])]
    turn = itertools.count()
    for _ in range(TURNS):
        closed_loop(port, lambda _: phones[next(turn) % len(phones)].send(saved))
        bare += commits(folder / "bare.sqlite3")
    seconds = TURNS * RATE_SECONDS
    say(f"\n{AT_ONCE} groups at once without a pause, four players a hole:")
    report({"saved hole": saved}, seconds)
    say(f"  bare SQLite{bare / seconds:18.1f} commits/s (WAL, synchronous FULL, one row)")
    groups = len(saved.seconds)
    say(f"  saved hole of a group at {groups / bare:.2f} of bare SQLite (aim 0.50),")
    say(f"  of a single player at {GROUP_OF * groups / bare:.2f}")


def seen_after(port: int, world: dict[str, Any]) -> None:
    """From the answer that a score is saved to the answer that shows it, asked for at once."""
    code = world["codes"][0]
    path = f"/board/{world['slug']}/parts/?page={code}-0&rows=40"
    screen, phone, lags = Screen(port, 3000), Phone(Screen(port, 3001), world["groups"][0]), []
    answer, before = screen.ask(path, Tally())
    for number in range(10):
        phone.send(Tally(), throws=2 + number % 3)
        begun = time.perf_counter()
        for _ in range(100):
            fresh, text = screen.ask(polled(path, answer.headers), Tally())
            if fresh.status == 200 and text != before:
                answer, before = fresh, text
                break
        lags.append((time.perf_counter() - begun) * 1000)
    lags.sort()
    say(
        f"\nFrom acknowledged to on the board, asked at once: median {lags[5]:.0f} ms, most {lags[-1]:.0f} ms"
    )
    say("  (a kiosk asks every 3 s, a phone every 4 s)")


def commits(path: Path) -> int:
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("CREATE TABLE IF NOT EXISTS row (number INTEGER PRIMARY KEY, text TEXT)")
    count, end = 0, time.monotonic() + RATE_SECONDS
    while time.monotonic() < end:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("INSERT INTO row (text) VALUES (?)", ("x" * 200,))
        connection.execute("COMMIT")
        count += 1
    connection.close()
    return count


def closed_loop(port: int, act: Callable[[Screen], Any]) -> None:
    end = time.monotonic() + RATE_SECONDS

    def loop(number: int) -> None:
        screen = Screen(port, 4000 + number)
        while time.monotonic() < end:
            act(screen)
        screen.connection.close()

    run([lambda n=n: loop(n) for n in range(AT_ONCE)])


def run(acts: list[Callable[[], None]]) -> None:
    threads = [threading.Thread(target=act) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def report(tallies: dict[str, Tally], seconds: float) -> None:
    for name, tally in tallies.items():
        say(tally.line(name, seconds))
        for error in sorted(set(tally.errors))[:3]:
            say(f"    {error}")


def serve(players: int) -> None:
    """The server's process: make the event, say where it is, serve until killed."""
    import django
    from django.conf import settings

    django.setup()
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    settings.ROOT_URLCONF = "live_urls"
    import live_world
    from django.core.servers.basehttp import get_internal_wsgi_application
    from django.db import connection

    from desk.management.commands.start import server_for

    world = live_world.make(players)
    connection.close()
    listener = socket.create_server(("127.0.0.1", 0), backlog=1024)
    say(json.dumps({"port": listener.getsockname()[1], **world}), flush=True)
    server_for(get_internal_wsgi_application(), listener, behind_proxy=False).run()


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--players", type=int, default=150)
    asked.add_argument("--seconds", type=float, default=30)
    asked.add_argument("--serve", action="store_true", help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.serve:
        serve(given.players)
        return
    with tempfile.TemporaryDirectory() as name:
        environment = {**os.environ, "STARTHORN_DATA": name, "DJANGO_SETTINGS_MODULE": "desk.settings"}
        environment.pop("DATABASE_URL", None)
        command = [sys.executable, __file__, "--serve", "--players", str(given.players)]
        server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)
        try:
            assert server.stdout is not None
            world = json.loads(server.stdout.readline())
            say(
                f"{given.players} players in {len(world['codes'])} divisions, 4 rounds, {len(world['groups'])} groups\n"
            )
            everyday(world["port"], world, given.seconds)
            rates(world["port"], world, Path(name))
            seen_after(world["port"], world)
        finally:
            server.terminate()
            server.wait()


if __name__ == "__main__":
    main()
