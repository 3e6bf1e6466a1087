"""Standings over all divisions: only among the same layouts."""

from typing import Any

import build
import build_cards
from events.entries.models import Entry
from events.setup.models import Event
from scoring.standings.cut_setting import set_cut
from scoring.standings.loading import load
from scoring.standings.overall import overall_of

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def play(event: Event, number: int, scores: dict[Entry, int], group: int = 1, **more: Any) -> None:
    round_ = event.rounds.get(number=number)
    build_cards.publish(round_, [list(scores)], **more)
    holes = more["layout"].layout_holes.count() if more else 18
    lines = [build_cards.line(entry, [figure] * holes) for entry, figure in scores.items()]
    build_cards.save(round_, group, lines)


def shown(event: Event) -> list[tuple[tuple[str, ...], list[tuple[str, int | None, bool]]]]:
    lists, _ = overall_of(load(event))
    return [
        (each.codes, [(row.division, row.standing.place, row.standing.tied) for row in each.rows])
        for each in lists
    ]


def test_divisions_of_the_same_layout_are_ranked_together(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    other = build.make_entry(event, "FA1")
    play(event, 1, {one: 3, two: 4, other: 3})
    assert shown(event) == [(("MA1", "FA1"), [("FA1", 1, True), ("MA1", 1, True), ("MA1", 3, False)])]
    assert overall_of(load(event))[1] == ()


def test_nobody_is_ranked_across_layouts(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    other = build.make_entry(event, "FA1")
    short = build.make_layout(event, "Short", pars=(3, 3, 4), tees="short")
    build.use_layout(event.rounds.get(number=1), short, "FA1")
    play(event, 1, {one: 3})
    assert other.pk
    assert shown(event) == []
    assert overall_of(load(event))[1] == ("MA1", "FA1")


def test_a_later_round_on_another_layout_ends_the_common_list(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    other = build.make_entry(event, "FA1")
    short = build.make_layout(event, "Short", pars=(3, 3, 4), tees="short")
    build.use_layout(event.rounds.get(number=2), short, "FA1")
    play(event, 1, {one: 3, other: 3})
    assert len(shown(event)) == 1
    play(event, 2, {other: 3}, layout=short)
    assert shown(event) == []


def test_before_a_score_there_is_no_list(event: Event) -> None:
    build_cards.make_field(event, 1)
    build.make_entry(event, "FA1")
    assert shown(event) == []


def test_who_missed_a_cut_stands_after_who_plays_on(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    other = build.make_entry(event, "FA1")
    division = event.divisions.get(code="MA1")
    set_cut(division=division, after_round=1, players=1, percent=None, ties="all", reason="late", **FACTS)
    play(event, 1, {one: 3, two: 4, other: 5})
    play(event, 2, {one: 3, other: 5})
    assert shown(event)[0][1] == [("MA1", 1, False), ("FA1", 2, False), ("MA1", 3, False)]
