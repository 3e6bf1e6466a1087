"""Lists brought in by several people at the same moment, on a database file of its own: prints JSON.

Run by test_import_again.py in a process of its own, because threads need connections of their own.
"""

import json
import sys
import threading
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import django

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
PEOPLE = 4
HEAD = "First name;Last name;Born;Division;Class;Paid;Entered at"


def listed(first: int, last: int) -> bytes:
    rows = [f"P{number};Rask;1990;MA1;am;45;2026-05-01" for number in range(first, last)]
    return "\n".join((HEAD, *rows)).encode()


def at_once(act: Callable[[int], str]) -> list[str]:
    """What the same act answered to each of them, or the name of its error."""
    from django.db import connection

    said: list[str] = []
    start = threading.Barrier(PEOPLE)

    def run(who: int) -> None:
        start.wait()
        try:
            said.append(act(who))
        except Exception as error:
            said.append(type(error).__name__)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(who,)) for who in range(PEOPLE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return said


def main() -> None:
    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    import build
    from events.entries.importing import bring_in, confirm, keep_file
    from events.entries.models import Entry, ImportFile
    from events.log.models import Act
    from events.log.services import verify
    from players.models import Person

    about = {"actor": build.ACTOR, "now": build.NOW}
    event = build.make_event()
    file = keep_file(event=event, name="list.csv", data=listed(0, 30), **about)

    def press(_: int) -> str:
        confirm(file=ImportFile.objects.get(pk=file.pk), **about)
        return "saved"

    said = at_once(press)
    same = {
        "said": dict(Counter(said)),
        "entries": Entry.objects.count(),
        "persons": Person.objects.count(),
        "acts": Act.objects.filter(action="entries.imported").count(),
    }

    other = build.make_event("other-pines")

    def overlap(who: int) -> str:
        return str(
            bring_in(event=other, name="l.csv", data=listed(100 + 5 * who, 125 + 5 * who), **about).new
        )

    new = sum(map(int, at_once(overlap)))
    overlapping = {
        "new": new,
        "entries": other.entries.count(),
        "persons": Person.objects.count() - same["persons"],
    }
    faults = len(verify(event.slug)[1]) + len(verify(other.slug)[1])
    print(json.dumps({"same file": same, "overlapping": overlapping, "faults": faults}))  # noqa: T201


if __name__ == "__main__":
    main()
