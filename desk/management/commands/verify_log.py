"""`manage.py verify_log [--event SLUG] [--json]`: walk the chains of the log and name every fault."""

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from events.log.models import Chain
from events.log.services import Fault, verify
from events.setup.models import Event


class Command(BaseCommand):
    help = "Check that no act of the log is missing or altered. Exits with 1 where one is."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--event", metavar="SLUG", help="only this event; otherwise every chain")
        parser.add_argument("--json", action="store_true", help="print JSON instead of lines")

    def handle(self, *args: Any, **options: Any) -> None:
        results = {chain: verify(chain) for chain in _chains(options["event"])}
        if options["json"]:
            self.stdout.write(json.dumps([_plain(chain, *result) for chain, result in results.items()]))
        else:
            for chain, (rows, faults) in results.items():
                state = "broken" if faults else "whole"
                self.stdout.write(f"{chain or 'installation'}: {rows} acts, {state}")
                for fault in faults:
                    self.stdout.write(f"  {fault.text}")
        if any(faults for _, faults in results.values()):
            sys.exit(1)


def _chains(slug: str | None) -> list[str]:
    if slug is None:
        return list(Chain.objects.order_by("key").values_list("key", flat=True))
    if not Event.objects.filter(slug=slug).exists():
        raise CommandError(f"There is no event {slug}.")
    return [slug]


def _plain(chain: str, rows: int, faults: list[Fault]) -> dict[str, Any]:
    return {
        "chain": chain or "installation",
        "acts": rows,
        "whole": not faults,
        "faults": [{"number": fault.number, "text": fault.text} for fault in faults],
    }
