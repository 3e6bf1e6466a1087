"""manage.py import_entries FILE --event SLUG"""

import json
from argparse import ArgumentParser
from collections.abc import Iterable
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from events.entries.import_answers import Answers
from events.entries.importing import ImportRefused, Outcome, confirm, keep_file, plan_file
from events.entries.models import ImportFile
from events.entries.services import EntryRefused
from events.log.services import COMMAND
from events.setup.models import Event
from events.sheets.problems import Problem
from events.sheets.refusal import Refused


class Command(BaseCommand):
    help = "Bring in a list of entries (.xlsx or .csv): every row or nothing. The same list again doubles nobody."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--event", required=True, metavar="SLUG")
        parser.add_argument("--check", action="store_true", help="say what would happen, save nothing")
        parser.add_argument("--json", action="store_true", help="answer as JSON")
        parser.add_argument(
            "--sheet", default="", help="name of the sheet, where it is not the likeliest one"
        )
        parser.add_argument(
            "--leave-out", type=int, nargs="+", default=[], metavar="ROW", help="rows left out"
        )
        parser.add_argument("--leave-out-bad", action="store_true", help="leave out every row with an error")
        parser.add_argument("--date-order", choices=["dmy", "mdy"], help="what 03/04/2025 means")
        parser.add_argument("--others-amateur", action="store_true", help="unknown class counts as amateur")
        paid = parser.add_mutually_exclusive_group()
        paid.add_argument(
            "--all-paid", action="store_true", help="a list without amounts: all are paid (default)"
        )
        paid.add_argument("--none-paid", action="store_true", help="a list without amounts: nobody is paid")

    def handle(self, *args: Any, **options: Any) -> None:
        event = Event.objects.filter(slug=options["event"]).first()
        if event is None:
            raise CommandError(f"There is no event {options['event']}.")
        path: Path = options["file"]
        try:
            data = path.read_bytes()
        except OSError as error:
            raise CommandError(f"{path} cannot be read: {error.strerror}.") from None
        try:
            outcome = _bring_in(event, path.name, data, options)
        except (Refused, EntryRefused) as refused:
            raise CommandError(f"Nothing was saved. {refused}") from None
        except ImportRefused as refused:
            self._show(refused.problems, options)
            blocking = [problem for problem in refused.problems if problem.severity != "warning"]
            if blocking[0].row is None:
                raise CommandError(f"Nothing was saved. {refused}") from None
            raise CommandError(f"Nothing was saved: {len(blocking)} to mend or to leave out.") from None
        self._report(outcome, options)

    def _show(self, problems: Iterable[Problem], options: dict[str, Any]) -> None:
        """Every problem as one line, or as JSON."""
        if options["json"]:
            listed = [asdict(problem) for problem in problems]
            self.stdout.write(json.dumps({"saved": False, "problems": listed}, ensure_ascii=False))
            return
        for problem in problems:
            row = "" if problem.row is None else f"row {problem.row}"
            value = f"[{problem.value}] " if problem.value else ""
            self.stdout.write(
                f"{problem.severity:9}{row:10}{problem.column:20} {value}{problem.problem}: {problem.mend}"
            )

    def _report(self, outcome: Outcome, options: dict[str, Any]) -> None:
        if options["json"]:
            saved = {"saved": not options["check"]}
            self.stdout.write(json.dumps(saved | asdict(outcome), ensure_ascii=False))
            return
        self._show(outcome.problems, options)
        self.stdout.write(outcome.words + (" Nothing was saved." if options["check"] else ""))


@transaction.atomic
def _bring_in(event: Event, name: str, data: bytes, options: dict[str, Any]) -> Outcome:
    """Through the same services as the page; with --check all is taken back."""
    now = timezone.now()
    file = keep_file(event=event, name=name, data=data, actor=COMMAND, now=now)
    file.sheet = options["sheet"] or file.sheet
    file.answers = _answers(file, options).as_json()
    file.save(update_fields=["sheet", "answers"])
    if options["leave_out_bad"]:
        _, plan = plan_file(file, now=now)
        answers = Answers.from_json(file.answers)
        file.answers = replace(answers, leave_out=answers.leave_out | set(plan.bad_rows)).as_json()
        file.save(update_fields=["answers"])
    outcome = confirm(file=file, actor=COMMAND, now=now)
    if options["check"]:
        transaction.set_rollback(True)
    return outcome


def _answers(file: ImportFile, options: dict[str, Any]) -> Answers:
    """What an earlier import of the same file was told, and what the options say."""
    held = Answers.from_json(file.answers)
    paid = True if options["all_paid"] else False if options["none_paid"] else held.all_paid
    return replace(
        held,
        date_order=options["date_order"] or held.date_order,
        all_paid=paid,
        others_amateur=options["others_amateur"] or held.others_amateur,
        leave_out=frozenset(options["leave_out"]),
    )
