"""manage.py demo --stage … --players N --seed S"""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from desk.demo.plan import STAGES
from desk.demo.workbooks import write_all
from events.setup.models import Event
from events.setup.zones import local_zone


class Command(BaseCommand):
    help = "Build the invented demo event, played up to a stage, through the same services as the pages."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--stage", choices=STAGES, default="checkin")
        parser.add_argument("--players", type=int, default=90, help="size of the field (default 90)")
        parser.add_argument(
            "--seed", type=int, default=1, help="the same seed gives the same people and scores"
        )
        parser.add_argument("--zone", default="", help="time zone of the venue (default: this machine's)")
        parser.add_argument(
            "--workbooks",
            type=Path,
            metavar="DIR",
            help="only write the demo's workbooks there, as in fixtures/",
        )
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        from desk.demo.stages import make_demo

        if not 8 <= options["players"] <= 5000:
            raise CommandError("A demo has 8 to 5000 players.")
        if options["workbooks"]:
            written = write_all(options["workbooks"], players=options["players"], seed=options["seed"])
            self.stdout.write("\n".join(str(path) for path in written))
            return
        zone = options["zone"] or local_zone()
        if zone not in available_timezones():
            raise CommandError(f"{zone} is not a time zone; an example: Europe/Oslo.")
        if Event.objects.filter(slug="harbour-hollow").exists():
            raise CommandError(
                "The demo event is there already. Choose another data folder for a second one."
            )
        with transaction.atomic():
            event = make_demo(
                stage=options["stage"],
                players=options["players"],
                seed=options["seed"],
                zone=zone,
                now=timezone.now(),
            )
        facts = {"event": event.slug, "stage": options["stage"], "entries": event.entries.count()}
        self.stdout.write(
            json.dumps(facts)
            if options["json"]
            else f"{event.name}: {facts['entries']} entries, {facts['stage']}."
        )
