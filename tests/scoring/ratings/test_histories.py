"""Histories brought in, compared with what was entered, and taken over by the director."""

from datetime import date
from typing import Any

import pytest

import build
from build_ratings import entered
from events.entries.models import Entry
from events.log.models import Act
from events.setup.models import Event
from scoring.ratings.histories import (
    AdoptionRefused,
    HistoryRefused,
    adopt_missing,
    adopt_rating,
    bring_in_history,
    compared,
    estimates_of,
)
from scoring.ratings.models import History, PastRound

BY: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def bring(event: Event, *rows: str, heading: str = "member number,date,rating") -> Any:
    data = "\n".join([heading, *rows]).encode()
    return bring_in_history(event=event, name="history.csv", data=data, **BY)


def rows_of(entry: Entry, *ratings: int | str) -> list[str]:
    number = entry.person.member_number
    return [f"{number},2026-05-{day:02d},{rating}" for day, rating in enumerate(ratings, start=1)]


def test_rounds_go_to_whom_they_belong_and_strangers_are_named(event: Event) -> None:
    one, two = entered(event, 900), entered(event, 950)
    done = bring(event, *rows_of(one, 905, "", 907), *rows_of(two, 940), "999999,2026-05-01,880")
    assert (done.rounds, done.players, done.strangers) == (4, 2, ("#999999",))
    found = estimates_of(event)
    assert (found[one.person_id].rating, found[two.person_id].rating) == (906, 940)
    assert Act.objects.get(action="rating.history").detail == {"rounds": 4, "players": 2, "left_out": 1}


def test_a_name_is_enough_where_only_one_has_it(event: Event) -> None:
    person = build.make_person("Moravec", "Ludvik")
    entry = build.make_entry(event, person=person)
    bring(event, "Ludvik Moravec,2026-05-01,890", heading="player,date,rating")
    assert estimates_of(event)[entry.person_id].rating == 890


def test_a_newer_list_replaces_an_older_one_of_the_same_player_alone(event: Event) -> None:
    one, two = entered(event, 900), entered(event, 950)
    bring(event, *rows_of(one, 800), *rows_of(two, 940))
    bring(event, *rows_of(one, 910))
    found = estimates_of(event)
    assert (found[one.person_id].rating, found[two.person_id].rating) == (910, 940)
    assert PastRound.objects.count() == 3


@pytest.mark.parametrize(
    ("heading", "row", "column", "problem", "mend"),
    [
        ("member number,date,rating", "70999,soon,900", "date", "'soon'", "2025-03-14"),
        ("member number,date,rating", "70999,2026-05-01,high", "rating", "'high' is not a rating", "925"),
        ("member number,date,rating", "70999,2026-05-01,1300", "rating", "'1300'", "correct it"),
        ("member number,date,rating", "70999,,900", "date", "is blank", "2026-05-30"),
        (
            "member number,date,rating",
            "70999,2026-07-01,900",
            "date",
            "lies ahead of today",
            "correct the date",
        ),
        ("date,rating", "2026-05-01,900", "player", "does not say whose round it is", "member number"),
        ("player,date,rating", "Ines Halvorsen,2026-05-01,900", "player", "several", "member number"),
        ("member number,rating", "70999,900", "date", "no column is headed", "member number, rating"),
        ("member number,date,rating", "1,2026-05-01,900", "", "belongs to anybody", "member number"),
    ],
)
def test_every_refusal_names_row_column_and_mend(
    event: Event, heading: str, row: str, column: str, problem: str, mend: str
) -> None:
    for _ in range(2):
        build.make_entry(event, person=build.make_person("Halvorsen", "Ines"))
    build.make_entry(event, person=build.make_person("Quist", "Ivo", member_number=70999))
    with pytest.raises(HistoryRefused) as refused:
        bring(event, row, heading=heading)
    (found,) = refused.value.problems
    assert (found.row, found.column) == ((2 if "headed" not in problem else 1) if column else None, column)
    assert problem in found.problem
    assert mend in found.mend
    assert not History.objects.exists()


def test_entered_ratings_far_from_the_history_are_asked_about(event: Event) -> None:
    far, near, none, unknown = (entered(event, rating) for rating in (900, 900, None, 870))
    bring(event, *rows_of(far, 931), *rows_of(near, 909), *rows_of(none, 880))
    found = {row.entry.pk: row for row in compared(event)}
    assert found[far.pk].differs == "31 points above what is entered"
    assert (found[near.pk].differs, found[near.pk].gap) == ("", 9)
    assert found[none.pk].differs == "no rating is entered"
    assert (found[unknown.pk].estimate, found[unknown.pk].gap) == (None, None)
    assert [bool(row.differs) for row in compared(event)] == [True, True, False, False]


def test_nothing_is_overwritten_until_the_director_takes_it_over(event: Event) -> None:
    entry = entered(event, 900)
    bring(event, *rows_of(entry, 930, 932))
    entry.refresh_from_db()
    assert entry.rating == 900
    adopt_rating(entry=entry, rating=931, **BY)
    entry.refresh_from_db()
    assert (entry.rating, entry.rating_date, entry.rated_rounds) == (931, date(2026, 5, 2), 2)
    act = Act.objects.get(action="rating.adopted")
    assert (act.detail["old"]["rating"], act.detail["new"]["rating"]) == (900, 931)


def test_everybody_without_a_rating_gets_the_estimate_and_nobody_else(event: Event) -> None:
    none, far, unknown = entered(event, None), entered(event, 900), entered(event, None)
    bring(event, *rows_of(none, 880), *rows_of(far, 940))
    assert adopt_missing(event=event, **BY) == 1
    for entry, rating in ((none, 880), (far, 900), (unknown, None)):
        entry.refresh_from_db()
        assert entry.rating == rating
    assert adopt_missing(event=event, **BY) == 0


def test_a_figure_that_the_history_no_longer_gives_is_not_taken_over(event: Event) -> None:
    entry, other = entered(event, 900), entered(event, 910)
    bring(event, *rows_of(entry, 930))
    for asked, rating in ((entry, 931), (other, 930)):
        with pytest.raises(AdoptionRefused, match="says something else by now"):
            adopt_rating(entry=asked, rating=rating, **BY)


@pytest.mark.parametrize("players", [1, 3])
def test_comparing_takes_four_queries(event: Event, django_assert_num_queries: Any, players: int) -> None:
    entries = [entered(event, 900) for _ in range(players)]
    bring(event, *(row for entry in entries for row in rows_of(entry, 910, 920)))
    with django_assert_num_queries(4):
        assert len(compared(event)) == players
