"""`manage.py split_purse`: a purse by place, with ties and declined prizes, without an event."""

import json
from argparse import ArgumentParser
from fractions import Fraction
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from events.paper.text import money
from events.setup.figures import cents_from
from events.sheets.refusal import Refused
from scoring.prizes.ladder import Ladder, NoLadder, by_curve, by_table
from scoring.prizes.place_tables import PlaceTable, read_table
from scoring.prizes.splitting import Finisher, Split, split


class Command(BaseCommand):
    help = (
        "Pay a purse out by place. Exits with 2 where a figure, the table or the places cannot be read, 1 where the "
        "table or the curve does not fit the purse."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--purse", required=True, metavar="AMOUNT", help="as 765 or 765.50")
        way = parser.add_mutually_exclusive_group(required=True)
        way.add_argument("--table", metavar="FILE", help="csv: number of places, then the percentages")
        way.add_argument(
            "--curve",
            nargs=2,
            metavar=("FIRST", "LAST"),
            help="first prize as an amount or as 25%%, and the amount that every prize lies above",
        )
        parser.add_argument("--places", required=True, metavar="1,2,2,4", help="places of the finishers")
        parser.add_argument(
            "--declined",
            default="",
            metavar="3,5",
            help="which finishers take no prize, counted from 1 in the order of --places",
        )
        parser.add_argument(
            "--paid",
            type=int,
            metavar="N",
            help="places paid; default: as many as there are finishers who take",
        )
        parser.add_argument("--unit", default="0.01", metavar="AMOUNT", help="round to 1 or 5; default 0.01")
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        purse, unit = _cents(options["purse"], "--purse"), _cents(options["unit"], "--unit")
        if unit < 1:
            raise CommandError(
                "--unit: prizes are rounded to at least 0.01. Write 0.01, 1 or 5.", returncode=2
            )
        field = _field(_numbers(options["places"], "--places"), _numbers(options["declined"], "--declined"))
        takers = sum(1 for finisher in field if not finisher.passed)
        places = takers if options["paid"] is None else options["paid"]
        if places < 0:
            raise CommandError(
                f"--paid: {places} is no number of places. Write how many are paid, as 8.", returncode=2
            )
        ladder = _ladder(purse, places, options)
        found = split(ladder.prizes, field, unit=unit)
        if options["json"]:
            self.stdout.write(json.dumps(_facts(ladder, found, field), ensure_ascii=False))
            return
        self.stdout.write("\n".join(_lines(ladder, found)))


def _cents(text: str, option: str) -> int:
    try:
        return cents_from(text)
    except ValueError:
        raise CommandError(
            f"{option}: {text!r} is no amount. Write it as 45 or 45.50.", returncode=2
        ) from None


def _numbers(text: str, option: str) -> list[int]:
    parts = [part.strip() for part in text.split(",") if part.strip()]
    if not all(part.isascii() and part.isdecimal() and len(part) < 6 and int(part) for part in parts):
        raise CommandError(
            f"{option}: {text!r} is no list of whole numbers from 1. Write it as 1,2,2,4.", returncode=2
        )
    return [int(part) for part in parts]


def _field(places: list[int], declined: list[int]) -> list[Finisher]:
    """The finishers, numbered as they stand; places must be those of a competition: 1, 2, 2, 4."""
    if not places:
        raise CommandError(
            "--places: nobody has a place. Write one for each finisher, as 1,2,2,4.", returncode=2
        )
    for at, place in enumerate(sorted(places), start=1):
        if place != sum(1 for other in places if other < place) + 1:
            raise CommandError(
                f"--places: {place} does not follow as number {at} of the sorted places. Two who are tied for 2nd"
                " are both 2, and the next is 4: write 1,2,2,4.",
                returncode=2,
            )
    strange = [each for each in declined if each > len(places)]
    if strange:
        raise CommandError(
            f"--declined: there is no finisher {strange[0]} among {len(places)}. Count them from 1 in the order of"
            " --places.",
            returncode=2,
        )
    return [
        Finisher(number, place, "declined" if number in declined else "")
        for number, place in enumerate(places, start=1)
    ]


def _ladder(purse: int, places: int, options: dict[str, Any]) -> Ladder:
    try:
        if options["table"]:
            return by_table(purse, _table(Path(options["table"])), places)
        first, last = options["curve"]
        return by_curve(
            purse, first_percent=_first_percent(first, purse), last=_cents(last, "--curve"), places=places
        )
    except NoLadder as refused:
        raise CommandError(str(refused), returncode=1) from None


def _first_percent(text: str, purse: int) -> Fraction:
    if text.endswith("%"):
        try:
            percent = Fraction(text.removesuffix("%").replace(",", "."))
        except (ValueError, ZeroDivisionError):
            percent = Fraction(0)
        if not 0 < percent <= 100:
            raise CommandError("--curve: write the first prize as 25% or as an amount.", returncode=2)
        return percent
    return min(Fraction(100), Fraction(100 * _cents(text, "--curve"), purse)) if purse else Fraction(100)


def _table(path: Path) -> PlaceTable:
    try:
        found = read_table(path.read_bytes())
    except OSError as problem:
        raise CommandError(
            f"{path} cannot be read: {problem.strerror}. Check the name of the file.", returncode=2
        ) from None
    except Refused as refused:
        raise CommandError(f"{path}: {refused}", returncode=2) from None
    if found.problems:
        lines = [
            f"{f'Row {each.row}' if each.row else 'The table'}, column {each.column}: {each.problem} {each.mend}"
            for each in found.problems
        ]
        raise CommandError("\n".join((f"{path} was not taken.", *lines)), returncode=2)
    return PlaceTable(path.stem, str(path), found.rows)


def _lines(ladder: Ladder, found: Split) -> list[str]:
    lines = [f"purse {money(found.purse)}: {ladder.words}"]
    for share in found.shares:
        spans = "+".join(str(rung) for rung in share.spans)
        tie = f"  {share.tied} tied, prizes {spans}" if share.tied > 1 else f"  prize {spans}"
        extra = f", with {money(share.extra)} left over" if share.extra else ""
        lines.append(f"finisher {share.key}, place {share.place}: {money(share.cents)}{tie}{extra}")
    lines += [
        f"finisher {slide.key}, place {slide.place}: {slide.why}, prize {slide.rung} moves up"
        for slide in found.slides
    ]
    for words, cents in (("carried over", found.carried), (found.kept_words, found.kept)):
        if cents:
            lines.append(f"{words}: {money(cents)}")
    return lines


def _facts(ladder: Ladder, found: Split, field: list[Finisher]) -> dict[str, Any]:
    """Amounts in cents; `prizes` are those of the places, `paid` what each finisher gets."""
    cents = {share.key: share for share in found.shares}
    return {
        "purse": found.purse,
        "prizes": list(ladder.prizes),
        "by": ladder.words,
        "source": ladder.source,
        "unit": found.unit,
        "paid": [
            {
                "finisher": each.key,
                "place": each.place,
                "cents": cents[each.key].cents if each.key in cents else 0,
                "of_prizes": list(cents[each.key].spans) if each.key in cents else [],
                "tied": cents[each.key].tied if each.key in cents else 1,
                "left_over": cents[each.key].extra if each.key in cents else 0,
                "declined": bool(each.passed),
            }
            for each in field
        ],
        "left": found.left,
        "carried": found.carried,
        "kept": found.kept,
    }
