"""Pools saved as one table: what frozen sheets show stays as it was."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

import build
from build import ACTOR, NOW
from events.draw.models import Pool, Sheet
from events.draw.planning import PoolRow, PoolsRefused, save_pools
from events.draw.queries import pools_of, view_of
from events.draw.services import make_draw, publish
from events.log.models import Act

pytestmark = pytest.mark.django_db


@pytest.fixture
def round_(event):
    for _ in range(8):
        build.make_entry(event)
    return event.rounds.get(number=1)


def row(round_, label="A", **facts) -> PoolRow:
    facts = {"pk": None, "divisions": (), "start_type": "shotgun", "first_start_at": NOW, **facts}
    return PoolRow(label=label, **facts)


def standing(round_) -> list[PoolRow]:
    return [
        PoolRow(pk=pool.pk, divisions=tuple(d.pk for d in pool.divisions.all()), **PoolRow.facts_of(pool))
        for pool in pools_of(round_)
    ]


def save(round_, *rows) -> None:
    save_pools(round=round_, rows=rows, actor=ACTOR, now=NOW)


def labels(round_) -> list[str]:
    return [pool.label for pool in pools_of(round_)]


def test_pools_are_made_changed_and_removed_as_one_table(event, round_):
    ma1 = event.divisions.get(code="MA1").pk
    save(
        round_, row(round_, "A", divisions=(ma1,)), row(round_, "B", first_start_at=NOW + timedelta(hours=4))
    )
    assert labels(round_) == ["A", "B"]
    first, second = standing(round_)
    save(round_, replace(second, label="C", groups_of=3))
    (left,) = pools_of(round_)
    assert (left.pk, left.label, left.groups_of) == (second.pk, "C", 3)
    assert Act.objects.filter(action="round.changed").latest("number").detail["after"][0]["label"] == "C"
    assert first.pk not in Pool.objects.values_list("pk", flat=True)


def test_saving_the_same_again_writes_nothing(round_):
    save(round_, row(round_))
    acts = Act.objects.count()
    save(round_, *standing(round_))
    assert Act.objects.count() == acts


def test_two_pools_exchange_their_labels(round_):
    save(round_, row(round_, "A"), row(round_, "B", first_start_at=NOW + timedelta(hours=4)))
    first, second = standing(round_)
    save(round_, replace(first, label="B"), replace(second, label="A"))
    assert labels(round_) == ["B", "A"]


def drawn(round_, **facts) -> Sheet:
    facts = {"method": Sheet.Method.RANDOM, "seed": "7", "actor": ACTOR, "now": NOW, **facts}
    return make_draw(round=round_, **facts)


def test_a_published_sheet_keeps_the_pool_that_it_was_drawn_with(round_):
    save(round_, row(round_, "A"))
    sheet = publish(sheet=drawn(round_), actor=ACTOR, now=NOW)
    (pool,) = standing(round_)
    save(round_, replace(pool, label="Z", start_type="tee_times", interval_minutes=12))
    assert {(g.pool, g.start_type, g.interval) for g in view_of(sheet).groups} == {("A", "shotgun", 10)}
    assert {(g.pool, g.start_type, g.interval) for g in view_of(drawn(round_, seed="8")).groups} == {
        ("Z", "tee_times", 12)
    }


def test_a_pool_of_a_published_sheet_is_removed_from_the_plan_only(round_):
    save(round_, row(round_, "A"))
    sheet = publish(sheet=drawn(round_), actor=ACTOR, now=NOW)
    save(round_, row(round_, "A", groups_of=3))
    assert [pool.groups_of for pool in pools_of(round_)] == [3]
    assert {g.pool for g in view_of(sheet).groups} == {"A"}


def test_what_cannot_be_saved_is_refused_in_words(round_):
    save(round_, row(round_, "A"))
    drawn(round_)
    (pool,) = standing(round_)
    for rows, words in [
        ((), "at least one pool"),
        ((row(round_, "A"), row(round_, "a")), "same label"),
        ((row(round_, "B"),), "Groups of the draft are in pool A"),
        ((replace(pool, gap_after=10, gap_minutes=0),), "how many minutes"),
        ((replace(pool, groups_of=9),), "Pool A: Groups are of 3, 4 or 5."),
        ((replace(pool, pk=999_999),), "Somebody else changed the pools"),
    ]:
        with pytest.raises(PoolsRefused, match=words):
            save(round_, *rows)
    assert labels(round_) == ["A"]


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"interval_minutes": 0}, "An interval is 1 to 60 minutes."),
        ({"groups_of": 6}, "Groups are of 3, 4 or 5."),
        ({"label": "A"}, "This pool exists already."),
    ],
)
def test_the_database_refuses_what_the_form_refuses(round_, facts, words):
    save(round_, row(round_, "A"))
    made = {"label": "B", "start_type": "shotgun", "first_start_at": NOW, **facts}
    with pytest.raises(ValidationError, match=words):
        Pool(round=round_, **made).full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        Pool.objects.create(round=round_, **made)


def test_a_retired_pool_leaves_its_label_free(round_):
    save(round_, row(round_, "A"))
    Pool.objects.update(retired=True)
    Pool(round=round_, label="A", start_type="shotgun", first_start_at=NOW).full_clean()
