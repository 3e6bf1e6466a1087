"""manage.py check_in --event SLUG [--all | NUMBER…] [--json]"""

import json
import sys
from argparse import ArgumentParser
from dataclasses import asdict, dataclass
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from events.entries.models import Entry, Status
from events.entries.queries import entries_of
from events.entries.services import EntryRefused, check_in
from events.log.services import COMMAND
from events.setup.models import Event


@dataclass(frozen=True)
class Line:
    """What became of one number: in, in already, or refused with the reason."""

    number: str
    name: str
    result: str
    reason: str = ""


class Command(BaseCommand):
    help = (
        "Check players in by member number or code, or all who are confirmed. Exits with 1 if one is refused."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--event", metavar="SLUG", required=True)
        parser.add_argument("--all", action="store_true", help="everybody who is confirmed and not in yet")
        parser.add_argument("--json", action="store_true", help="answer as JSON")
        parser.add_argument("numbers", metavar="NUMBER", nargs="*", help="member number, or code of the slip")

    def handle(self, *args: Any, **options: Any) -> None:
        event = Event.objects.filter(slug=options["event"]).first()
        if event is None:
            raise CommandError(f"There is no event {options['event']}.")
        if bool(options["numbers"]) == options["all"]:
            raise CommandError("Give member numbers or codes, or --all.")
        lines = _everybody(event) if options["all"] else [_one(event, text) for text in options["numbers"]]
        refused = [line for line in lines if line.result == "refused"]
        if options["json"]:
            self.stdout.write(json.dumps([asdict(line) for line in lines], ensure_ascii=False))
        else:
            for line in lines:
                self.stdout.write(f"{line.number:>8}  {line.name:30}  {line.result}  {line.reason}".rstrip())
            self.stdout.write(
                f"{sum(line.result == 'in' for line in lines)} checked in, {len(refused)} refused"
            )
        if refused:
            sys.exit(1)


def _everybody(event: Event) -> list[Line]:
    waiting = entries_of(event).filter(status=Status.CONFIRMED, checked_in_at__isnull=True)
    return [_check_in(entry, str(entry.person.member_number or entry.code)) for entry in waiting]


def _one(event: Event, text: str) -> Line:
    entries = Entry.objects.filter(event=event).select_related("person")
    entry = entries.filter(code=text.strip().upper()).first()
    if entry is None and text.isascii() and text.isdigit() and len(text) < 10:
        entry = entries.filter(person__member_number=int(text)).first()
    if entry is None:
        return Line(text, "", "refused", "nobody of that number or code is entered")
    return _check_in(entry, text)


def _check_in(entry: Entry, number: str) -> Line:
    result = "in" if entry.checked_in_at is None else "in already"
    try:
        check_in(entry=entry, actor=COMMAND, now=timezone.now())
    except EntryRefused as refused:
        return Line(number, entry.person.name, "refused", str(refused))
    return Line(number, entry.person.name, result)
