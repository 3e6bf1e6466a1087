"""The staff's pages of the standings, the sheet and the command."""

import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.urls import reverse

import build
import build_cards
import pdf_pages
from events.entries.models import Entry
from events.setup.models import Event, Role
from scoring.playoffs.services import Agreed, begin
from scoring.standings.cut_setting import decline, set_cut
from scoring.standings.paper import standings_pdf
from scoring.standings.queries import standings
from scoring.standings.working import working_of


@pytest.fixture
def field(event: Event) -> list[Entry]:
    """Three of MA1 (two tied, one with additional penalties) and one of FA1, after round 1."""
    mine = build_cards.make_field(event, 3)
    other = build.make_entry(event, "FA1", person=build.make_person("Fenwick", "Oda", town="Tarn Edge"))
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[*mine, other]])
    lines = [build_cards.line(entry, 3) for entry in (*mine[:2], other)]
    late = build_cards.line(mine[2], 3, additional=2, additional_reason="late card")
    build_cards.save(round_, 1, [*lines, late])
    return [*mine, other]


def page(event: Event, client: Any, name: str = "overview", *args: Any, **query: Any) -> str:
    answer = client.get(reverse(f"standings:{name}", args=[event.slug, *args]), query)
    assert answer.status_code == 200
    return str(answer.content.decode())


@pytest.mark.usefixtures("field")
def test_a_division_at_a_time(event: Event, client_as: Any) -> None:
    client = client_as(Role.VIEWER)
    first, other = page(event, client), page(event, client, division="FA1")
    assert ("Ludvik Moravec" in first, "Oda Fenwick" in first) == (True, False)
    assert ("Ludvik Moravec" in other, "Oda Fenwick" in other) == (False, True)
    assert first.count("<b>T1</b>") == 2
    assert "<b>3</b>" in first


def test_before_anybody_is_entered(event: Event, client_as: Any) -> None:
    client = client_as(Role.VIEWER)
    assert "Nobody is entered yet." in page(event, client)
    answer = client.get(reverse("standings:pdf", args=[event.slug]), follow=True)
    assert "Nobody is entered yet. There is nothing to print." in answer.content.decode()


def test_the_working_shows_every_hole_and_the_sum(event: Event, field: list[Entry], client_as: Any) -> None:
    shown = page(event, client_as(Role.VIEWER), "player", field[2].pk)
    assert "54 throws + 2 additional (late card) = 56; par 60: −4." in shown
    assert "Total: 56 throws." in shown
    assert "808.D" in shown


def test_the_working_adds_the_rounds(event: Event, field: list[Entry]) -> None:
    round_ = event.rounds.get(number=2)
    build_cards.publish(round_, [field[:1]])
    build_cards.save(round_, 1, [build_cards.line(field[0], [4, 4, *[None] * 16])])
    division = standings(event)[0]
    (row,) = [row for row in division.rows if row.entry_id == field[0].pk]
    working = working_of(division, row)
    assert working.rounds[1].words == "8 throws; par of the 2 holes played 6: +2."
    assert working.sentences == (
        "Total: 54 + 8 = 62 throws.",
        "Against par: −6 +2 = −4.",
        "Compared in MA1 by score against par over the holes played.",
        "Down 1 since the round before.",
    )


def test_who_has_no_place_is_told_why(event: Event, field: list[Entry], client_as: Any) -> None:
    field[0].status, field[0].left_reason = "disqualified", "a reason"
    field[0].save()
    shown = page(event, client_as(Role.VIEWER), "player", field[0].pk)
    assert "No place: disqualified." in shown
    assert "a reason" not in shown


def test_somebody_of_another_event_is_not_found(event: Event, client_as: Any) -> None:
    stranger = build.make_entry(build.make_event("other-pines"))
    address = reverse("standings:player", args=[event.slug, stranger.pk])
    assert client_as(Role.VIEWER).get(address).status_code == 404


@pytest.mark.usefixtures("field")
def test_the_sheet_has_the_places_and_the_missing_cards(event: Event, client_as: Any) -> None:
    late = build.make_entry(event, person=build.make_person("Zander", "Ylva"))
    build_cards.publish(event.rounds.get(number=2), [[late]])
    build_cards.save(event.rounds.get(number=2), 1, [build_cards.line(late, 3)])
    (sheet,) = pdf_pages.read(standings_pdf(event, through_round=1, now=build.NOW))
    assert "T1 Hale Oyelaran −6 54 54 18" in sheet.text
    assert "T1 Ludvik Moravec −6 54 54 18" in sheet.text
    assert "printed Fri 12 June 07:00" in sheet.text
    (whole,) = pdf_pages.read(standings_pdf(event, now=build.NOW))
    assert "1 player has a card missing and no place." in whole.text
    answer = client_as(Role.VIEWER).get(reverse("standings:pdf", args=[event.slug]), {"division": "FA1"})
    (one,) = pdf_pages.read(answer.content)
    assert ("Oda Fenwick" in one.text, "Moravec" in one.text) == (True, False)


