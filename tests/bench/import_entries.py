"""How long an import of 1,000 entrants takes beside openpyxl alone, and how much memory each needs.

Run by hand from the project's root: `python tests/bench/import_entries.py [--rows 1000] [--runs 5]`.
Each way runs in a child process of its own, so that neither warms the other and each peak is its own.
The limits are the issue's: at most 3 times openpyxl alone for the whole import, and under 300 MB.
"""

import argparse
import io
import json
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl

ROOT = Path(__file__).resolve().parents[2]
DIVISIONS = ("MPO", "FPO", "MP40", "MA1", "MA2", "MA3", "MA40", "FA1", "MJ18")
BORN = {"MP40": (1950, 1984), "MA40": (1950, 1984), "MJ18": (2009, 2014)}
RATINGS = {"MA2": (700, 930), "MA3": (700, 895), "MJ18": (600, 800)}
HEADINGS = (
    "Given name", "Family name", "Member number", "Birth year", "Division", "Rating", "Rating date", "Rated rounds",
    "Gender", "Membership status", "Membership expires", "Town", "Country", "E-mail", "Phone", "Emergency contact",
    "Emergency phone", "Pack size", "Paid amount", "Payment method", "Registered at", "Notes",
)  # fmt: skip
MOST_RATIO = 3.0
MOST_MEMORY_MB = 300


def build(path: Path, rows: int) -> None:
    """A workbook of invented entrants with a title above its headings."""
    chance = random.Random(1000)
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Entries")
    sheet.append(["Invented Open"])
    sheet.append([])
    sheet.append(HEADINGS)
    for index in range(rows):
        code = chance.choice(DIVISIONS)
        sheet.append([
            f"Given{index % 211}", f"Family{index}", 50_000 + index, chance.randint(*BORN.get(code, (1975, 2005))),
            code, chance.randint(*RATINGS.get(code, (700, 1050))), "2025-03-11", chance.randint(1, 60),
            "F" if code.startswith("F") else chance.choice("FM"), "current", "31.12.2025", f"Town {index % 40}",
            "Norland",
            f"p{index}@example.org", f"+49 30 {100_000 + index}", f"Contact {index}", f"+49 31 {100_000 + index}",
            chance.choice("SML"), 45.5, "card", f"2025-02-01 08:{index % 60:02d}", "left handed",
        ])  # fmt: skip
    book.save(path)


def openpyxl_alone(path: Path) -> int:
    """The cells of the first sheet, read in openpyxl's quickest way; their number."""
    book = openpyxl.load_workbook(io.BytesIO(path.read_bytes()), read_only=True, data_only=True)
    return sum(cell is not None for row in book.worksheets[0].iter_rows(values_only=True) for cell in row)


def read_and_check(path: Path) -> int:
    """The pure part of the import: read, guess the columns, convert and check; the number of entrants."""
    from events.sheets.entrants import EXPECTED, guess_mapping, read_entrants
    from events.sheets.reading import read_table

    table = read_table(path.name, path.read_bytes(), expected=EXPECTED)
    entrants, problems = read_entrants(table, guess_mapping(table), divisions=DIVISIONS, date_order=None)
    if problems:
        raise SystemExit(f"the bench's own file has problems: {problems[:3]}")
    return len(entrants)


class WholeImport:
    """From the bytes to the committed rows: read, check, lay over what is known, save, log; the entries made.

    Each run is a new event of one database file: the first meets nobody, later ones a thousand known persons.
    """

    def __init__(self) -> None:
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        self.runs = 0

    def __call__(self, path: Path) -> int:
        from django.utils import timezone

        from events.entries.importing import bring_in
        from events.log.services import Actor

        now = timezone.now()
        event = self._event(now.date())
        data = path.read_bytes()
        return bring_in(event=event, name=path.name, data=data, actor=Actor(name="bench"), now=now).new

    def _event(self, day: date) -> Any:
        from events.setup.models import Division, Event

        self.runs += 1
        event = Event.objects.create(
            slug=f"bench-{self.runs}", name="Invented Open", starts_on=day, ends_on=day, cap=100_000
        )
        offered = (Division(event=event, code=code, fee_cents=4550) for code in DIVISIONS)
        Division.objects.bulk_create(offered)
        return event


# What makes each way ready, before the clock starts.
WAYS: dict[str, Callable[[], Callable[[Path], int]]] = {
    "openpyxl alone": lambda: openpyxl_alone,
    "read and check": lambda: read_and_check,
    "whole import": WholeImport,
}


def child(way: str, path: Path, runs: int) -> None:
    """Print the best time of `runs`, the peak of this process and what the way counted."""
    ready = WAYS[way]()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        counted = ready(path)
        times.append(time.perf_counter() - start)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"first": times[0], "best": min(times), "peak_mb": peak, "counted": counted}))  # noqa: T201


def main() -> int:
    """Build the file, run every way in a child, print the table; 1 when a limit is passed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=1000)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--child", nargs=2, metavar=("WAY", "FILE"))
    given = parser.parse_args()
    if given.child:
        child(given.child[0], Path(given.child[1]), given.runs)
        return 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "entries.xlsx"
        build(path, given.rows)
        found = {way: in_child(way, path, given.runs) for way in WAYS}
    alone = found["openpyxl alone"]["best"]
    failed = False
    for way, figures in found.items():
        ratio = figures["best"] / alone
        failed = failed or ratio > MOST_RATIO or figures["peak_mb"] > MOST_MEMORY_MB
        print(  # noqa: T201
            f"{way:16} best {figures['best'] * 1000:6.0f} ms  first {figures['first'] * 1000:6.0f} ms"
            f"  ratio {ratio:4.2f}  peak {figures['peak_mb']:4.0f} MB  counted {figures['counted']:,}"
        )
    verdict = "over" if failed else "within"
    print(f"{verdict} {MOST_RATIO:g} times openpyxl alone and {MOST_MEMORY_MB} MB")  # noqa: T201
    return int(failed)


def in_child(way: str, path: Path, runs: int) -> dict[str, float]:
    """What `child` printed."""
    command = [sys.executable, __file__, "--runs", str(runs), "--child", way, str(path)]
    env = {
        "PYTHONPATH": str(ROOT),
        "DJANGO_SETTINGS_MODULE": "desk.settings",
        "STARTHORN_DATA": str(path.parent),  # the file's own temporary folder: goes with it
    }
    done = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(done.stderr)
    return json.loads(done.stdout)


if __name__ == "__main__":
    sys.exit(main())
