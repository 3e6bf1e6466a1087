"""manage.py draw --event SLUG --round N"""

import json
import secrets
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from desk.above_the_draw import ABOVE
from events.draw.marks import marks_of
from events.draw.models import Sheet
from events.draw.placing import DrawRefused
from events.draw.queries import SheetView, view_of
from events.draw.services import make_draw, publish
from events.log.services import COMMAND
from events.setup.models import Event, Round
from events.setup.queries import rulebook_for


def round_named(slug: str, number: int) -> Round:
    """Raises CommandError where there is no such event or round."""
    event = Event.objects.filter(slug=slug).first()
    if event is None:
        raise CommandError(f"There is no event {slug}.")
    round_ = Round.objects.filter(event=event, number=number).first()
    if round_ is None:
        raise CommandError(f"{event.name} has no round {number}.")
    round_.event = event
    return round_


class Command(BaseCommand):
    help = "Draw a round into a draft; with --publish it goes out as the round's tee sheet."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--event", required=True, metavar="SLUG")
        parser.add_argument("--round", required=True, type=int, metavar="N")
        parser.add_argument(
            "--method",
            choices=Sheet.Method.values,
            help="default: random in the first round, by score afterwards",
        )
        parser.add_argument(
            "--seed", default="", help="the same seed gives the same draw; default: a new one"
        )
        parser.add_argument("--checked-in", action="store_true", help="only who is checked in")
        parser.add_argument("--publish", action="store_true", help="publish the draw at once")
        parser.add_argument("--reason", default="", help="why a published sheet changes")
        parser.add_argument("--keep", default="", help="why rules that are not kept may stand")
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        round_ = round_named(options["event"], options["round"])
        standard = Sheet.Method.RANDOM if round_.number == 1 else Sheet.Method.SCORE
        method = Sheet.Method(options["method"] or standard)
        try:
            with transaction.atomic():
                sheet = make_draw(
                    round=round_,
                    method=method,
                    seed=options["seed"] or str(secrets.randbelow(10**8)).zfill(8),
                    totals=ABOVE.totals_before(round_) if method.by_score else None,
                    only_checked_in=options["checked_in"],
                    out=ABOVE.out_before(round_),
                    actor=COMMAND,
                    now=timezone.now(),
                )
                if options["publish"]:
                    sheet = publish(
                        sheet=sheet,
                        reason=options["reason"],
                        keep=options["keep"],
                        actor=COMMAND,
                        now=timezone.now(),
                    )
        except DrawRefused as refused:
            raise CommandError(f"Nothing was drawn. {refused}") from None
        sheet.round = round_
        view = view_of(sheet)
        marks = marks_of(view, rulebook_for(round_.event))
        facts = {
            "event": round_.event.slug,
            "round": round_.number,
            "version": sheet.version,
            "state": sheet.state,
            "method": sheet.method,
            "seed": sheet.seed,
            "players": view.players,
            "groups": [_group(view, index) for index in range(len(view.groups))],
            "notes": sheet.notes,
            "not_kept": [mark.breach.text for mark in marks if mark.open],
        }
        self.stdout.write(json.dumps(facts, ensure_ascii=False) if options["json"] else _table(facts))


def _group(view: SheetView, index: int) -> dict[str, Any]:
    group = view.groups[index]
    return {
        "group": group.number,
        "pool": group.pool,
        "layout": view.layouts[group.layout].name,
        "hole": group.label,
        "starts_at": view.sheet.round.event.local(group.starts_at).isoformat(timespec="minutes"),
        "players": [
            {"name": member.name, "division": member.division, "member_number": member.member_number}
            for member in group.members
        ],
    }


def _table(facts: dict[str, Any]) -> str:
    lines = [
        f"Round {facts['round']}, version {facts['version']}, {facts['state']}: {facts['players']} players in "
        f"{len(facts['groups'])} groups, {facts['method']}, seed {facts['seed']}",
        f"{'group':>5} {'pool':4} {'start':5} {'hole':5} players",
    ]
    for group in facts["groups"]:
        players = ", ".join(f"{player['name']} {player['division']}" for player in group["players"])
        time = group["starts_at"][11:16]
        lines.append(f"{group['group']:>5} {group['pool']:4} {time:5} {group['hole']:5} {players}")
    lines += facts["notes"]
    lines += [f"not kept: {text}" for text in facts["not_kept"]]
    return "\n".join(lines)
