"""Several desks that weigh one piece at the same moment: each reading is kept, and one sent twice is one."""

import http.client
import sqlite3
import threading
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

TOKEN = "k" * 32
DESKS = 6
DESK = "/desk/quiet-pines/bags/desk/"


def post(server: Any, path: str, **fields: object) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=30)
    headers = {
        "Content-Type": "application/x-www-form-urlencoded",
        "Cookie": f"sessionid={server.world['equipment']}; csrftoken={TOKEN}",
        "X-CSRFToken": TOKEN,
    }
    try:
        connection.request("POST", path, urlencode(fields), headers)
        answer = connection.getresponse()
        answer.read()
    finally:
        connection.close()
    return answer.status


def rows(folder: Path, words: str) -> list[tuple[Any, ...]]:
    with sqlite3.connect(folder / "starthorn.sqlite3") as database:
        return database.execute(words).fetchall()


def a_piece_on_the_table(server: Any, folder: Path) -> str:
    """The address that keeps a line for the one piece of the one bag."""
    server.start()
    entry = server.world["bag"]["entry"]
    added = post(server, f"{DESK}{entry}/add/", kind="add", model="Plinthor", act=uuid4(), round=1)
    registered = post(server, f"{DESK}scales/", act="register", name="fine", kind="class_iii", step="0.1")
    assert (added, registered) == (302, 302)
    ((disc,),) = rows(folder, "SELECT id FROM players_disc")
    return f"{DESK}{entry}/{disc}/keep/"


def at_once(server: Any, path: str, lines: list[dict[str, object]]) -> list[int]:
    answers: list[int] = []
    start = threading.Barrier(len(lines))

    def write(fields: dict[str, object]) -> None:
        start.wait()
        answers.append(post(server, path, round=1, **fields))

    threads = [threading.Thread(target=write, args=(fields,)) for fields in lines]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def test_desks_that_weigh_one_piece_at_once_keep_every_reading(server: Any, tmp_path: Path) -> None:
    path = a_piece_on_the_table(server, tmp_path)
    readings = [f"{170 + n}.0" for n in range(DESKS)]
    assert (
        at_once(server, path, [{"line": f"{r} f", "submission": uuid4()} for r in readings]) == [302] * DESKS
    )
    kept = rows(tmp_path, "SELECT reading_g FROM bags_weighing ORDER BY reading_g")
    assert [row[0] for row in kept] == [float(r) for r in readings]
    assert rows(tmp_path, "SELECT count(*) FROM bags_examination") == [(DESKS,)]
    server.kill()
    assert server.ask("verify") == []


def test_one_reading_sent_many_times_at_once_is_one_weighing(server: Any, tmp_path: Path) -> None:
    path = a_piece_on_the_table(server, tmp_path)
    line: dict[str, object] = {"line": "170.0 f", "submission": uuid4()}
    assert at_once(server, path, [line] * DESKS) == [302] * DESKS
    counts = "SELECT (SELECT count(*) FROM bags_weighing), (SELECT count(*) FROM bags_examination)"
    assert rows(tmp_path, counts) == [(1, 1)]
