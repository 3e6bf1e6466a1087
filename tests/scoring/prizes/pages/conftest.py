"""The field that the pages of the prizes are looked at with."""

import pytest
import time_machine

import build
import build_prizes
from build_prizes import page
from events.setup.models import Role
from scoring.prizes.services import post_payout


@pytest.fixture
def event(db):
    return build.make_event(divisions=("MPO", "MA1"), rounds=2)


@pytest.fixture(autouse=True)
def clock():
    with time_machine.travel(build.NOW, tick=False):
        yield


@pytest.fixture
def director(client_as):
    return client_as(Role.DIRECTOR)


@pytest.fixture
def placed(event, monkeypatch):
    """Eight professionals, placed in their order: four prizes of 122.40, 91.80, 61.20, 30.60."""
    people = [build.make_person(given=f"Pro{at}", playing_class="pro") for at in range(8)]
    entries = [build.make_entry(event, "MPO", person=person) for person in people]
    build_prizes.plan(event, "MPO", method="table", table=build_prizes.take(event))
    found = build_prizes.places(*entries)
    monkeypatch.setattr("scoring.prizes.awards.places_of", lambda divisions: found)
    monkeypatch.setattr("scoring.prizes.awards.too_early", lambda event, found: {})
    return entries


@pytest.fixture
def handed(event, director, placed):
    """`handed(count)`: a payout is posted, and so many prizes are handed out."""

    def hand(count):
        build_prizes.plan(event, "MA1")
        post_payout(event=event, actor=build.ACTOR, now=build.NOW)
        for entry, cents in list(zip(placed, (12_240, 9_180, 6_120), strict=False))[:count]:
            director.post(page(event, "give", entry.pk), {"method": "cash", "cents": cents})

    return hand
