"""Calls that come at the same moment: the same page is written once, and of several pages one is the first.

A database in memory has one writer, so there they come one after the other; on PostgreSQL they come at once.
"""

from uuid import uuid4

import pytest

from at_once import MANY, at_once
from build import ACTOR, NOW
from build_cards import line, make_field, publish, save
from events.entries.models import Entry
from events.setup.models import Event, Round
from scoring.cards.models import Ruling, StandingLine
from scoring.penalties.models import Warning
from scoring.penalties.services import Told, write_penalty

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def round_(event: Event) -> Round:
    return event.rounds.get(number=1)


@pytest.fixture
def entry(event: Event, round_: Round) -> Entry:
    entries = make_field(event, 3)
    publish(round_, [entries])
    save(round_, 1, [line(each) for each in entries])
    return entries[0]


def test_several_calls_are_one_warning_and_then_throws(entry: Entry, round_: Round) -> None:
    told = Told(("courtesy-1",), "7", caller="Hale Oyelaran")

    at_once(
        lambda: write_penalty(entry=entry, round=round_, told=told, submission=uuid4(), actor=ACTOR, now=NOW)
    )

    assert (Warning.objects.count(), Ruling.objects.count()) == (1, MANY - 1)
    assert StandingLine.objects.get(entry=entry).total == 54 + MANY - 1


def test_one_page_sent_several_times_is_written_once(entry: Entry, round_: Round) -> None:
    key, told = uuid4(), Told(("mandatory-2",), "7", caller="Hale Oyelaran")

    at_once(lambda: write_penalty(entry=entry, round=round_, told=told, submission=key, actor=ACTOR, now=NOW))

    assert (Warning.objects.count(), Ruling.objects.count()) == (0, 2)
    assert StandingLine.objects.get(entry=entry).total == 56
