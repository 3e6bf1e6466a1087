"""Pages, words and strips of the board."""

from typing import Any

import pytest

import build
import build_cards
from events.draw.models import Group
from events.setup.models import Event
from scoring.cards.models import StandingLine
from scoring.standings.board_turns import turns
from scoring.standings.cut_setting import set_cut
from scoring.standings.models import Placing
from scoring.standings.phone import chosen, followed_in, found_in, phone_division
from scoring.standings.queries import standings
from scoring.standings.showing import Page, lengths, page_at, worth_showing
from scoring.standings.strip_drawn import Strip, strip_of


def pages(divisions: Any, *, show_town: bool, room: int = 12) -> list[Page]:
    found = turns(lengths(divisions), room)
    return [page_at(divisions, found, at, show_town=show_town) for at in range(len(found))]


def rows_of(page: Page) -> list[Any]:
    return [row for division in page.divisions for row in division.rows]


def play(
    event: Event, number: int, scores: list[Any], division: str = "MA1", entries: Any = None
) -> list[Any]:
    entries = entries or build_cards.make_field(event, len(scores), division)
    round_ = event.rounds.get(number=number)
    build_cards.publish(round_, [entries])
    build_cards.save(
        round_, 1, [build_cards.line(entry, score) for entry, score in zip(entries, scores, strict=True)]
    )
    return entries


@pytest.mark.parametrize(("players", "sizes"), [(1, [1]), (12, [12]), (13, [7, 6]), (25, [9, 9, 7])])
def test_a_division_is_parted_into_pages_of_like_size(event: Event, players: int, sizes: list[int]) -> None:
    entries = [build.make_entry(event) for _ in range(players)]
    build_cards.publish(event.rounds.get(number=1), [entries])
    made = pages(standings(event), show_town=True)
    assert [len(rows_of(page)) for page in made] == sizes
    assert [page.key for page in made] == [f"MA1-{number}" for number in range(len(sizes))]


def test_a_shared_place_is_written_once_on_each_page(event: Event) -> None:
    play(event, 1, [3] * 12)
    build.make_entry(event)
    made = pages(standings(event), show_town=True)
    assert [[row.place for row in rows_of(page)] for page in made] == [
        ["1", *"=" * 6],
        ["1", *"=" * 4, ""],
    ]
    assert rows_of(made[0])[1].place_words == "tied 1"
    assert made[0].foot == "page 1 of 2 · more of MA1 next"


def test_a_round_in_play_shows_earlier_rounds_and_its_own_run(event: Event) -> None:
    (one,) = play(event, 1, [3])
    play(event, 2, [[4, 2, *[None] * 16]], entries=[one])
    (page,) = pages(standings(event), show_town=True)
    assert (page.sub, page.columns.labels, page.columns.with_total) == (
        "round 2 of 2 · Upper layout, par 60",
        ("R1",),
        False,
    )
    assert page.columns.run_label == "this round"
    (row,) = rows_of(page)
    assert (row.to_par, row.holes, [each.total for each in row.rounds]) == ("−6", "2", ["54"])
    assert row.strip == Strip(
        "1 hole under, 1 over, through 2", 162, over="M1 12h6v6h-6z", under="M10 18h6v6h-6z"
    )


def test_after_the_last_card_the_round_gets_its_column(event: Event) -> None:
    entries = play(event, 1, [3, 4])
    (page,) = pages(standings(event), show_town=True)
    assert (page.sub, page.columns.labels) == ("after round 1 of 2 · Upper layout, par 60", ("R1",))
    play(event, 2, [3, 4], entries=entries)
    (page,) = pages(standings(event), show_town=True)
    assert (page.sub, page.columns.labels, page.columns.with_total) == (
        "after 2 rounds, all cards in",
        ("R1", "R2"),
        True,
    )
    assert [row.total for row in rows_of(page)] == ["108", "144"]


def test_who_has_no_place_says_why_and_has_no_run(event: Event) -> None:
    _, two = play(event, 1, [3, 4])
    two.status = "did_not_finish"
    two.save()
    (page,) = pages(standings(event), show_town=True)
    row = rows_of(page)[1]
    assert (row.place, row.to_par, row.words, row.strip) == ("", "–", "did not finish", None)
    assert row.rounds[0].total == "72"


def test_the_run_begins_at_the_start_hole_and_is_cut_at_three_throws(event: Event) -> None:
    play(event, 1, [[12, *[None] * 16, 5]])
    Group.objects.update(start=event.layouts.get().layout_holes.get(position=18))
    (division,) = standings(event)
    strip = strip_of(division.rows[0].rounds[0])
    assert strip is not None
    assert strip.over == "M1 12h6v6h-6zM10 0h6v18h-6z"


def test_towns_are_left_out_where_the_event_says_so(event: Event) -> None:
    entry = build.make_entry(event, person=build.make_person(town="Tarn Edge"))
    build_cards.publish(event.rounds.get(number=1), [[entry]])
    assert [
        pages(standings(event), show_town=show)[0].divisions[0].rows[0].town for show in (True, False)
    ] == [
        "Tarn Edge",
        "",
    ]


def test_a_division_that_nothing_is_known_of_is_not_shown(event: Event) -> None:
    build.make_entry(event, "FA1")
    build.make_entry(event, "FA1", status="did_not_finish")
    play(event, 1, [3])
    assert [(each.code, worth_showing(each)) for each in standings(event)] == [("MA1", True), ("FA1", False)]


