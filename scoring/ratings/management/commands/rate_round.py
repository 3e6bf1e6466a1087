"""manage.py rate_round FILE.csv [--method …] [--ssa X] [--holes N] [--edition …] [--json]: a round without an event."""

import json
from argparse import ArgumentParser
from dataclasses import replace
from datetime import date
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from events.rulebook.loader import in_force
from events.rulebook.values import ELSEWHERE
from scoring.ratings.bootstrap import seed_of
from scoring.ratings.compression import to_places
from scoring.ratings.estimate import rate_round
from scoring.ratings.propagators import Played, Rules
from scoring.ratings.round_csv import EXPECTED, read_round
from scoring.ratings.round_rating import Choice, RoundRating, Wanted
from scoring.ratings.rules import EDITIONS, choice_from, constants_from, rules_from
from scoring.ratings.tables import read_or_refuse, refuse_problems


class Command(BaseCommand):
    help = (
        "Rate one round from its propagators: an estimate, never official. The table has player, rating and score, and"
        " if they are known rated_rounds and rating_date; without these two columns they are not asked for."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--method",
            choices=["line", "proportional", "fixed"],
            help="default: by the field, as the rulebook says",
        )
        parser.add_argument("--ssa", metavar="THROWS", help="the average of the method fixed, as 58.4")
        parser.add_argument("--holes", type=int, default=18, metavar="N")
        parser.add_argument("--edition", choices=EDITIONS, help="of the points per throw")
        parser.add_argument(
            "--date", metavar="DAY", help="first day of the event, as 2026-06-12; default: today"
        )
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        first_day = _day(options["date"])
        book = in_force(first_day, ELSEWHERE)
        players, columns, problems = read_round(read_or_refuse(options["file"], EXPECTED))
        refuse_problems(self.stdout, problems, as_json=options["json"])
        rules = rules_from(book)
        rated = rate_round(
            _settled(players, columns, rules, first_day),
            rules=rules,
            constants=constants_from(book, options["edition"]),
            first_day=first_day,
            holes=_holes(options["holes"]),
            wanted=_wanted(options["method"], options["ssa"], choice_from(book)),
            seed=seed_of(*sorted((each.rating or 0, each.score or 0) for each in players)),
        )
        if rated.refused:
            raise CommandError(rated.refused, returncode=2)
        if options["json"]:
            self.stdout.write(json.dumps(_plain(rated), ensure_ascii=False))
            for warning in rated.warnings:
                self.stderr.write(warning)
            return
        self._print(rated)

    def _print(self, rated: RoundRating) -> None:
        for line in (*rated.working, *rated.warnings):
            self.stdout.write(line)
        for out in rated.excluded:
            detail = f" ({out.detail})" if out.detail else ""
            self.stdout.write(f"no propagator: {out.name}, {out.reason.value}{detail}")
        width = max((len(each.name) for each in rated.ratings), default=0)
        for each in sorted(rated.ratings, key=lambda one: (-one.rating, one.name)):
            span = "" if each.low is None else f"  {each.low} to {each.high}"
            self.stdout.write(f"{each.rating:5}  {each.name:<{width}}  {each.score:4}{span}")
        self.stdout.write("estimated, not official")


def _settled(players: list[Played], columns: frozenset[str], rules: Rules, first_day: date) -> list[Played]:
    """What the table has no column for is not asked: such players count as settled."""
    filled: dict[str, Any] = {}
    if "rated_rounds" not in columns:
        filled["rated_rounds"] = rules.rated_rounds
    if "rating_date" not in columns:
        filled["rating_date"] = first_day
    return [replace(each, **filled) for each in players] if filled else players


def _wanted(method: str | None, ssa: str | None, usual: Choice) -> Wanted:
    if ssa is not None and method not in (None, "fixed"):
        raise CommandError(f"--ssa is for --method fixed; leave it out for {method}.", returncode=2)
    if method != "fixed" and ssa is None:
        return Wanted(Choice(method) if method else usual)
    if ssa is None:
        raise CommandError("--method fixed needs the average: add --ssa 58.4.", returncode=2)
    try:
        throws = Decimal(ssa.replace(",", "."))
    except InvalidOperation:
        throws = Decimal(0)
    if not throws.is_finite() or throws <= 0:
        raise CommandError(f"--ssa: {ssa!r} is no number of throws. Write it as 58.4.", returncode=2)
    return Wanted(Choice.FIXED, Fraction(throws))


def _holes(holes: int) -> int:
    if not 1 <= holes <= 99:
        raise CommandError(f"--holes: {holes} is no number of holes. Write it as 18.", returncode=2)
    return holes


def _day(text: str | None) -> date:
    if text is None:
        return timezone.localdate()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CommandError(f"--date: {text!r} is not a date. Write it as 2026-06-12.", returncode=2) from None


def _plain(rated: RoundRating) -> dict[str, Any]:
    assert rated.ssa is not None
    assert rated.points_per_throw is not None
    return {
        "method": rated.method.value,
        "edition": rated.edition,
        "ssa": float(to_places(rated.ssa, 3)),
        "ssa_se": rated.ssa_se,
        "points_per_throw": float(rated.points_per_throw),
        "propagators": [each.name for each in rated.propagators],
        "excluded": [
            {
                "player": each.name,
                "reason": f"{each.reason.value}{f' ({each.detail})' if each.detail else ''}",
            }
            for each in rated.excluded
        ],
        "ratings": [
            {"player": each.name, "score": each.score, "rating": each.rating} for each in rated.ratings
        ],
        "label": rated.label,
    }
