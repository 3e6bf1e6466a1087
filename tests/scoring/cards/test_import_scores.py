"""manage.py import_scores: labels, hole order, every problem named, all or nothing."""

import io
import json
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from openpyxl import Workbook

import build
from build_cards import line, make_field, publish, save
from events.course.models import LayoutHole
from events.entries.models import Entry
from events.log.models import Act
from events.setup.models import Event, Round
from scoring.cards.models import Card, CardLine, CardVersion

HOLES = [str(number) for number in range(1, 19)]


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def field(event: Event, round_: Round) -> list[Entry]:
    entries = make_field(event, 4)
    publish(round_, [entries[:2], entries[2:]])
    return entries


def run(path: Path, *more: str) -> str:
    out = io.StringIO()
    call_command("import_scores", str(path), "--event", "quiet-pines", "--round", "1", *more, stdout=out)
    return out.getvalue()


def refused(path: Path) -> list[tuple[int, str, str]]:
    """(row, column, problem) of every problem of a refused list."""
    out = io.StringIO()
    with pytest.raises(CommandError, match=r"^Nothing was saved: "):
        call_command(
            "import_scores", str(path), "--event", "quiet-pines", "--round", "1", "--json", stdout=out
        )
    assert (CardVersion.objects.count(), Act.objects.count()) == (0, 0)
    answer = json.loads(out.getvalue())
    return [(found["row"], found["column"], found["problem"]) for found in answer["problems"]]


def csv(tmp_path: Path, *rows: str) -> Path:
    path = tmp_path / "scores.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8-sig")
    return path


def number(entry: Entry) -> str:
    return str(entry.person.member_number)


def standing() -> dict[str, tuple[int | None, int | None]]:
    lines = CardLine.objects.filter(current=True).select_related("entry__person")
    return {one.entry.person.family_name: (one.total, one.written_total) for one in lines}


def test_holes_by_label_in_any_order(event: Event, field: list[Entry], tmp_path: Path) -> None:
    backwards = HOLES[::-1]
    path = csv(
        tmp_path,
        ";".join(["Round one", *[""] * 20]),
        ";".join(["Member no", "Player", *[f"Hole {hole}" for hole in backwards], "Total"]),
        ";".join([number(field[0]), "Ludvik Moravec", *backwards, "171"]),
        ";".join([number(field[2]), "Dov Pennock", *["3"] * 18, "54"]),
        ";".join(["", "Eskola, Niko", *["4"] * 17, "", ""]),
    )

    answer = json.loads(run(path, "--json"))

    assert answer == {"players": 3, "saved": [1, 2], "unchanged": [], "differing": [], "blank_rows": []}
    assert CardLine.objects.get(entry=field[0], current=True).throws == list(range(1, 19))
    assert standing() == {
        "Moravec": (171, 171), "Oyelaran": (None, None), "Pennock": (54, 54), "Eskola": (68, None)
    }  # fmt: skip
    assert set(CardVersion.objects.values_list("source", "by")) == {("import", "command line")}
    assert [act.action for act in Act.objects.order_by("number")] == [
        "card.saved",
        "card.saved",
        "scores.imported",
    ]
    assert (
        Card.objects.filter(returned_at__isnull=False).count() == 0
    )  # one player of each card is not complete


def test_labels_are_text_and_a_workbook_holds_numbers(
    event: Event, field: list[Entry], tmp_path: Path
) -> None:
    LayoutHole.objects.filter(layout__event=event, position=4).update(label="4S")
    LayoutHole.objects.filter(layout__event=event, position=12).update(label="12B")
    labels = [hole.label for hole in LayoutHole.objects.filter(layout__event=event).order_by("position")]
    book = Workbook()
    sheet = book.active
    sheet.append(["First name", "Last name", *[int(label) if label.isdigit() else label for label in labels]])
    sheet.append(["Ludvik", "Moravec", *range(1, 19)])
    sheet.append(["Hale", "Oyelaran", *["4"] * 18])
    path = tmp_path / "scores.xlsx"
    book.save(path)

    run(path)

    assert CardLine.objects.get(entry=field[0], current=True).throws == list(range(1, 19))
    assert Card.objects.get().returned_at is not None


def test_two_layouts_in_one_list_by_hole_order(event: Event, round_: Round, tmp_path: Path) -> None:
    """Three holes with labels of their own take the first three columns of the eighteen."""
    entries = make_field(event, 1)
    other = build.make_layout(event, "Short", pars=(3, 3, 3), tees="short")
    for hole in other.layout_holes.all():
        hole.label = f"{hole.label}S"
        hole.save()
    publish(round_, [entries], layout=other)
    path = csv(tmp_path, ",".join(["name", *HOLES]), ",".join(["Ludvik Moravec", "3", "4", "5", *[""] * 15]))

    run(path)

    assert CardLine.objects.get().throws == [3, 4, 5]


