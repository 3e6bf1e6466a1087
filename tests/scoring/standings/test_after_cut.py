"""The draw after a cut: who made it, and nobody else."""

from typing import Any

import pytest
from django.urls import reverse

import build
import build_cards
from desk.above_the_draw import ABOVE
from events.draw.field import expected_on
from events.draw.models import Seat, Sheet
from events.draw.queries import view_of
from events.draw.services import make_draw
from events.entries.models import Entry
from events.setup.models import Event, Role
from events.setup.queries import rulebook_for
from scoring.standings.after_cut import out_before
from scoring.standings.cut_setting import decline, set_cut
from scoring.standings.queries import standings, totals_before

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def play(event: Event, number: int, scores: dict[Entry, int]) -> None:
    round_ = event.rounds.get(number=number)
    build_cards.publish(round_, [list(scores)])
    build_cards.save(round_, 1, [build_cards.line(entry, figure) for entry, figure in scores.items()])


def cut(event: Event, players: int, ties: str = "playoff") -> Any:
    division = event.divisions.get(code="MA1")
    return set_cut(
        division=division, after_round=1, players=players, percent=None, ties=ties, reason="late", **FACTS
    )


def draw(event: Event) -> Sheet:
    second = event.rounds.get(number=2)
    return make_draw(
        round=second,
        method=Sheet.Method.SCORE,
        seed="1",
        totals=totals_before(second),
        out=ABOVE.out_before(second),
        **FACTS,
    )


def seated(sheet: Sheet) -> set[int]:
    return set(Seat.objects.filter(sheet=sheet).values_list("entry_id", flat=True))


def test_only_who_made_the_cut_is_drawn_and_the_sheet_says_so(event: Event) -> None:
    field = build_cards.make_field(event, 6)
    play(event, 1, {entry: 3 + index // 3 for index, entry in enumerate(field)})
    cut(event, 3)
    sheet = draw(event)
    assert seated(sheet) == {entry.pk for entry in field[:3]}
    assert "Not drawn: 3 missed the cut." in sheet.notes
    expected = expected_on(view_of(sheet), rulebook_for(event))
    assert {person.key for person in expected.people} == seated(sheet)
    assert expected.absent == []


def test_who_declines_is_not_drawn_and_nobody_moves_up(event: Event) -> None:
    field = build_cards.make_field(event, 6)
    play(event, 1, {entry: 3 + index // 4 for index, entry in enumerate(field)})
    made = cut(event, 4)
    decline(cut=made, entry=field[0], undo=False, **FACTS)
    sheet = draw(event)
    assert seated(sheet) == {entry.pk for entry in field[1:4]}
    assert {"Not drawn: 1 declined to play on.", "Not drawn: 2 missed the cut."} <= set(sheet.notes)


def test_while_a_cut_is_tied_everybody_is_drawn_with_a_note(event: Event) -> None:
    field = build_cards.make_field(event, 4)
    play(event, 1, dict.fromkeys(field, 3))
    cut(event, 3)
    sheet = draw(event)
    assert len(seated(sheet)) == 4
    note = "MA1: the cut after round 1 is not decided (4 players are tied for 3 of the places)"
    assert any(text.startswith(note) for text in sheet.notes)


def test_without_a_cut_nothing_is_read(event: Event, django_assert_num_queries: Any) -> None:
    first, second = event.rounds.order_by("number")
    with django_assert_num_queries(0):
        assert out_before(first) == ({}, ())
    with django_assert_num_queries(1):
        assert out_before(second) == ({}, ())


@pytest.mark.parametrize("players", [2, 4])
def test_a_cut_before_the_round_costs_the_standings(
    event: Event, django_assert_num_queries: Any, players: int
) -> None:
    field = build_cards.make_field(event, players)
    play(event, 1, {entry: 3 + index for index, entry in enumerate(field)})
    cut(event, 1)
    second = event.rounds.select_related("event").get(number=2)
    with django_assert_num_queries(13):
        out, waiting = out_before(second)
    assert (set(out.values()), len(out), waiting) == ({"missed the cut"}, players - 1, ())


def test_a_card_that_changes_the_cut_is_told_on_the_draft(event: Event, client_as: Any) -> None:
    field = build_cards.make_field(event, 6)
    play(event, 1, {entry: 3 + index // 3 for index, entry in enumerate(field)})
    cut(event, 3, ties="all")
    draw(event)
    lines = [
        build_cards.line(entry, 5 if index == 0 else 3 + index // 3) for index, entry in enumerate(field)
    ]
    build_cards.save(event.rounds.get(number=1), 1, lines, base=1, source="desk", reason="misread")
    shown = (
        client_as(Role.DIRECTOR)
        .get(f"{reverse('draw:overview', args=[event.slug])}?round=2")
        .content.decode()
    )
    assert "Ludvik Moravec: missed the cut" in shown
    assert "3 more play on after the cut" in shown


def test_the_final_ends_with_the_cut_players_after_it(event: Event) -> None:
    field = build_cards.make_field(event, 4)
    play(event, 1, {entry: 3 + index // 2 for index, entry in enumerate(field)})
    cut(event, 2)
    play(event, 2, {field[0]: 5, field[1]: 4})
    (division,) = standings(event)
    assert division.finished
    assert [(row.standing.name, row.standing.place, row.standing.words) for row in division.rows] == [
        ("Hale Oyelaran", 1, "done"),
        ("Ludvik Moravec", 2, "done"),
        ("Niko Eskola", 3, "missed the cut"),
        ("Dov Pennock", 3, "missed the cut"),
    ]
