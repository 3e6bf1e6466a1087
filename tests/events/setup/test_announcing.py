"""Night or snow play is announced for one round, by one line of the log."""

import pytest

import build
from events.log.models import Act
from events.setup.announcing import AnnouncementRefused, announce_night_or_snow
from events.setup.models import Event, Round


def announce(event: Event, number: int, on: bool) -> Round:
    round_ = event.rounds.get(number=number)
    return announce_night_or_snow(round=round_, on=on, actor=build.ACTOR, now=build.NOW)


def test_it_holds_for_one_round_and_can_be_taken_back(event):
    assert announce(event, 2, True).night_or_snow is True
    assert list(event.rounds.order_by("number").values_list("night_or_snow", flat=True)) == [False, True]
    assert announce(event, 2, False).night_or_snow is False
    assert [(act.action, act.subject, act.detail) for act in Act.objects.order_by("number")] == [
        ("round.night_or_snow", "round 2", {"night or snow play": {"old": False, "new": True}}),
        ("round.night_or_snow", "round 2", {"night or snow play": {"old": True, "new": False}}),
    ]


def test_said_twice_it_is_logged_once(event):
    announce(event, 1, True)
    announce(event, 1, True)
    announce(event, 2, False)
    assert Act.objects.count() == 1


def test_nothing_is_announced_when_the_event_is_over(event):
    Event.objects.update(over_at=build.NOW)
    with pytest.raises(AnnouncementRefused):
        announce(event, 1, True)
    assert not event.rounds.filter(night_or_snow=True).exists()
