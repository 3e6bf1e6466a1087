"""Pages, words and strips of the board."""

from typing import Any

import pytest

import build
import build_cards
from events.draw.models import Group
from events.setup.models import Event
from scoring.standings.phone import phone_divisions
from scoring.standings.queries import standings
from scoring.standings.showing import Strip, pages, strip_of, worth_showing


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
    assert [len(page.rows) for page in made] == sizes
    assert [page.key for page in made] == [f"MA1-{number}" for number in range(len(sizes))]


def test_a_shared_place_is_written_once_on_each_page(event: Event) -> None:
    play(event, 1, [3] * 12)
    build.make_entry(event)
    made = pages(standings(event), show_town=True)
    assert [[row.place for row in page.rows] for page in made] == [
        ["1", *"=" * 6],
        ["1", *"=" * 4, ""],
    ]
    assert made[0].rows[1].place_words == "tied 1"
    assert made[0].foot == "page 1 of 2 · more of MA1 next"


def test_a_round_in_play_shows_earlier_rounds_and_its_own_run(event: Event) -> None:
    (one,) = play(event, 1, [3])
    play(event, 2, [[4, 2, *[None] * 16]], entries=[one])
    (page,) = pages(standings(event), show_town=True)
    assert (page.sub, page.labels, page.with_total) == ("round 2 of 2 · Upper layout, par 60", ("R1",), False)
    assert page.run_label == "this round"
    (row,) = page.rows
    assert (row.to_par, row.holes, [each.total for each in row.rounds]) == ("−6", "2", ["54"])
    assert row.strip == Strip(
        "1 hole under, 1 over, through 2", 162, over="M1 12h6v6h-6z", under="M10 18h6v6h-6z"
    )


def test_after_the_last_card_the_round_gets_its_column(event: Event) -> None:
    entries = play(event, 1, [3, 4])
    (page,) = pages(standings(event), show_town=True)
    assert (page.sub, page.labels) == ("after round 1 of 2 · Upper layout, par 60", ("R1",))
    play(event, 2, [3, 4], entries=entries)
    (page,) = pages(standings(event), show_town=True)
    assert (page.sub, page.labels, page.with_total) == ("after 2 rounds, all cards in", ("R1", "R2"), True)
    assert [row.total for row in page.rows] == ["108", "144"]


def test_who_has_no_place_says_why_and_has_no_run(event: Event) -> None:
    _, two = play(event, 1, [3, 4])
    two.status = "did_not_finish"
    two.save()
    (page,) = pages(standings(event), show_town=True)
    row = page.rows[1]
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
    assert [pages(standings(event), show_town=show)[0].rows[0].town for show in (True, False)] == [
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
    (division,) = phone_divisions(standings(event), show_town=False)
    (row,) = division.rows
    assert [(each.label, each.total, each.to_par, each.through) for each in row.rounds] == [
        ("R1", "54", "−6", ""),
        ("R2", "4", "+1", "1"),
    ]
    assert (row.line, row.find) == ("through 1", "ludvik moravec")
