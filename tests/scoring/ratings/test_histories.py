"""Histories brought in, compared with what was entered, and taken over by the director."""

from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

import build
from build_ratings import entered, play_field
from events.entries.changing import change_entry
from events.entries.export import export_rows
from events.entries.models import Entry, RatingSource
from events.log.models import Act
from events.setup.models import Event, Role
from events.setup.over import OVER
from pdf_pages import read
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
from scoring.ratings.propagators import Reason
from scoring.ratings.queries import ratings_of
from scoring.ratings.refusal import RatingRefused
from scoring.ratings.services import (
    choose_method,
    join_rounds,
    leave_out,
    let_in,
    split_round,
    take_back,
)

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


def test_an_adopted_estimate_stays_one_and_no_average_rests_on_it(event: Event, client_as: Any) -> None:
    """Nine rounds and a date within the year would make a propagator of it; a list's own rating would."""
    entry = entered(event, None)
    bring(event, *rows_of(entry, *[996] * 9))
    adopt_rating(entry=entry, rating=996, **BY)
    play_field(event, also=[(entry, 55)])

    (pool,) = ratings_of(event)

    entry.refresh_from_db()
    assert (entry.rating, entry.rated_rounds, entry.rating_source) == (996, 9, RatingSource.ESTIMATED)
    assert [(each.name, each.reason) for each in pool.rating.excluded] == [
        (entry.person.name, Reason.ESTIMATED)
    ]
    client = client_as(Role.DIRECTOR)
    pages = [
        (reverse("ratings:overview", args=[event.slug]), '996 <span class="soft">est.</span>'),
        (reverse("ratings:players", args=[event.slug]), '996 <span class="soft">estimated</span>'),
        (reverse("ratings:player", args=[event.slug, entry.pk]), "<dd>996, estimated</dd>"),
        (
            reverse("entries:entry", args=[event.slug, entry.pk]),
            "996, estimated here from a history, of 9 May 2026",
        ),
    ]
    assert [words in client.get(page).content.decode() for page, words in pages] == [True] * 4
    paper = read(client.get(reverse("ratings:pdf", args=[event.slug])).content)
    assert "996 est." in " ".join(sheet.text for sheet in paper)


def test_the_estimates_of_everybody_without_a_rating_are_marked_too(event: Event) -> None:
    entry = entered(event, None)
    bring(event, *rows_of(entry, 905, 915))
    adopt_missing(event=event, **BY)
    assert Entry.objects.get(pk=entry.pk).rating_is_estimated


def test_a_rating_that_is_entered_afterwards_is_no_estimate_any_more(event: Event) -> None:
    entry = entered(event, None)
    bring(event, *rows_of(entry, 905, 915))
    entry = adopt_rating(entry=entry, rating=910, **BY)

    changed = change_entry(
        entry=entry,
        version=entry.version,
        division=entry.division,
        person={"rating": 925},
        contact={},
        guardian="",
        **BY,
    )

    changed.refresh_from_db()
    assert (changed.rating, changed.rating_source) == (925, RatingSource.ENTERED)


def test_an_estimate_leaves_in_no_list_as_a_rating(event: Event) -> None:
    entry, other = entered(event, None), entered(event, 900)
    bring(event, *rows_of(entry, 905, 915))
    adopt_rating(entry=entry, rating=910, **BY)

    head, *rows = export_rows(event, private=False)

    at = head.index("Member number"), head.index("Rating"), head.index("Rated rounds")
    assert {tuple(row[each] for each in at) for row in rows} == {
        (entry.person.member_number, None, None),
        (other.person.member_number, 900, 20),
    }


@pytest.mark.parametrize(
    ("facts", "message"),
    [
        ({"rating": None, "rating_source": "estimated"}, "none has no source"),
        ({"rating_source": "guessed"}, "not a valid choice"),
    ],
)
def test_the_table_refuses_a_source_without_a_rating_and_one_that_is_not_known(
    event: Event, facts: dict[str, Any], message: str
) -> None:
    entry = entered(event, 900)
    for name, value in facts.items():
        setattr(entry, name, value)
    with pytest.raises(ValidationError, match=message):
        entry.full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        entry.save()


def test_once_the_event_is_over_no_rating_changes(event: Event, client_as: Any) -> None:
    entries = play_field(event)
    late, upper = entered(event, None), event.layouts.get(name="Upper")
    bring(event, *rows_of(late, 905, 915))
    round_, key = event.rounds.get(number=1), ratings_of(event)[0].key
    event.over_at = build.NOW
    event.save()
    acts = Act.objects.count()
    about: dict[str, Any] = {"round": round_, "entry": entries[0], **BY}
    decisions = (
        lambda: choose_method(event=event, pool=key, method="line", ssa=None, reason="", **BY),
        lambda: join_rounds(event=event, layout=upper, rounds=[], reason="", **BY),
        lambda: split_round(round=round_, layout=upper, starts=[], reason="", **BY),
        lambda: leave_out(**about, reason="hurt"),
        lambda: let_in(**about, reason="fit"),
        lambda: take_back(**about),
        lambda: adopt_rating(entry=late, rating=910, **BY),
        lambda: adopt_missing(event=event, **BY),
    )

    for act in decisions:
        with pytest.raises((RatingRefused, AdoptionRefused)) as refused:
            act()
        assert str(refused.value) == OVER

    assert Act.objects.count() == acts
    client = client_as(Role.DIRECTOR)
    page = client.get(reverse("ratings:overview", args=[event.slug])).content.decode()
    assert "Decide otherwise" not in page
    sent = client.post(
        reverse("ratings:adopt", args=[event.slug]), {"entry": late.pk, "rating": 910}, follow=True
    )
    assert OVER in sent.content.decode()
    assert OVER in client.post(reverse("ratings:adopt_all", args=[event.slug]), follow=True).content.decode()
