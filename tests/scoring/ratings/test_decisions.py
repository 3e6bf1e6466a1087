"""What the director decides: refused in a sentence, kept as rows, logged; and what the tables refuse by themselves."""

from datetime import time
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

import build
from build_ratings import entered, play_field
from events.draw.models import Group
from events.log.models import Act
from events.setup.models import Event
from scoring.ratings.models import (
    History,
    JoinDecision,
    MethodDecision,
    PastRound,
    PlayerDecision,
    SplitDecision,
)
from scoring.ratings.queries import ratings_of
from scoring.ratings.refusal import RatingRefused
from scoring.ratings.services import (
    choose_method,
    join_rounds,
    leave_out,
    split_round,
    take_back,
)

BY: dict[str, Any] = {"actor": build.ACTOR, "now": build.NOW}


def choose(event: Event, method: str, ssa: Decimal | None = None, pool: str = "") -> MethodDecision:
    return choose_method(
        event=event,
        pool=pool or ratings_of(event)[0].key,
        method=MethodDecision.Method(method),
        ssa=ssa,
        reason="as measured",
        **BY,
    )


@pytest.mark.parametrize("ssa", [None, Decimal("17.9"), Decimal(201)])
def test_a_fixed_average_without_its_throws_is_refused(event: Event, ssa: Decimal | None) -> None:
    play_field(event)
    with pytest.raises(RatingRefused, match="A fixed average needs its throws for the round, 18 to 200"):
        choose(event, "fixed", ssa)
    assert not MethodDecision.objects.exists()


def test_a_pool_that_there_is_not_is_refused(event: Event) -> None:
    play_field(event)
    with pytest.raises(RatingRefused, match="pooled otherwise by now"):
        choose(event, "line", pool="9-9")


def test_a_choice_is_logged_with_its_reason(event: Event) -> None:
    play_field(event)
    choose(event, "fixed", Decimal("58.4"))
    act = Act.objects.get(action="rating.method")
    assert (act.subject, act.reason, act.detail) == (
        "Round 1, Upper",
        "as measured",
        {"method": "fixed", "ssa": "58.400"},
    )


@pytest.mark.parametrize("rounds", [[1], [1, 2], [1, 7]])
def test_only_rounds_that_were_played_on_the_layout_are_joined(event: Event, rounds: list[int]) -> None:
    play_field(event)
    with pytest.raises(RatingRefused, match="at least two rounds that were played on Upper"):
        join_rounds(event=event, layout=event.layouts.get(name="Upper"), rounds=rounds, reason="", **BY)
    assert not JoinDecision.objects.exists()


def test_a_round_is_joined_or_split_and_not_both(event: Event) -> None:
    play_field(event)
    play_field(event, number=2, groups=2)
    layout = event.layouts.get(name="Upper")
    round_ = event.rounds.get(number=2)
    join_rounds(event=event, layout=layout, rounds=[1, 2], reason="", **BY)
    with pytest.raises(RatingRefused, match="part the rounds first"):
        split_round(round=round_, layout=layout, starts=[time(15)], reason="", **BY)
    join_rounds(event=event, layout=layout, rounds=[], reason="", **BY)
    Group.objects.filter(sheet__round=round_, number=2).update(
        starts_at=round_.first_start_at.replace(hour=15)
    )
    split_round(round=round_, layout=layout, starts=[time(15)], reason="", **BY)
    with pytest.raises(RatingRefused, match="join its parts first"):
        join_rounds(event=event, layout=layout, rounds=[1, 2], reason="", **BY)


def test_a_part_without_anybody_is_refused_with_the_starts_that_there_are(event: Event) -> None:
    play_field(event)
    round_, layout = event.rounds.get(number=1), event.layouts.get(name="Upper")
    with pytest.raises(RatingRefused, match=r"in one of the parts; starts are: 09:00\."):
        split_round(round=round_, layout=layout, starts=[time(13)], reason="", **BY)
    with pytest.raises(RatingRefused, match="Nobody has a complete card of round 2 on Upper"):
        split_round(round=event.rounds.get(number=2), layout=layout, starts=[time(13)], reason="", **BY)
    assert not SplitDecision.objects.exists()


def test_leaving_out_wants_a_reason_happens_once_and_is_taken_back_once(event: Event) -> None:
    entries = play_field(event)
    round_ = event.rounds.get(number=1)
    with pytest.raises(RatingRefused, match="Say why"):
        leave_out(round=round_, entry=entries[0], reason="  ", **BY)
    one = leave_out(round=round_, entry=entries[0], reason="hurt", **BY)
    assert leave_out(round=round_, entry=entries[0], reason="again", **BY) == one
    take_back(round=round_, entry=entries[0], **BY)
    take_back(round=round_, entry=entries[0], **BY)
    assert list(Act.objects.filter(action__startswith="rating.").values_list("action", flat=True)) == [
        "rating.left_out",
        "rating.taken_in",
    ]


def method(event: Event, **facts: Any) -> MethodDecision:
    return MethodDecision(event=event, pool="1-1", at=build.NOW, by="T", **facts)


@pytest.mark.parametrize(
    ("facts", "message"),
    [
        ({"method": "guess"}, "not a valid choice"),
        ({"method": "fixed"}, "A fixed average needs its throws"),
        ({"method": "line", "ssa": Decimal(58)}, "no other method has one"),
    ],
)
def test_the_table_of_methods_refuses_what_cannot_be(
    event: Event, facts: dict[str, Any], message: str
) -> None:
    row = method(event, **facts)
    with pytest.raises(ValidationError, match=message):
        row.full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


def test_the_table_of_exclusions_refuses_a_second_and_one_without_a_reason(event: Event) -> None:
    facts = {"round": event.rounds.get(number=1), "entry": entered(event, 900), "at": build.NOW, "by": "T"}
    PlayerDecision.objects.create(**facts, reason="hurt")
    for row, message in (
        (PlayerDecision(**facts, reason="twice"), "decided already whether this player counts"),
        (PlayerDecision(**facts | {"entry": entered(event, 910)}, reason=""), "Say why"),
    ):
        with pytest.raises(ValidationError, match=message):
            row.full_clean()
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save()


def test_the_table_of_past_rounds_refuses_ratings_that_cannot_be(event: Event) -> None:
    history = History.objects.create(event=event, name="x", at=build.NOW, by="T")
    row = PastRound(
        history=history, person=build.make_person(), played_on=build.NOW.date(), order=0, rating=1201
    )
    with pytest.raises(ValidationError, match="between 1 and 1200"):
        row.full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()
