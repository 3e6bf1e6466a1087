"""`manage.py import_discs FILE --as-of DATE [--check] [--json]`: bring in the list of approved discs, or look at it."""

import json
from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from events.log.services import COMMAND
from events.sheets.problems import Problem
from events.sheets.refusal import Refused
from players.approved import ListRefused, import_list, look_at


class Command(BaseCommand):
    help = "Bring in the published list of approved discs as a dated snapshot. Exits with 1 if it is refused."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the published export, .csv or .xlsx")
        parser.add_argument("--as-of", required=True, help="the day the list was taken, as 2026-11-20")
        parser.add_argument("--check", action="store_true", help="only look at it; nothing is kept")
        parser.add_argument(
            "--invented", action="store_true", help="made for trying out: only invented events go by it"
        )
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        as_of = _day(options["as_of"])
        try:
            content = options["file"].read_bytes()
            found = look_at(content=content, file_name=options["file"].name, as_of=as_of)
            if not options["check"]:
                import_list(
                    content=content,
                    file_name=options["file"].name,
                    as_of=as_of,
                    invented=options["invented"],
                    actor=COMMAND,
                    now=timezone.now(),
                )
        except OSError as error:
            raise CommandError(f"{options['file']}: {error.strerror}.") from error
        except Refused as reason:
            raise CommandError(str(reason)) from reason
        except ListRefused as refused:
            self._tell(options["json"], 0, refused.problems)
            raise CommandError(str(refused)) from refused
        self._tell(options["json"], len(found.models), found.problems)
        if found.errors:
            raise CommandError(f"{len(found.errors)} of the problems stop the list.")

    def _tell(self, as_json: bool, models: int, problems: tuple[Problem, ...]) -> None:
        if as_json:
            rows = [vars_of(problem) for problem in problems]
            self.stdout.write(json.dumps({"models": models, "problems": rows}, ensure_ascii=False))
            return
        self.stdout.write(f"{models} models")
        for problem in problems:
            where = f"row {problem.row}" if problem.row else "the file"
            told = f"{where}, {problem.column}: {problem.problem}; {problem.mend}"
            self.stdout.write(f"  {problem.severity}: {told}")


def vars_of(problem: Problem) -> dict[str, Any]:
    """The problem as plain JSON."""
    names = ("severity", "row", "column", "value", "problem", "mend")
    return {name: getattr(problem, name) for name in names}


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CommandError(f"{text} is not a day; write it as 2026-11-20.") from None
