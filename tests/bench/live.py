"""The board under load, on the built-in server and SQLite: 200 screens that ask every 5 seconds, 40 groups that send a
hole a minute; and what single requests cost beside views that do next to nothing.

    .venv/bin/python tests/bench/live.py [--players 150] [--seconds 30]

Run by hand. All figures of a run come from the same machine at the same time, so that the ratios stand whatever else
it does. The server is a process of its own with the threads of `manage.py start`; the screens are another.

A saved hole is one request with the scores of four players, acknowledged when it is on the disk. It is held against
three things with the same durability: a view that keeps one row and answers as many letters (what HTTP, the framework
and one commit cost on this machine), a view that answers them and keeps nothing, and bare commits of one row without
any server, which no request can come near.
"""

import argparse
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
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent), str(HERE)]
from live_clients import Phone, Screen, Tally  # noqa: E402

SCREENS, GROUPS, GROUP_OF = 200, 40, 4
ASKED_EVERY, LOOKED_EVERY, SENT_EVERY = 5.0, 15.0, 60.0  # seconds: screens, groups' phones, their scores
AT_ONCE = 4  # who ask without a pause where a rate is measured
RATE_SECONDS, TURNS = 2.0, 3
AWAY = 9  # holes that a phone without a connection comes back with

say = print


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
    kinds = ("kiosk", "phone page", "saved hole", "group's page asks")
    tallies = {name: Tally() for name in kinds}
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
        phone.look(Tally())
        while time.monotonic() < end:
            phone.send(tallies["saved hole"])
            for _ in range(int(SENT_EVERY / LOOKED_EVERY)):
                time.sleep(LOOKED_EVERY)
                if time.monotonic() < end:
                    phone.look(tallies["group's page asks"])

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
        "unchanged poll": polled(kiosk, answer.headers),
        "constant, empty": "/constant/0/",
        "kiosk page": kiosk,
        f"constant, {len(text)} B": f"/constant/{len(text)}/",
        "phone list": phone,
        "standings.json": f"/board/{world['slug']}/standings.json",
    }
    screens = [Screen(port, 4000 + number) for number in range(AT_ONCE)]
    found = {name: Tally() for name in asked}
    for _ in range(TURNS):
        for name, path in asked.items():
            closed_loop(lambda number, path=path, name=name: _asking(screens[number], path, found[name]))
    say(f"\n{AT_ONCE} at once without a pause, {TURNS} turns of {RATE_SECONDS:.0f} s, nothing written:")
    report(found, TURNS * RATE_SECONDS)
    poll, nothing = len(found["unchanged poll"].seconds), len(found["constant, empty"].seconds)
    say(f"  unchanged poll at {poll / nothing:.2f} of the constant view (aim 0.70)")
    writes(port, world, folder)


def _asking(screen: Screen, path: str, tally: Tally) -> Callable[[], Any]:
    return lambda: screen.ask(path, tally)


def writes(port: int, world: dict[str, Any], folder: Path) -> None:
    """Each thread goes round groups of its own, so that no phone is asked to send twice at once."""
    groups, bare = world["groups"][: 10 * AT_ONCE], 0
    phones = [Phone(Screen(port, 2000 + n), group) for n, group in enumerate(groups)]
    for phone in phones:
        phone.look(Tally())
    size = _size_of_answer(phones[0])
    kept, constant = f"one row kept, {size} B", f"nothing kept, {size} B"
    acts: dict[str, Callable[[Phone, Tally], Any]] = {
        "saved hole": lambda phone, tally: phone.send(tally),
        kept: lambda phone, tally: phone.screen.ask(f"/kept/{size}/", tally, phone.body()),
        constant: lambda phone, tally: phone.screen.ask(f"/constant/{size}/", tally, phone.body()),
    }
    found = {name: Tally() for name in acts}
    for _ in range(TURNS):
        for name, act in acts.items():
            closed_loop(lambda number, act=act, name=name: _round(phones[number::AT_ONCE], act, found[name]))
        bare += commits(folder / "bare.sqlite3")
    seconds = TURNS * RATE_SECONDS
    saved, of_kept, of_constant = (len(found[name].seconds) for name in acts)
    say(f"\n{AT_ONCE} groups at once without a pause, {GROUP_OF} players a hole:")
    report(found, seconds)
    say(f"  {'bare SQLite':<24}{bare / seconds:7.1f} commits/s (WAL, synchronous FULL, one row, no server)")
    say(
        f"  saved hole at {saved / of_kept:.2f} of the view that keeps one row, at {saved / of_constant:.2f} of the"
        f" one that keeps nothing, at {saved / bare:.3f} of bare commits"
    )
    away = Tally()
    closed_loop(lambda number: _round(phones[number::AT_ONCE], _comes_back, away))
    say(f"{AT_ONCE} phones at once that were away for {AWAY} holes, all in one request:")
    report({f"{AWAY * GROUP_OF} scores": away}, RATE_SECONDS)


def _comes_back(phone: Phone, tally: Tally) -> None:
    phone.send(tally, holes=AWAY)


def _size_of_answer(phone: Phone) -> int:
    tally = Tally()
    phone.send(tally)
    return tally.size


def _round(phones: list[Phone], act: Callable[[Phone, Tally], Any], tally: Tally) -> Callable[[], None]:
    """Lets these phones act one after the other, once each time it is called."""
    turn = itertools.cycle(phones)
    return lambda: act(next(turn), tally)


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


def closed_loop(actor: Callable[[int], Callable[[], Any]]) -> None:
    """`actor(n)` makes what the n-th of AT_ONCE threads does again and again."""
    end = time.monotonic() + RATE_SECONDS

    def loop(number: int) -> None:
        act = actor(number)
        while time.monotonic() < end:
            act()

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
