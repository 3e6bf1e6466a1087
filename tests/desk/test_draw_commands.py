"""Drawing and printing by command, and what the draw is told from above."""

import json
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

import build
import build_cards
from desk.above_the_draw import ended
from events.draw.models import Sheet
from events.draw.queries import view_of
from events.log.models import Act
from scoring.cards.services import mark_finished

pytestmark = pytest.mark.django_db


def run(capsys, *args: str) -> dict:
    call_command(*args, "--json")
    return json.loads(capsys.readouterr().out)


@pytest.fixture
def field(event):
    return build_cards.make_field(event, 8)


def test_the_first_round_at_random_and_the_same_seed_again(event, field, capsys):
    first = run(capsys, "draw", "--event", event.slug, "--round", "1", "--seed", "dice")
    again = run(capsys, "draw", "--event", event.slug, "--round", "1", "--seed", "dice")
    assert first == again
    assert (first["method"], first["state"], first["players"]) == ("random", "draft", 8)
    names = sorted(player["name"] for group in first["groups"] for player in group["players"])
    assert names == sorted(entry.person.name for entry in field)
    assert [group["starts_at"][11:16] for group in first["groups"]] == ["09:00", "09:00"]
    assert Act.objects.filter(action="draw.made").values_list("actor", flat=True)[0] == "command line"


def test_a_new_seed_is_made_and_told(event, field, capsys):
    seed = run(capsys, "draw", "--event", event.slug, "--round", "1")["seed"]
    assert seed == Sheet.objects.get().seed
    assert len(seed) == 8


def test_the_second_round_follows_the_scores(event, field, capsys):
    run(capsys, "draw", "--event", event.slug, "--round", "1", "--method", "rating", "--publish")
    round_ = event.rounds.get(number=1)
    for group in view_of(Sheet.objects.get()).groups:
        lines = []
        for member in group.members:
            place = [entry.pk for entry in field].index(member.entry_id)
            throws = [4] * place + [3] * (18 - place)
            lines.append(build_cards.line(field[place], throws, written_total=sum(throws)))
        build_cards.save(round_, group.number, lines)
    second = run(capsys, "draw", "--event", event.slug, "--round", "2")
    names = [[player["name"] for player in group["players"]] for group in second["groups"]]
    expected = [entry.person.name for entry in field]
    assert (second["method"], names) == ("score", [expected[:4], expected[4:]])


def test_what_is_refused_draws_nothing(event, field):
    with pytest.raises(CommandError, match=r"Nothing was drawn\. There are no scores yet"):
        call_command("draw", "--event", event.slug, "--round", "2")
    for args, words in [
        (("nowhere", "1"), "There is no event nowhere"),
        ((event.slug, "9"), "has no round 9"),
    ]:
        with pytest.raises(CommandError, match=words):
            call_command("draw", "--event", args[0], "--round", args[1])
    assert Sheet.objects.count() == 0


def test_a_sheet_that_breaks_a_rule_is_published_by_command_only_with_a_reason(event, capsys):
    build_cards.make_field(event, 2)
    args = ("draw", "--event", event.slug, "--round", "1", "--publish")
    with pytest.raises(CommandError, match="fewer than 3"):
        call_command(*args)
    assert Sheet.objects.count() == 0
    assert run(capsys, *args, "--keep", "an official walks along")["not_kept"] == []
    with pytest.raises(CommandError, match="say why"):
        call_command(*args, "--keep", "again")
    assert run(capsys, *args, "--keep", "again", "--reason", "a new draw")["version"] == 2


def test_as_a_table_for_people(event, field, capsys):
    call_command("draw", "--event", event.slug, "--round", "1", "--method", "rating", "--seed", "x")
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Round 1, version 1, draft: 8 players in 2 groups, rating, seed x"
    assert lines[1].split() == ["group", "pool", "start", "hole", "players"]
    assert lines[2].split()[:3] == ["1", "A", "09:00"]


def test_the_paper_of_a_round_goes_into_a_folder(event, field, capsys, tmp_path):
    out = tmp_path / "paper" / "round 1"
    with pytest.raises(CommandError, match="draw and publish it first"):
        call_command("print_round", "--event", event.slug, "--round", "1", "--out", str(out))
    run(capsys, "draw", "--event", event.slug, "--round", "1", "--publish")
    args = ("print_round", "--event", event.slug, "--round", "1", "--out", str(out))
    files = run(capsys, *args, "--site", "http://10.0.0.5:8400/")
    assert files["site"] == "http://10.0.0.5:8400"
    assert sorted(Path(name).name for name in files["files"]) == [
        "quiet-pines-round-1-cards.pdf",
        "quiet-pines-round-1-name.pdf",
        "quiet-pines-round-1-spares.pdf",
        "quiet-pines-round-1-time.pdf",
        "quiet-pines-round-1.pdf",
    ]
    assert all(Path(name).read_bytes().startswith(b"%PDF-") for name in files["files"])


def test_a_folder_that_cannot_be_made_is_named(event, field, capsys, tmp_path):
    run(capsys, "draw", "--event", event.slug, "--round", "1", "--publish")
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(CommandError, match="cannot be written"):
        call_command(
            "print_round", "--event", event.slug, "--round", "1", "--out", str(tmp_path / "file" / "x")
        )


def test_a_round_ends_for_a_division_with_its_last_group(event):
    men = build_cards.make_field(event, 6)
    women = [build.make_entry(event, "FA1") for _ in range(2)]
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [men[:3], [*men[3:5], women[0]], [men[5], women[1]]])
    assert ended(round_) == {"MA1": None, "FA1": None}
    for number, minutes in ((2, 150), (3, 120)):
        at = round_.first_start_at + timedelta(minutes=minutes)
        mark_finished(round=round_, group_number=number, at=at, actor=build.ACTOR, now=at)
    assert ended(round_) == {"MA1": None, "FA1": round_.first_start_at + timedelta(minutes=150)}
    at = round_.first_start_at + timedelta(minutes=170)
    mark_finished(round=round_, group_number=1, at=at, actor=build.ACTOR, now=at)
    assert ended(round_)["MA1"] == at
