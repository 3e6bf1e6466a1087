"""manage.py rate_player FILE.csv [--json]: a player's rating from their rated rounds, without an event."""

import json
from argparse import ArgumentParser
from collections import defaultdict
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from events.rulebook.loader import in_force
from events.rulebook.values import ELSEWHERE
from scoring.ratings.compression import to_places
from scoring.ratings.history_csv import EXPECTED, HistoryRow, read_history, unclear_players
from scoring.ratings.player import Past, PlayerRating, Use, rate_player
from scoring.ratings.rules import player_rules_from
from scoring.ratings.tables import read_or_refuse, refuse_problems


class Command(BaseCommand):
    help = (
        "Work a player's rating out of a list of rated rounds (date, rating; for several players member number or"
        " player too): an estimate, never official."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--date-order", choices=["dmy", "mdy"], help="what 03/04/2026 means; asked for where it matters"
        )
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        table = read_or_refuse(options["file"], EXPECTED)
        rows, problems = read_history(table, order=options["date_order"])
        problems += unclear_players(rows)
        refuse_problems(self.stdout, problems, as_json=options["json"])
        if not rows:
            raise CommandError(
                f"{options['file'].name} has no round: write a row for each, with its date and rating.",
                returncode=2,
            )
        rules = player_rules_from(in_force(timezone.localdate(), ELSEWHERE))
        rated = {name: rate_player(rounds, rules) for name, rounds in _by_player(rows).items()}
        if options["json"]:
            answers = [_plain(name, rating) for name, rating in rated.items()]
            answer = answers[0] if len(answers) == 1 else {"players": answers}
            self.stdout.write(json.dumps(answer, ensure_ascii=False))
            return
        for name, rating in rated.items():
            figure = "no rating" if rating.rating is None else f"{rating.rating}, estimated"
            self.stdout.write(f"{name}: {figure}" if name else figure)
            for line in rating.working:
                self.stdout.write(f"  {line}")


def _by_player(rows: list[HistoryRow]) -> dict[str, list[Past]]:
    """By member number where there is one, else by name; a list without either is one player's."""
    names: dict[int | str, str] = {}
    rounds: dict[int | str, list[Past]] = defaultdict(list)
    for row in rows:
        names[row.key] = names.get(row.key) or row.player
        rounds[row.key].append(row.past)
    shown = {key: f"{name} #{key}".strip() if isinstance(key, int) else name for key, name in names.items()}
    return {shown[key]: pasts for key, pasts in rounds.items()}


def _plain(name: str, rating: PlayerRating) -> dict[str, Any]:
    return {
        "player": name,
        "rating": rating.rating,
        "exact": None if rating.exact is None else float(to_places(rating.exact, 3)),
        "from": rating.since.isoformat() if rating.since else None,
        "until": rating.until.isoformat() if rating.until else None,
        "counted": rating.counted,
        "doubled": rating.count(Use.DOUBLE),
        "dropped": [
            {"date": each.past.played_on.isoformat(), "rating": each.past.rating}
            for each in rating.rounds
            if each.use is Use.DROPPED
        ],
        "label": rating.label,
    }
