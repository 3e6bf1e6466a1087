"""What no row may be, by its message and by the database itself."""

from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

import build
import build_cards
from events.setup.models import Event
from scoring.playoffs.models import Playoff, PlayoffCall, PlayoffVersion, TrophyContest
from scoring.standings.models import Cut, Placing

WHEN = {"set_at": build.NOW, "set_by": "Tester"}


def refused(row: models.Model, constraint: str, message: str = "") -> None:
    """Refused in words where a form would ask, and by the database in any case."""
    if message:
        with pytest.raises(ValidationError) as wrong:
            row.full_clean()
        assert message in wrong.value.messages
    with pytest.raises(IntegrityError) as broken, transaction.atomic():
        row.save()
    assert constraint in str(broken.value) or "UNIQUE constraint failed" in str(broken.value)


@pytest.mark.parametrize(
    ("facts", "constraint", "message"),
    [
        (
            {"players": 3, "percent": 40},
            "cut_players_or_percent",
            "Give a number of players, or a percentage from 1 to 99.",
        ),
        ({}, "cut_players_or_percent", "Give a number of players, or a percentage from 1 to 99."),
        (
            {"percent": 100},
            "cut_players_or_percent",
            "Give a number of players, or a percentage from 1 to 99.",
        ),
        ({"players": 3, "after_round": 20}, "cut_after_a_round", "A cut follows round 1 to 19."),
        ({"players": 3, "ties": "coin"}, "cut_ties_known", ""),
        ({"players": 3, "posted": [1]}, "cut_posted_whole", ""),
    ],
)
def test_a_cut(event: Event, facts: dict[str, Any], constraint: str, message: str) -> None:
    facts = {"after_round": 1, "division": event.divisions.get(code="MA1")} | facts
    refused(Cut(**facts, **WHEN), constraint, message)


def test_a_division_has_one_cut_after_a_round(event: Event) -> None:
    facts: dict[str, Any] = {"division": event.divisions.get(code="MA1"), "after_round": 1, "players": 3}
    Cut.objects.create(**facts, **WHEN)
    refused(
        Cut(**facts, **WHEN), "cut_once_after_a_round", "This division has a cut after this round already."
    )


@pytest.mark.parametrize(
    ("facts", "constraint", "message"),
    [
        ({"how": "coin"}, "placing_how_known", ""),
        ({"rank": 0}, "placing_rank_from_one", ""),
        ({"after_round": 20}, "placing_after_a_round", ""),
        (
            {"how": "co-winners"},
            "placing_co_winners_first_place_and_why",
            "Co-winners share the first place only, and the reason is kept.",
        ),
        (
            {"how": "co-winners", "after_round": 1, "reason": "dark"},
            "placing_co_winners_first_place_and_why",
            "Co-winners share the first place only, and the reason is kept.",
        ),
        ({"how": "declined"}, "placing_declined_after_a_cut", ""),
    ],
)
def test_a_placing(event: Event, facts: dict[str, Any], constraint: str, message: str) -> None:
    (entry,) = build_cards.make_field(event, 1)
    facts = {"how": "playoff", "rank": 1} | facts
    refused(Placing(entry=entry, at=build.NOW, by="Tester", **facts), constraint, message)


def playoff(event: Event, **facts: Any) -> Playoff:
    facts = {"players": [1, 2], "seed": "1", "holes": ["1"]} | facts
    return Playoff(
        division=event.divisions.get(code="MA1"),
        layout=event.layouts.get(),
        begun_at=build.NOW,
        begun_by="Tester",
        **facts,
    )


@pytest.mark.parametrize(
    ("facts", "constraint", "message"),
    [
        ({"places": 0, "after_round": 1}, "playoff_places", ""),
        ({"places": 2}, "playoff_one_first_place", "There is one first place."),
        ({"aggregate": 7}, "playoff_aggregate_at_most_six", "An aggregate playoff has at most 6 holes."),
        ({"dropped_at": build.NOW}, "playoff_dropped_with_reason", ""),
        (
            {"trophy": 1},
            "playoff_trophy_after_the_last_round",
            "A trophy is played for after the last round, from place 2 down.",
        ),
        (
            {"trophy": 2, "after_round": 1},
            "playoff_trophy_after_the_last_round",
            "A trophy is played for after the last round, from place 2 down.",
        ),
    ],
)
def test_a_playoff(event: Event, facts: dict[str, Any], constraint: str, message: str) -> None:
    refused(playoff(event, **facts), constraint, message)


def test_a_tie_has_one_playoff_that_counts_and_each_version_one_number(event: Event) -> None:
    first = playoff(event)
    first.save()
    refused(playoff(event), "playoff_one_at_a_time", "This tie has a playoff already.")
    playoff(event, dropped_at=build.NOW, dropped_reason="other holes").save()
    playoff(event, trophy=2).save()
    facts: dict[str, Any] = {"playoff": first, "number": 1, "what": "begun", "at": build.NOW, "by": "Tester"}
    PlayoffVersion.objects.create(**facts)
    refused(PlayoffVersion(**facts), "playoff_version_once")


@pytest.mark.parametrize(
    ("facts", "constraint", "message"),
    [
        (
            {"hole": 0},
            "playoff_call_says_what_where_and_who",
            "A call names its rule, the hole and who made it.",
        ),
        (
            {"taken_back_at": build.NOW},
            "playoff_call_taken_back_with_a_reason",
            "A call is taken back with a reason.",
        ),
    ],
)
def test_a_call_in_a_playoff(event: Event, facts: dict[str, Any], constraint: str, message: str) -> None:
    (entry,) = build_cards.make_field(event, 1)
    held = playoff(event)
    held.save()
    facts = {"rule": "penalty.courtesy", "hole": 1, "caller": "Dov Pennock"} | facts
    row = PlayoffCall(playoff=held, entry=entry, submission=uuid4(), at=build.NOW, by="Tester", **facts)
    refused(row, constraint, message)


def test_a_trophy_is_decided_once_and_never_that_of_the_first_place(event: Event) -> None:
    (entry,) = build_cards.make_field(event, 1)
    facts: dict[str, Any] = {"division": entry.division, "winner": entry, "at": build.NOW, "by": "Tester"}
    says = "A contest is for the trophy of place 2 or below, and says what it was."
    refused(TrophyContest(trophy=1, what="putts", **facts), "trophy_contest_says_what", says)
    TrophyContest.objects.create(trophy=2, what="putts", **facts)
    refused(
        TrophyContest(trophy=2, what="putts", **facts),
        "trophy_contest_once",
        "This trophy is decided already.",
    )
    TrophyContest.objects.create(trophy=2, what="putts", taken_back_at=build.NOW, **facts)
