"""Standings over all divisions: only among the same layouts."""

import json
from datetime import datetime
from typing import Any

import jsonschema
import pytest
import time_machine
from django.test import Client

import build
import build_cards
from events.entries.models import Entry
from events.setup.models import Event
from scoring.standings.cut_setting import set_cut
from scoring.standings.overall import overall_of
from scoring.standings.queries import standings

FACTS: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def play(event: Event, number: int, scores: dict[Entry, int], group: int = 1, **more: Any) -> None:
    round_ = event.rounds.get(number=number)
    build_cards.publish(round_, [list(scores)], **more)
    holes = more["layout"].layout_holes.count() if more else 18
    lines = [build_cards.line(entry, [figure] * holes) for entry, figure in scores.items()]
    build_cards.save(round_, group, lines)


def shown(event: Event) -> list[tuple[tuple[str, ...], list[tuple[str, int | None, bool]]]]:
    lists, _ = overall_of(standings(event))
    return [
        (
            each.codes,
            [(row.standing.division, row.standing.place, row.standing.tied) for row in each.list.rows],
        )
        for each in lists
    ]


def test_divisions_of_the_same_layout_are_ranked_together(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    other = build.make_entry(event, "FA1")
    play(event, 1, {one: 3, two: 4, other: 3})
    assert shown(event) == [(("MA1", "FA1"), [("FA1", 1, True), ("MA1", 1, True), ("MA1", 3, False)])]
    assert overall_of(standings(event))[1] == ()


def test_nobody_is_ranked_across_layouts(event: Event) -> None:
    (one,) = build_cards.make_field(event, 1)
    other = build.make_entry(event, "FA1")
    short = build.make_layout(event, "Short", pars=(3, 3, 4), tees="short")
    build.use_layout(event.rounds.get(number=1), short, "FA1")
    play(event, 1, {one: 3})
    assert other.pk
    assert shown(event) == []
    assert overall_of(standings(event))[1] == ("MA1", "FA1")


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


AT_START = datetime.fromisoformat("2026-06-12T08:59:00+00:00")


def get(event: Event, path: str, **query: str) -> Any:
    with time_machine.travel(AT_START, tick=False):
        return Client().get(f"/board/{event.slug}/{path}", query)


def mixed(event: Event, players: int) -> list[Entry]:
    """So many of each of two divisions after a round on one layout, MA1 a throw a hole better."""
    mine = [build.make_entry(event) for _ in range(players)]
    others = [build.make_entry(event, "FA1") for _ in range(players)]
    play(event, 1, {**dict.fromkeys(mine, 3), **dict.fromkeys(others, 4)})
    return [*mine, *others]


def test_it_says_how_far_all_are_and_lists_the_rounds_to_come(event: Event) -> None:
    mixed(event, 1)
    (found,), alone = overall_of(standings(event))
    assert (found.list.code, found.list.name, alone) == ("overall", "MA1, FA1", ())
    assert [(each.number, each.begun) for each in found.list.rounds] == [(1, True), (2, False)]
    assert (found.list.by_total, found.list.finished) == (True, False)


def test_the_public_data_are_as_described(event: Event) -> None:
    mixed(event, 2)
    body = json.loads(get(event, "overall.json").content)
    described = json.loads(get(event, "openapi.json").content)
    assert "/overall.json" in described["paths"]
    schema = {"$ref": "#/components/schemas/Overall", "components": described["components"]}
    jsonschema.Draft202012Validator(schema).validate(body)
    (found,) = body["lists"]
    assert (found["divisions"], body["alone"]) == (["MA1", "FA1"], [])
    assert [(each["division"], each["place"]) for each in found["players"]] == [
        ("MA1", 1), ("MA1", 1), ("FA1", 3), ("FA1", 3),
    ]  # fmt: skip


def test_where_nobody_can_be_compared_the_public_data_have_no_list(event: Event) -> None:
    build_cards.make_field(event, 1)
    build.make_entry(event, "FA1")
    body = json.loads(get(event, "overall.json").content)
    assert (body["lists"], body["alone"]) == ([], ["MA1", "FA1"])


def test_a_phone_shows_all_together_when_it_is_asked(event: Event) -> None:
    mixed(event, 1)
    page = get(event, "phone/").content.decode()
    assert '<a href="?division=overall">overall</a>' in page
    together = get(event, "phone/", division="overall").content.decode()
    assert together.count("<section data-division>") == 1
    assert '<a href="?division=overall" aria-current="page">overall</a>' in together
    assert '<a href="?division=MA1">MA1</a>' in together
    assert "<small>FA1 · done" in together


def test_a_phone_offers_nothing_where_nobody_can_be_compared(event: Event) -> None:
    build_cards.publish(event.rounds.get(number=1), [build_cards.make_field(event, 1)])
    for query in ({}, {"division": "overall"}):
        page = get(event, "phone/", **query).content.decode()
        assert ("overall" in page, "Ludvik Moravec" in page) == (False, True)


def test_of_a_large_field_a_phone_shows_the_top(event: Event, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scoring.standings.phone.WHOLE", 3)
    mixed(event, 2)
    page = get(event, "phone/", division="overall").content.decode()
    assert page.count('<li data-find="') == 3
    assert "1 more: find them by name." in page


def test_the_board_shows_the_top_of_all_on_a_page_of_its_own_where_the_screen_asks(event: Event) -> None:
    mixed(event, 3)
    for path in ("", "parts/"):
        plain = get(event, path, page="overall-0" if path else "9", rows="4").content.decode()
        assert "overall" not in plain
    page = get(event, "parts/", page="overall-0", rows="4", overall="1").content.decode()
    assert 'data-page="overall-0"' in page
    assert page.count('<th scope="row" class="player') == 4
    assert "<small><b>FA1</b></small>" in page
    assert "overall=1" in get(event, "", overall="1").content.decode()


@pytest.mark.parametrize("players", [1, 3])
@pytest.mark.parametrize(
    ("path", "query"),
    [
        ("overall.json", {}),
        ("phone/", {"division": "overall"}),
        ("phone/parts/", {"division": "overall"}),
        ("parts/", {"page": "overall-0", "overall": "1"}),
    ],
)
def test_all_together_takes_no_query_more(
    event: Event, django_assert_num_queries: Any, players: int, path: str, query: dict[str, str]
) -> None:
    mixed(event, players)
    with django_assert_num_queries(19):  # event; end of the log; 17 as the board
        assert get(event, path, **query).status_code == 200
    with django_assert_num_queries(2):
        get(event, path, **query)
