"""What the database itself refuses, whatever the code above it does."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

import build
from build import ACTOR, NOW
from events.draw.models import Group, Seat, Sheet
from events.draw.services import make_draw, publish

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(event) -> Sheet:
    for _ in range(8):
        build.make_entry(event)
    return make_draw(
        round=event.rounds.get(number=1), method=Sheet.Method.RANDOM, seed="7", actor=ACTOR, now=NOW
    )


def refused(row) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


def another(sheet: Sheet, **facts) -> Sheet:
    facts = {"version": 2, "method": "random", "seed": "8", "made_at": NOW, "made_by": "Tester", **facts}
    return Sheet(round=sheet.round, **facts)


def test_nobody_has_two_seats_on_a_sheet(sheet):
    first = sheet.seats.order_by("pk").first()
    other = sheet.groups.exclude(pk=first.group_id).get()
    seat = Seat(sheet=sheet, group=other, entry=first.entry, order=9)
    with pytest.raises(ValidationError, match=r"A player cannot be in two groups of one round\."):
        seat.full_clean()
    refused(seat)


def test_no_two_players_throw_at_the_same_turn(sheet):
    first = sheet.seats.order_by("pk").first()
    late = build.make_entry(sheet.round.event)
    refused(Seat(sheet=sheet, group=first.group, entry=late, order=first.order))


def test_a_round_has_one_draft_and_one_published_sheet(sheet):
    refused(another(sheet))
    publish(sheet=sheet, actor=ACTOR, now=NOW)
    refused(another(sheet, state="published"))
    another(sheet).save()


def test_versions_and_group_numbers_are_used_once(sheet):
    refused(another(sheet, version=1, state="superseded"))
    group = sheet.groups.get(number=1)
    refused(
        Group(sheet=sheet, number=1, pool=group.pool, layout=group.layout, start=group.start, starts_at=NOW)
    )
    group.number = 0
    refused(group)


@pytest.mark.parametrize(("field", "value"), [("state", "lost"), ("method", "dice")])
def test_states_and_methods_are_the_known_ones(sheet, field, value):
    setattr(sheet, field, value)
    with pytest.raises(ValidationError, match="is not a valid choice"):
        sheet.full_clean()
    refused(sheet)