def test_a_phone_lists_every_round_that_was_begun(event: Event) -> None:
    (one,) = play(event, 1, [3])
    play(event, 2, [[4, *[None] * 17]], entries=[one])
    (standing,) = standings(event)
    division = phone_division(standing, show_town=False)
    (row,) = division.rows
    assert [(each.label, each.total, each.to_par, each.through) for each in row.rounds] == [
        ("R1", "54", "−6", ""),
        ("R2", "4", "+1", "1"),
    ]
    assert (row.line, row.find) == ("through 1", "ludvik moravec")


def test_small_divisions_share_a_page_under_headings_of_their_own(event: Event) -> None:
    for code, count in (("MA1", 4), ("FA1", 3)):
        for _ in range(count):
            build.make_entry(event, code)
    build_cards.publish(event.rounds.get(number=1), [list(event.entries.all())])
    (page,) = pages(standings(event), show_town=True)
    assert (page.title, page.name, page.sub, page.foot) == ("MA1 · FA1", "", "", "page 1 of 1")
    assert [(each.code, len(each.rows)) for each in page.divisions] == [("MA1", 4), ("FA1", 3)]
    assert page.lines == 9
    assert [page.key for page in pages(standings(event), show_town=True, room=8)] == ["MA1-0", "FA1-0"]


@pytest.mark.parametrize(
    ("name", "size"),
    [("Bo", ""), ("I" * 20, ""), ("I" * 21, "long"), ("山" * 11, "long"), ("I" * 120, "longer")],
)
def test_a_long_name_is_set_smaller_and_a_wide_letter_counts_two(event: Event, name: str, size: str) -> None:
    person = build.make_person(name[60:], name[:60]) if len(name) > 60 else build.make_person(name, "")
    entry = build.make_entry(event, person=person)
    build_cards.publish(event.rounds.get(number=1), [[entry]])
    assert rows_of(pages(standings(event), show_town=True)[0])[0].size == size


def test_a_phone_shows_a_large_field_one_division_at_a_time(event: Event) -> None:
    small = [build.make_entry(event, code) for code in ("MA1", "FA1")]
    build_cards.publish(event.rounds.get(number=1), [small])
    assert [each.code for each in chosen(standings(event), "")] == ["MA1", "FA1"]
    for _ in range(120):
        build.make_entry(event, "MA1")
    found = standings(event)
    assert [[each.code for each in chosen(found, code)] for code in ("", "FA1", "XX")] == [
        ["MA1"],
        ["FA1"],
        ["MA1"],
    ]
    assert chosen([], "FA1") == ()


def test_whom_a_phone_follows_is_found_in_every_division(event: Event) -> None:
    entries = [*build_cards.make_field(event, 3), build.make_entry(event, "FA1")]
    build_cards.publish(event.rounds.get(number=1), [entries])
    wanted = {entries[1].pk, entries[3].pk, 10**9}
    followed = followed_in(standings(event), show_town=True, ids=wanted)
    assert [(row.shown.entry_id, row.division) for row in followed] == [
        (entries[1].pk, "MA1"),
        (entries[3].pk, "FA1"),
    ]
    (found,) = found_in(standings(event), show_town=True, q="ÔYEL")
    assert [row.shown.name for row in found.rows] == ["Hale Oyelaran"]


def test_the_line_of_a_cut_is_named_where_it_is_drawn(event: Event) -> None:
    division = event.divisions.get(code="MA1")
    set_cut(
        division=division, after_round=1, players=3, percent=None, ties="all", reason="late",
        actor=build.ACTOR, now=build.NOW,
    )  # fmt: skip
    play(event, 1, [3, 4, 5, 6])
    first, second = pages(standings(event), show_town=True, room=3)
    assert first.sub == "after round 1 of 2 · Upper layout, par 60 · cut after round 1: 3 play on"
    assert second.sub.endswith("par 60 · dashed line: cut after round 1: 3 play on")
    assert [row.cut for row in rows_of(second)] == ["", "cut after round 1: 3 play on"]


@pytest.mark.parametrize(
    ("how", "ranks", "words"),
    [
        ("playoff", [2, 1], "Hale Oyelaran won the playoff"),
        ("co-winners", [1, 1], "co-winners: Ludvik Moravec, Hale Oyelaran"),
    ],
)
def test_the_page_of_the_winners_says_what_broke_the_tie(
    event: Event, how: str, ranks: list[int], words: str
) -> None:
    entries = play(event, 1, [3, 3, 4])
    play(event, 2, [3, 3, 4], entries=entries)
    for entry, rank in zip(entries, ranks, strict=False):
        Placing.objects.create(entry=entry, how=how, rank=rank, reason="rain", at=build.NOW, by="x")
    first, second = pages(standings(event), show_town=True, room=2)
    assert first.sub == f"after 2 rounds, all cards in · {words}"
    assert second.sub == "after 2 rounds, all cards in"


def test_of_a_radio_call_alone_no_run_is_drawn(event: Event) -> None:
    """A line without bars would say par on every hole."""
    play(event, 1, [None])
    StandingLine.objects.update(called_through=12, called_to_par=3)
    (division,) = standings(event)
    played = division.rows[0].rounds[0]
    assert (played.result.played, strip_of(played)) == (12, None)
