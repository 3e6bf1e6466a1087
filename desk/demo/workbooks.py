"""The demo's workbooks as a director would have them: entrants, layouts, and one score list for each round."""

import random
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

from desk.demo.discs import AS_OF_DAYS_BEFORE, list_csv, models
from desk.demo.people import HEADINGS, Entrant, as_rows, field_of
from desk.demo.plan import FILE
from desk.demo.play import round_of
from desk.event_file import EventFile, read_event_file
from events.bags.rules import mass_rule
from events.rulebook.loader import in_force
from events.sheets.safe import Value, write_csv, write_xlsx


def entrants_workbook(field: list[Entrant], first_day: date) -> bytes:
    """A list with a title above, a total below and a second sheet, as lists are."""
    rows = as_rows(field, first_day)
    paid = Decimal(sum(entrant.paid_cents for entrant in field)) / 100
    total: list[Value] = ["Total", *[None] * (len(HEADINGS) - 3), paid, None]
    return write_xlsx(
        {
            "Entrants": [["Harbour Hollow Classic: entries"], [], list(HEADINGS), *rows, total],
            "Notes": [["Packs arrive on Thursday."], ["Ask the park for the key of the gate."]],
        }
    )


def layouts_workbook(file: EventFile) -> bytes:
    headings = ["Layout", "Hole", "Par", "Metres", "Tee", "Target", "Walk min", "Note"]
    rows = [
        [
            layout["name"], hole["label"], hole["par"], hole.get("length"), hole.get("tee"),
            hole.get("target"), hole.get("walk"), hole.get("note"),
        ]
        for layout in file.layouts
        for hole in layout["holes"]
    ]  # fmt: skip
    return write_xlsx({"Layouts": [headings, *rows]})


def scores_csv(field: list[Entrant], file: EventFile, *, round_index: int, seed: int) -> bytes:
    """One row a player who paid: member number, name, and the throws of each hole in the order of the layout."""
    rng = random.Random(f"scores {seed} {round_index}")  # noqa: S311  invented scores
    holes = {layout["name"]: layout["holes"] for layout in file.layouts}
    played = {division["code"]: holes[division["layouts"][round_index]] for division in file.divisions}
    labels = [hole["label"] for hole in next(iter(holes.values()))]
    rows: list[list[Value]] = [["Member number", "Name", *labels, "Total"]]
    for entrant in field:
        throws = round_of([hole["par"] for hole in played[entrant.division]], entrant.rating, rng)
        if entrant.paid_cents:
            rows.append([entrant.number, f"{entrant.given} {entrant.family}", *throws, sum(throws)])
    return write_csv(rows)


def approved_list(file: EventFile, *, seed: int) -> bytes:
    """The invented list of approved discs, as of some weeks before the event."""
    first_day: date = file.event["first_day"]
    rule = mass_rule(in_force(first_day, file.event.get("region", "")))
    return list_csv(models(rule, seed=seed, as_of=first_day - timedelta(days=AS_OF_DAYS_BEFORE)))


def write_all(folder: Path, *, players: int, seed: int) -> list[Path]:
    """Write every workbook of the file's own dates into `folder`."""
    file = read_event_file(FILE.read_text(encoding="utf-8"))
    first_day = file.event["first_day"]
    field = field_of(players, seed=seed, first_day=first_day)
    contents = {"entrants.xlsx": entrants_workbook(field, first_day), "layouts.xlsx": layouts_workbook(file)}
    contents["approved_list.csv"] = approved_list(file, seed=seed)
    for index in range(len(file.rounds)):
        contents[f"scores-round{index + 1}.csv"] = scores_csv(field, file, round_index=index, seed=seed)
    folder.mkdir(parents=True, exist_ok=True)
    for name, data in contents.items():
        (folder / name).write_bytes(data)
    return [folder / name for name in contents]
