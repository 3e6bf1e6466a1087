"""manage.py print_round --event SLUG --round N --out DIR"""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from desk.above_the_draw import ABOVE
from desk.boot.network import lan_addresses
from desk.boot.options import DEFAULT_PORT
from desk.management.commands.draw import round_named
from events.draw.papers import PAPERS, papers_of
from events.draw.queries import published_of


class Command(BaseCommand):
    help = "Write all paper of a round's published tee sheet as PDF into a folder."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--event", required=True, metavar="SLUG")
        parser.add_argument("--round", required=True, type=int, metavar="N")
        parser.add_argument("--out", required=True, type=Path, metavar="DIR", help="made if it is not there")
        parser.add_argument(
            "--site",
            default="",
            metavar="ADDRESS",
            help="address of this desk for the codes on the cards; default: this machine on its network, "
            f"port {DEFAULT_PORT}",
        )
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        round_ = round_named(options["event"], options["round"])
        sheet = published_of(round_)
        if sheet is None:
            raise CommandError(
                f"Round {round_.number} has no published tee sheet: draw and publish it first."
            )
        host = next(iter(lan_addresses()), "localhost")
        site = options["site"].rstrip("/") or f"http://{host}:{DEFAULT_PORT}"
        papers = papers_of(sheet, round_, ABOVE.group_paths(round_), site, timezone.now())
        folder: Path = options["out"]
        written = []
        try:
            folder.mkdir(parents=True, exist_ok=True)
            for what, _ in PAPERS:
                file = folder / papers.name(what)
                file.write_bytes(papers.pdf(what))
                written.append(str(file))
        except OSError as error:
            raise CommandError(f"{folder} cannot be written: {error.strerror}.") from None
        self.stdout.write(
            json.dumps({"files": written, "site": site}) if options["json"] else "\n".join(written)
        )