@pytest.mark.parametrize("players", [1, 3])
def test_pages_and_sheet_take_the_same_queries(
    event: Event, client_as: Any, django_assert_num_queries: Any, players: int
) -> None:
    field = build_cards.make_field(event, players)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [field])
    build_cards.save(round_, 1, [build_cards.line(entry, 3) for entry in field])
    client = client_as(Role.VIEWER)
    # session, account, event, role, and 12 of the standings
    with django_assert_num_queries(16):
        page(event, client)
    with django_assert_num_queries(16):
        page(event, client, "player", field[0].pk)
    with django_assert_num_queries(12):
        standings_pdf(event, now=build.NOW)


def command(*words: str) -> str:
    out = StringIO()
    call_command("standings", *words, stdout=out)
    return out.getvalue()


@pytest.mark.usefixtures("field")
def test_the_command_prints_a_table(event: Event) -> None:
    lines = command("--event", event.slug).splitlines()
    assert lines[0] == "MA1 Mixed Amateur 1, after round 1 of 2 · Upper layout, par 60"
    assert lines[1] == "  T1 Ludvik Moravec   −6   54   54   –  done"
    assert lines[3] == "   3 Dov Pennock      −4   56   56   –  done"


def test_the_command_prints_json(event: Event, field: list[Entry]) -> None:
    divisions = json.loads(command("--event", event.slug, "--json", "--round", "1"))
    assert [division["division"] for division in divisions] == ["MA1", "FA1"]
    assert divisions[1]["players"] == [
        {
            "entry": field[3].pk,
            "place": 1,
            "tied": False,
            "name": "Oda Fenwick",
            "member_number": field[3].person.member_number,
            "to_par": -6,
            "total": 54,
            "rounds": [54],
            "holes_played": 18,
            "state": "done",
            "decided": "",
            "made_cut": None,
        }
    ]


def test_the_command_refuses_in_words(event: Event) -> None:
    with pytest.raises(CommandError, match=r"There is no event nowhere\."):
        command("--event", "nowhere")
    with pytest.raises(CommandError, match=r"Quiet Pines Open has no round 7\."):
        command("--event", event.slug, "--round", "7")
    assert command("--event", event.slug) == "Nobody is entered yet.\n"


def test_the_working_and_the_sheet_say_who_missed_the_cut_and_who_won_the_playoff(
    event: Event, client_as: Any
) -> None:
    field = build_cards.make_field(event, 4)
    facts: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}
    division = event.divisions.get(code="MA1")
    cut = set_cut(
        division=division, after_round=1, players=3, percent=None, ties="all", reason="late", **facts
    )
    for number, entries in ((1, field), (2, field[:2])):
        round_ = event.rounds.get(number=number)
        build_cards.publish(round_, [entries])
        lines = [build_cards.line(entry, 4 if entry == field[3] else 3) for entry in entries]
        build_cards.save(round_, 1, lines)
    decline(cut=cut, entry=field[2], undo=False, **facts)
    agreed = Agreed(seed="1", declined=[field[0].pk])
    begin(division=division, after_round=0, agreed=agreed, **facts)
    client = client_as(Role.VIEWER)
    said = [page(event, client, "player", entry.pk) for entry in field]
    assert "and did not win the playoff; its throws count in no round" in said[0]
    assert "and won the playoff; its throws count in no round" in said[1]
    assert "Qualified and declined to play on: last of the qualifiers" in said[2]
    assert "Missed the cut: stands after all who played on" in said[3]
    (sheet,) = pdf_pages.read(standings_pdf(event, divisions=["MA1"], now=build.NOW))
    assert "missed the cut" in sheet.text
    assert "declined to play on" in sheet.text
    assert sheet.text.count("playoff") == 2
    shown = page(event, client)
    assert "cut after round 1: 3 play on" in shown
    assert "Hale Oyelaran won the playoff for first place." in shown


@pytest.mark.usefixtures("field")
def test_all_divisions_together_on_one_page(event: Event, client_as: Any) -> None:
    shown = page(event, client_as(Role.VIEWER), division="overall")
    assert "MA1, FA1" in shown
    assert shown.count("<b>T1</b>") == 3
    assert shown.count("<b>4</b>") == 1
    empty = page(event, client_as(Role.VIEWER), division="overall", round=0)
    assert "No two divisions played the same layouts yet" in empty
