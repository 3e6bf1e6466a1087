"""`manage.py check_bag FILE.csv --list LIST.csv [--scale 0.1|1] [--json]`: the checks of a bag without an event."""

import json
from argparse import ArgumentParser
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from events.bags.checking import Check, Facts, check_piece, gravest, in_words
from events.bags.limits import Limit, limit_of
from events.bags.pieces_csv import EXPECTED, PieceRow, off_step, read_pieces
from events.bags.rules import error_rule_of, guard_factor, mass_rule, sources_of
from events.bags.weighing import Decision, ScaleFacts, decide, max_error
from events.rulebook.loader import Rulebook, in_force
from events.sheets.problems import Problem
from events.sheets.reading import Table, read_table
from events.sheets.refusal import Refused
from players.approved_reading import EXPECTED as LIST_HEADINGS
from players.approved_reading import ModelRow, model_key, read_list

KINDS = {Decimal(1): "household", Decimal("0.1"): "class_iii"}
STEPS = {"1": Decimal(1), "0.1": Decimal("0.1")}


class Listed:
    """The list, found in by maker and model, or by a model alone."""

    def __init__(self, models: Iterable[ModelRow]) -> None:
        self.by_key = {row.key: row for row in models}
        self.by_name: dict[str, list[ModelRow]] = {}
        for row in self.by_key.values():
            self.by_name.setdefault(model_key("", row.name), []).append(row)

    def rows_of(self, piece: PieceRow) -> list[ModelRow]:
        """The rows that a piece can be: none, one, or several where no maker is named and several have the model."""
        row = self.by_key.get(model_key(piece.maker, piece.model))
        if row is not None:
            return [row]
        return [] if piece.maker else self.by_name.get(model_key("", piece.model), [])


class Command(BaseCommand):
    help = (
        "Check the pieces of a csv (model, stamped mass, reading, mark, condition) against a list of approved discs."
        " Exits with 1 where a piece is not to be thrown, with 2 where a file cannot be read."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the pieces, .csv or .xlsx")
        parser.add_argument("--list", type=Path, required=True, help="the published list of approved discs")
        parser.add_argument("--scale", default="0.1", help="steps of the scale in grams: 0.1 (default) or 1")
        parser.add_argument(
            "--night-or-snow", action="store_true", help="the round is announced as night or snow"
        )
        parser.add_argument("--json", action="store_true", help="one JSON object for each piece")

    def handle(self, *args: Any, **options: Any) -> None:
        today = timezone.localdate()
        book = in_force(today, "north_america")
        step = _step(options["scale"])
        listed = _listed(options["list"], today)
        pieces = _pieces(options["file"], step, listed)
        found = [
            _answer(book, piece, listed, step, options["list"].name, night_or_snow=options["night_or_snow"])
            for piece in pieces
        ]
        for each in found:
            self.stdout.write(json.dumps(each, ensure_ascii=False) if options["json"] else _line(each))
        if any(each["result"] == "do not throw" for each in found):
            raise SystemExit(1)


def _answer(
    book: Rulebook,
    piece: PieceRow,
    listed: Listed,
    step: Decimal,
    list_name: str,
    *,
    night_or_snow: bool,
) -> dict[str, Any]:
    same = listed.rows_of(piece)
    row = same[0] if same else None
    limit = (
        limit_of(row.max_mass_g, row.diameter_cm, mass_rule(book))
        if row
        else Limit(None, None, differs=False)
    )
    load = limit.listed_g or piece.reading_g or Decimal(175)
    error = max_error(KINDS[step], step, load, error_rule_of(book))
    decision = decide(piece.reading_g, limit.listed_g, ScaleFacts(step, error), guard_factor(book))
    facts = Facts(
        model=piece.model,
        snapshot=f"list {list_name}",
        on_list=row is not None,
        limit=limit,
        decision=decision if piece.reading_g is not None else None,
        stamped_g=piece.stamped_g,
        condition=piece.condition,
        night_or_snow=night_or_snow,
    )
    checks = check_piece(facts, sources_of(book))
    return _json(piece, limit, decision, checks)


def _json(piece: PieceRow, limit: Limit, decision: Decision, checks: tuple[Check, ...]) -> dict[str, Any]:
    return {
        "row": piece.row,
        "model": f"{piece.maker} {piece.model}".strip(),
        "stamped_g": _number(piece.stamped_g),
        "reading_g": _number(piece.reading_g),
        "limit_g": _number(limit.listed_g),
        "formula_limit_g": _number(limit.formula_g),
        "decision": decision.zone.value,
        "probability": None if decision.probability is None else round(decision.probability, 4),
        "guard_g": _number(decision.guard_g),
        "result": in_words(gravest(checks)),
        "checks": [
            {
                "check": check.key,
                "status": check.status.value,
                "reason": check.sentence,
                "remarks": list(check.remarks),
                "source": check.source,
            }
            for check in checks
        ],
    }


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _line(each: dict[str, Any]) -> str:
    parts = [f"row {each['row']}, {each['model']}: {each['result']}"]
    if each["reading_g"] is not None and each["limit_g"] is not None:
        parts.append(f"{each['reading_g']} g of {each['limit_g']} g, p within {each['probability']}")
    reasons = [c["reason"] for c in each["checks"] if c["status"] in ("fail", "not proven")]
    return "; ".join(parts) + "".join(f"\n  {reason}" for reason in reasons)


def _step(text: str) -> Decimal:
    if text not in STEPS:
        raise CommandError("A scale here shows steps of 0.1 or 1 g.", returncode=2)
    return STEPS[text]


def _pieces(path: Path, step: Decimal, listed: Listed) -> list[PieceRow]:
    """The pieces of the table, if nothing in it needs mending."""
    pieces, problems = read_pieces(_table(path, EXPECTED))
    problems += off_step(pieces, step)
    for piece in pieces:
        makers = [row.maker for row in listed.rows_of(piece)]
        if len(makers) > 1:
            told = f"is a model of {len(makers)} makers"
            problems.append(Problem(piece.row, "maker", "", told, f"write which: {', '.join(makers)}"))
    if problems:
        problems.sort(key=lambda problem: problem.row or 0)
        raise CommandError(_told(path, problems), returncode=2)
    if not pieces:
        raise CommandError(f"{path} holds no piece.", returncode=2)
    return pieces


def _listed(path: Path, today: date) -> Listed:
    found = read_list(_table(path, LIST_HEADINGS), as_of=today)
    if found.errors:
        raise CommandError(_told(path, list(found.errors)), returncode=2)
    return Listed(found.models)


def _table(path: Path, expected: frozenset[str]) -> Table:
    try:
        return read_table(path.name, path.read_bytes(), expected=expected)
    except OSError as error:
        raise CommandError(f"{path}: {error.strerror}.", returncode=2) from error
    except Refused as reason:
        raise CommandError(f"{path}: {reason}", returncode=2) from reason


def _told(path: Path, problems: list[Problem]) -> str:
    lines = [f"row {p.row}, {p.column}: {p.problem}; {p.mend}" for p in problems[:50]]
    return f"{path} cannot be read:\n  " + "\n  ".join(lines)
