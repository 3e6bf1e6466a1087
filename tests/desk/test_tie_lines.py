"""Cuts and ties on the day page."""

from typing import Any

import build
import build_cards
from desk.day import day_of
from events.draw.models import Sheet
from events.entries.models import Entry
from events.setup.models import Event
from scoring.playoffs.co_winners import name_co_winners
from scoring.standings.cut_setting import post_cut, set_cut

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def play(event: Event, number: int, scores: dict[Entry, int]) -> None:
    round_ = event.rounds.get(number=number)
    build_cards.publish(round_, [list(scores)])
    build_cards.save(round_, 1, [build_cards.line(entry, figure) for entry, figure in scores.items()])
    round_.cards.update(finished_at=build.NOW, returned_at=build.NOW)


def lines(event: Event) -> list[str]:
    return [line.text for line in day_of(event, build.NOW).todo if "tied" in line.text or "cut" in line.text]


def test_a_tie_for_first_place_is_told_once_every_card_is_in(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    play(event, 1, {one: 3, two: 3})
    assert lines(event) == []
    play(event, 2, {one: 3, two: 3})
    assert lines(event) == [
        "MA1: Ludvik Moravec and Hale Oyelaran are tied for first place; a playoff decides (1.09.B)"
    ]
    name_co_winners(division=event.divisions.get(code="MA1"), exception="danger", reason="dark", **FACTS)
    assert lines(event) == []


def test_a_cut_that_is_made_asks_for_its_list_and_who_is_out_lacks_no_group(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    for entry in (one, two):
        entry.checked_in_at = build.NOW
        entry.save()
    division = event.divisions.get(code="MA1")
    cut = set_cut(
        division=division, after_round=1, players=1, percent=None, ties="all", reason="late", **FACTS
    )
    play(event, 1, {one: 3, two: 4})
    assert lines(event) == ["MA1: the cut after round 1 is made: post who plays on"]
    post_cut(cut=cut, reason="", **FACTS)
    assert lines(event) == []
    build_cards.publish(event.rounds.get(number=2), [[one]])
    Sheet.objects.filter(round__number=2).update(inputs={"out": [two.pk]})
    assert not [line for line in day_of(event, build.NOW).todo if "in no group" in line.text]
