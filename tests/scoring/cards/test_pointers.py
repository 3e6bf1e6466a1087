"""What a returned card makes the rules say; nothing is booked by it."""

from datetime import timedelta

import pytest

import build
from build import ACTOR, NOW
from build_cards import line, make_field, publish, save
from events.setup.models import Event
from events.setup.queries import rulebook_for
from scoring.cards.models import CardLine
from scoring.cards.pointers import pointers
from scoring.cards.queries import cards_of
from scoring.cards.services import mark_finished, mark_returned

pytestmark = pytest.mark.django_db


def said(event: Event) -> tuple[str, ...]:
    (state,) = cards_of(event.rounds.get(number=1))
    return pointers(state, rulebook_for(event))


@pytest.fixture
def event(db: None) -> Event:
    event = build.make_event(rounds=1)
    publish(event.rounds.get(number=1), [make_field(event, 3)])
    return event


def test_a_card_that_is_out_says_nothing(event):
    assert said(event) == ()


def test_wrong_and_missing_totals_are_pointed_at_with_their_rule(event):
    first, second, third = event.entries.order_by("pk")
    pars = [hole.par for hole in event.layouts.get().layout_holes.order_by("position")]
    lines = [
        line(first, pars, written_total=sum(pars)),
        line(second, pars, written_total=sum(pars) + 1),
        line(third, pars, written_total=None),
    ]
    save(event.rounds.get(number=1), 1, lines)
    found = said(event)
    assert [sentence.split(";")[0] for sentence in found] == [
        f"{second.person.name}: the total is wrong",
        f"{third.person.name}: the total is missing",
    ]
    assert all("+2, once." in sentence and "808.G.2" in sentence for sentence in found)
    assert list(CardLine.objects.values_list("additional", flat=True)) == [0, 0, 0]


def test_a_late_card_is_pointed_at(event):
    round_ = event.rounds.get(number=1)
    mark_finished(round=round_, group_number=1, at=NOW, actor=ACTOR, now=NOW)
    late = NOW + timedelta(minutes=31)
    mark_returned(round=round_, group_number=1, at=late, actor=ACTOR, now=late)
    assert said(event)[0].startswith("The card came late: +2 for whoever handed it in late.")
