"""`manage.py standings --event SLUG [--round N] [--json]`: the standings as a table, or as JSON."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from events.setup.models import Event
from scoring.standings.queries import DivisionStandings, Row, standings
from scoring.standings.showing import division_sub
from scoring.standings.wording import place_marked, to_par_text, total_text


class Command(BaseCommand):
    help = "Print the standings of every division."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--event", metavar="SLUG", required=True)
        parser.add_argument("--round", metavar="N", type=int, help="leave the rounds after this one out")
        parser.add_argument("--json", action="store_true", help="print JSON instead of a table")

    def handle(self, *args: Any, **options: Any) -> None:
        event = Event.objects.filter(slug=options["event"]).first()
        if event is None:
            raise CommandError(f"There is no event {options['event']}.")
        through = options["round"]
        if through is not None and not event.rounds.filter(number=through).exists():
            raise CommandError(f"{event.name} has no round {through}.")
        found = standings(event, through_round=through, now=timezone.now())
        if options["json"]:
            self.stdout.write(json.dumps([_plain(division) for division in found], ensure_ascii=False))
            return
        if not found:
            self.stdout.write("Nobody is entered yet.")
        for division in found:
            self._print(division)

    def _print(self, division: DivisionStandings) -> None:
        self.stdout.write(f"{division.code} {division.name}, {division_sub(division)}")
        width = max(len(row.standing.name) for row in division.rows)
        for row in division.rows:
            self.stdout.write(_line(row, width))
        self.stdout.write("")


def _line(row: Row, width: int) -> str:
    standing = row.standing
    place = place_marked(standing.place, tied=standing.tied)
    rounds = " ".join(f"{total_text(each.result.total):>3}" for each in row.rounds)
    figures = f"{to_par_text(standing.to_par):>4} {total_text(standing.total):>4}  {rounds}"
    return f"{place:>4} {standing.name:<{width}} {figures}  {standing.words}"


def _plain(division: DivisionStandings) -> dict[str, Any]:
    return {
        "division": division.code,
        "name": division.name,
        "rounds": [
            {"round": each.number, "layout": each.layout.name if each.layout else None, "begun": each.begun}
            for each in division.rounds
        ],
        "players": [
            {
                "entry": row.entry_id,
                "place": row.standing.place,
                "tied": row.standing.tied,
                "name": row.standing.name,
                "member_number": row.standing.member_number,
                "to_par": row.standing.to_par,
                "total": row.standing.total,
                "rounds": [each.result.total for each in row.rounds],
                "holes_played": row.standing.holes_played,
                "state": row.standing.words,
                "decided": row.standing.decided,
                "made_cut": row.standing.made_cut,
            }
            for row in division.rows
        ],
    }
