"""The demo's course as its director has described it, and its hazard notes, through the services."""

from datetime import datetime

from desk.demo.holes import BESIDE_ROAD, NEAR_WATER, details_of, sketch_of
from events.course.describing import describe_hole, sketch_hole
from events.course.hazard_forms import initial_of
from events.course.hazard_starts import STARTS
from events.course.hazards import note_hazard
from events.course.models import LayoutHole
from events.log.services import Actor
from events.setup.models import Event

ACTOR = Actor(name="demo")


def describe_course(event: Event, *, seed: int, now: datetime) -> None:
    """Every hole with description and sketch, before any layout is in play; three hazard notes."""
    places = list(
        LayoutHole.objects.filter(layout__event=event)
        .select_related("layout__event", "hole")
        .order_by("layout", "position")
    )
    for place in places:
        details = details_of(place.position, seed=seed)
        describe_hole(place=place, details=details, version=0, actor=ACTOR, now=now)
        sketch_hole(place=place, items=sketch_of(place.position, seed=seed), version=1, actor=ACTOR, now=now)
    _note(event, "roads", "Gravel road right of the fairway", _at(places, BESIDE_ROAD), now)
    _note(event, "water", "Pond right of the landing zone", _at(places, NEAR_WATER), now)
    _note(event, "insects", "", [], now)


def _at(places: list[LayoutHole], positions: frozenset[int]) -> list[LayoutHole]:
    first = places[0].layout_id if places else None
    return [place for place in places if place.layout_id == first and place.position in positions]


def _note(event: Event, start: str, where: str, places: list[LayoutHole], now: datetime) -> None:
    facts = initial_of(STARTS[start]) | ({"where": where} if where else {})
    note_hazard(event=event, facts=facts, holes=places, actor=ACTOR, now=now)
