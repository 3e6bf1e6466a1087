"""manage.py import_scores FILE --event SLUG --round N"""

import json
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from events.log.services import COMMAND
from events.setup.models import Event, Round
from events.sheets.problems import Problem
from events.sheets.refusal import Refused
from scoring.cards.importing import Imported, ScoresRefused, import_scores
from scoring.cards.services import CardRefused


class Command(BaseCommand):
    help = (
        "Bring in the scores of a round (.xlsx or .csv): one row a player with member number or name, hole"
        " scores in hole order or under the holes' labels, and the total if there is one. All rows or none."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--event", required=True, metavar="SLUG")
        parser.add_argument("--round", required=True, type=int, metavar="N")
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        round_ = _round(options["event"], options["round"])
        path: Path = options["file"]
        try:
            data = path.read_bytes()
        except OSError as error:
            raise CommandError(f"{path} cannot be read: {error.strerror}.") from None
        try:
            outcome = import_scores(
                round=round_, name=path.name, data=data, actor=COMMAND, now=timezone.now()
            )
        except (Refused, CardRefused) as refused:
            raise CommandError(f"Nothing was saved. {refused}") from None
        except ScoresRefused as refused:
            self._show(refused.problems, as_json=options["json"])
            raise CommandError(str(refused)) from None
        self._report(outcome, as_json=options["json"])

    def _show(self, problems: Iterable[Problem], *, as_json: bool) -> None:
        if as_json:
            listed = [asdict(problem) for problem in problems]
            self.stdout.write(json.dumps({"saved": False, "problems": listed}, ensure_ascii=False))
            return
        for problem in problems:
            value = f"[{problem.value}] " if problem.value else ""
            where = f"row {problem.row}"
            self.stdout.write(f"{where:10}{problem.column:20} {value}{problem.problem}: {problem.mend}")

    def _report(self, outcome: Imported, *, as_json: bool) -> None:
        if as_json:
            self.stdout.write(json.dumps(asdict(outcome)))
            return
        for label, figure in (
            ("players", outcome.players),
            ("cards saved", len(outcome.saved)),
            ("cards unchanged", len(outcome.unchanged)),
            ("rows without a score", len(outcome.blank_rows)),
        ):
            self.stdout.write(f"{label:22}{figure:5}")
        if outcome.differing:
            groups = ", ".join(map(str, outcome.differing))
            self.stdout.write(f"Typed otherwise, to be decided in the card room: groups {groups}.")


def _round(slug: str, number: int) -> Round:
    event = Event.objects.filter(slug=slug).first()
    if event is None:
        raise CommandError(f"There is no event {slug}.")
    found = Round.objects.select_related("event").filter(event=event, number=number).first()
    if found is None:
        raise CommandError(f"{slug} has no round {number}.")
    return found
