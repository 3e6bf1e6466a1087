"""A round that several people draw, open again or plan at the same moment."""

import pytest

import build
from at_once import MANY, at_once
from build import ACTOR, NOW
from events.draw.models import Pool, Sheet
from events.draw.services import make_draw, publish, reopen
from events.log.models import Act
from events.setup.models import Event, Round

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def round_(event: Event) -> Round:
    for _ in range(8):
        build.make_entry(event, "MA1")
    return event.rounds.get(number=1)


def draw(round_: Round) -> Sheet:
    return make_draw(round=round_, method=Sheet.Method.RANDOM, seed="7", actor=ACTOR, now=NOW)


def test_of_several_draws_the_last_is_the_draft_and_the_plan_has_one_pool(round_: Round) -> None:
    at_once(lambda: draw(round_))
    assert [sheet.state for sheet in Sheet.objects.all()] == ["draft"]
    assert Pool.objects.count() == 1
    assert Act.objects.filter(action="draw.made").count() == MANY


def test_opened_again_by_several_it_is_one_draft(round_: Round) -> None:
    publish(sheet=draw(round_), actor=ACTOR, now=NOW)
    at_once(lambda: reopen(round=round_, actor=ACTOR, now=NOW))
    assert sorted(sheet.state for sheet in Sheet.objects.all()) == ["draft", "published"]
