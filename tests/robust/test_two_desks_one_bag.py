"""Two equipment desks and the player's phone on one bag at the same moment, each sending some of it twice."""

import sqlite3
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from uuid import uuid4

EACH = 8


def act(kind: str, disc: str | None = None, **fields: Any) -> dict[str, Any]:
    return {"key": str(uuid4()), "kind": kind, "disc": disc, "round": "1", "fields": fields}


def adds(who: str) -> list[dict[str, Any]]:
    return [act("add", str(uuid4()), model=f"{who} {number}") for number in range(EACH)]


def at_once(server: Any, lists: dict[str, Sequence[dict[str, Any]]]) -> dict[str, list[str]]:
    """Send each list from its own place, act by act and each third act twice, all starting at the same moment."""
    bag = server.world["bag"]
    desk = f"/desk/quiet-pines/bags/box/{bag['entry']}/acts/?round=1"
    refused: dict[str, list[str]] = {who: [] for who in lists}
    start = threading.Barrier(len(lists))

    def write(who: str) -> None:
        path = f"{bag['path']}acts/?round=1" if who == "phone" else desk
        session = "" if who == "phone" else server.world["equipment"]
        start.wait()
        for index, each in enumerate(lists[who]):
            for _ in range(2 if index % 3 == 0 else 1):
                refused[who] += server.post_acts(path, session, [each])

    threads = [threading.Thread(target=write, args=[who]) for who in lists]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return refused


def rows(folder: Path, question: str) -> list[Any]:
    with sqlite3.connect(folder / "starthorn.sqlite3") as database:
        return database.execute(question).fetchall()


def test_what_each_adds_is_there_once_and_numbered_without_a_gap(server: Any, tmp_path: Path) -> None:
    server.start()
    lists = {who: adds(who) for who in ("phone", "desk one", "desk two")}

    refused = at_once(server, lists)

    assert {who: set(each) for who, each in refused.items()} == {who: {""} for who in lists}
    found = rows(tmp_path, "SELECT number, model FROM players_disc ORDER BY number")
    assert [number for number, _ in found] == list(range(1, 3 * EACH + 1))
    sent = [each["fields"]["model"] for acts in lists.values() for each in acts]
    assert sorted(model for _, model in found) == sorted(sent)
    assert rows(tmp_path, "SELECT count(*) FROM bags_inbag WHERE taken_out_at IS NULL") == [(3 * EACH,)]
    assert rows(tmp_path, "SELECT count(*) FROM bags_bagact") == [(3 * EACH,)]
    server.kill()
    assert server.ask("verify") == []


def test_three_who_change_other_fields_of_one_piece_lose_none(server: Any, tmp_path: Path) -> None:
    server.start()
    key = str(uuid4())
    server.post_acts(f"{server.world['bag']['path']}acts/?round=1", "", [act("add", key, model="Plinthor")])

    refused = at_once(
        server,
        {
            "phone": [act("change", key, mark=f"mark {n}") for n in range(EACH)],
            "desk one": [act("change", key, stamped_mass_g=str(160 + n)) for n in range(EACH)],
            "desk two": [act("change", key, colour=f"colour {n}") for n in range(EACH)],
        },
    )

    assert {why for each in refused.values() for why in each} == {""}
    (found,) = rows(tmp_path, "SELECT model, mark, stamped_mass_g, colour FROM players_disc")
    assert found == ("Plinthor", f"mark {EACH - 1}", 159 + EACH, f"colour {EACH - 1}")
    assert rows(tmp_path, "SELECT count(*) FROM bags_bagact WHERE kind = 'change'") == [(3 * EACH,)]
