"""manage.py new_event FILE.toml"""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from desk.event_file import EventFileRefused, load
from desk.event_making import make_event
from events.log.services import COMMAND


class Command(BaseCommand):
    help = "Make an event with its divisions, layouts and rounds from one documented file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            event = make_event(file=load(options["file"]), actor=COMMAND, now=timezone.now())
        except EventFileRefused as refused:
            raise CommandError("Nothing was made.\n" + "\n".join(refused.problems)) from None
        facts = {
            "event": event.slug,
            "name": event.name,
            "divisions": event.divisions.count(),
            "layouts": event.layouts.count(),
            "rounds": event.rounds.count(),
        }
        if options["json"]:
            self.stdout.write(json.dumps(facts))
            return
        for name, value in facts.items():
            self.stdout.write(f"{name:10} {value}")