def test_every_problem_is_named_with_row_and_column(event: Event, field: list[Entry], tmp_path: Path) -> None:
    threes = ["3"] * 18
    bad = list(threes)
    bad[6], bad[7] = "0", "x"
    path = csv(
        tmp_path,
        ",".join(["member number", "name", *HOLES, "total"]),
        ",".join([number(field[0]), "", *bad, "54"]),
        ",".join([number(field[1]), "", *threes, "55"]),
        ",".join([number(field[1]), "", *threes, ""]),
        ",".join(["99", "", *threes, ""]),
        ",".join(["", "Nobody Known", *threes, ""]),
        ",".join([number(field[2]), "Ludvik Moravec", *threes, ""]),
        ",".join(["", "", *threes, ""]),
        ",".join(["12x", "", *threes, ""]),
        ",".join([number(field[3]), "", *threes, "many"]),
    )

    assert refused(path) == [
        (2, "7", "A hole score is between 1 and 30; 0 cannot be."),
        (2, "8", "“x” is not a whole number of throws."),
        (3, "total", "the holes add up to 54"),
        (4, "member number", "Hale Oyelaran stands in row 3 already"),
        (5, "member number", "is not on the published tee sheet of this round"),
        (6, "name", "is not on the published tee sheet of this round"),
        (7, "member number", "this number is Dov Pennock's, the name is another"),
        (8, "member number", "nobody is named"),
        (9, "member number", "'12x' is not a member number"),
        (10, "total", "'many' is not a whole number"),
    ]


def test_two_of_one_name_need_their_numbers(event: Event, round_: Round, tmp_path: Path) -> None:
    twins = [build.make_entry(event, person=build.make_person("Quist", "Ivo")) for _ in range(2)]
    publish(round_, [twins])
    path = csv(tmp_path, ",".join(["name", *HOLES]), ",".join(["Ivo Quist", *["3"] * 18]))

    assert refused(path) == [(2, "name", "several players have this name")]


def test_too_few_columns_are_named_once_a_row(event: Event, field: list[Entry], tmp_path: Path) -> None:
    path = csv(tmp_path, "name,1,2,3", "Ludvik Moravec,3,3,3")

    assert refused(path) == [(2, "", "the file has no columns for the 18 holes of Upper")]


def test_the_same_list_again_says_nothing_new_and_a_mended_one_replaces_it(
    event: Event, field: list[Entry], tmp_path: Path
) -> None:
    heading = ",".join(["name", *HOLES])
    run(csv(tmp_path, heading, ",".join(["Ludvik Moravec", *["3"] * 18])))

    again = run(csv(tmp_path, heading, ",".join(["Ludvik Moravec", *["3"] * 18])))
    assert again.split() == ["players", "1", "cards", "saved", "0", "cards", "unchanged", "1",
                             "rows", "without", "a", "score", "0"]  # fmt: skip
    run(csv(tmp_path, heading, ",".join(["Ludvik Moravec", *["4"] * 18])))

    assert list(CardVersion.objects.order_by("number").values_list("number", "state")) == [
        (1, "superseded"),
        (2, "current"),
    ]


def test_what_somebody_typed_is_not_overwritten(
    event: Event, round_: Round, field: list[Entry], tmp_path: Path
) -> None:
    save(round_, 1, [line(field[0], 3)])

    out = run(csv(tmp_path, ",".join(["name", *HOLES]), ",".join(["Ludvik Moravec", *["4"] * 18])))

    assert "Typed otherwise, to be decided in the card room: groups 1." in out
    assert standing()["Moravec"] == (54, None)
    assert CardVersion.objects.get(number=2).state == "differs"


def test_a_player_without_a_score_is_left_out(event: Event, field: list[Entry], tmp_path: Path) -> None:
    path = csv(
        tmp_path,
        ",".join(["name", *HOLES, "total"]),
        ",".join(["Ludvik Moravec", *["DNF"] * 18, "DNF"]),
        ",".join(["Hale Oyelaran", *["3"] * 18, "54"]),
    )

    answer = json.loads(run(path, "--json"))

    assert (answer["players"], answer["blank_rows"]) == (1, [2])
    assert standing()["Moravec"] == (None, None)


def test_without_a_published_sheet_nothing_is_imported(event: Event, tmp_path: Path) -> None:
    path = csv(tmp_path, ",".join(["name", *HOLES]), ",".join(["Ludvik Moravec", *["3"] * 18]))

    with pytest.raises(CommandError, match=r"^Nothing was saved\. Round 1 has no published tee sheet\.$"):
        run(path)
    with pytest.raises(CommandError, match=r"^There is no event nowhere\.$"):
        call_command("import_scores", str(path), "--event", "nowhere", "--round", "1")
    with pytest.raises(CommandError, match=r"^quiet-pines has no round 9\.$"):
        call_command("import_scores", str(path), "--event", "quiet-pines", "--round", "9")
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        run(tmp_path / "none.csv")
