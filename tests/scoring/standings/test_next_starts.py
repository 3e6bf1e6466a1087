"""Who starts next: tee times by name, a shotgun as one line."""

from datetime import timedelta
from typing import Any

import pytest

import build
import build_cards
from events.draw.models import Group, Pool
from events.entries.models import Entry, Status
from events.setup.models import Event, Round
from scoring.standings.next_starts import NextStart, next_starts


def as_tee_times(round_: Round) -> None:
    Pool.objects.filter(round=round_).update(start_type="tee_times")
    for group in Group.objects.filter(sheet__round=round_):
        group.starts_at = round_.first_start_at + timedelta(minutes=10 * (group.number - 1))
        group.save()


def test_next_starts_name_the_groups_of_tee_times(event: Event) -> None:
    one, two, three, four = build_cards.make_field(event, 4)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[one], [two, three], [four]])
    as_tee_times(round_)
    starts = next_starts(event, round_.first_start_at + timedelta(minutes=1), 5)
    assert [(event.local(start.starts_at).strftime("%H:%M"), start.names) for start in starts] == [
        ("09:10", ("Oyelaran", "Pennock")),
        ("09:20", ("Eskola",)),
    ]
    assert [start.names for start in next_starts(event, build.NOW, 1)] == [("Moravec",)]


def test_people_who_share_a_family_name_keep_the_given_one(event: Event) -> None:
    pair = [build.make_entry(event, person=build.make_person("Varga", given)) for given in ("Sefa", "Ilka")]
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [pair])
    as_tee_times(round_)
    assert next_starts(event, build.NOW, 1)[0].names == ("Sefa Varga", "Ilka Varga")


def test_a_shotgun_start_is_one_line(event: Event) -> None:
    one, two = build_cards.make_field(event, 2)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[one], [two]])
    assert next_starts(event, build.NOW, 5) == [
        NextStart(round_.first_start_at, 1, "1", "A", shotgun=True, groups=2, names=())
    ]
    assert next_starts(event, round_.first_start_at + timedelta(seconds=1), 5) == []


@pytest.mark.parametrize("status", [each for each in Status if each is not Status.CONFIRMED])
def test_who_left_is_not_called(event: Event, status: Status) -> None:
    one, two = build_cards.make_field(event, 2)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[one, two]])
    as_tee_times(round_)
    Entry.objects.filter(pk=two.pk).update(status=status, left_reason="left")
    assert next_starts(event, build.NOW, 1)[0].names == (one.person.family_name,)


@pytest.mark.parametrize("groups", [1, 3])
def test_next_starts_take_two_queries(event: Event, django_assert_num_queries: Any, groups: int) -> None:
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [[entry] for entry in build_cards.make_field(event, groups)])
    as_tee_times(round_)
    with django_assert_num_queries(2):
        starts = next_starts(event, build.NOW, 5)
    assert len(starts) == groups
