"""Helpers and shifts for tests."""

from datetime import date
from typing import Any

import build
from events.course.models import HoleDetails, LayoutHole
from events.logistics.crew.models import Helper, Need
from events.logistics.crew.people import keep_certificate, keep_helper
from events.logistics.crew.services import keep_need, put
from events.setup.models import Event


def helper(event: Event, name: str, *, contact: dict[str, Any] | None = None, **facts: Any) -> Helper:
    facts = {"role": "", "channel": "", "duties": (), "entry": None, **facts}
    known = {"minor": False, **(contact or {})}
    return keep_helper(
        event=event, helper=None, name=name, contact=known, actor=build.ACTOR, now=build.NOW, **facts
    )


def certified(helper: Helper, kind: str = "official", until: date | None = date(2027, 1, 1)) -> Helper:
    keep_certificate(helper=helper, kind=kind, expires_on=until, actor=build.ACTOR, now=build.NOW)
    return helper


def shift(
    event: Event, duty: str = "water", place: str = "gate", *, round: int | None = 1, **facts: Any
) -> Need:
    """A shift of a round from its first start to its end; `round` None with hours of its own."""
    tied = {"from_anchor": "first_start", "to_anchor": "round_end"} if round else {}
    found = event.rounds.get(number=round) if round else None
    facts = {"duty": duty, "place": place, "round": found, **tied, **facts}
    return keep_need(event=event, need=None, facts=facts, actor=build.ACTOR, now=build.NOW)


def stands(need: Need, helper: Helper) -> list[str]:
    return put(need=need, helper=helper, actor=build.ACTOR, now=build.NOW)


def spotted(event: Event, label: str = "7") -> LayoutHole:
    """A hole whose description asks for a spotter."""
    place = LayoutHole.objects.get(layout__event=event, label=label)
    HoleDetails.objects.create(
        layout_hole=place, facts={"spotter": True}, changed_at=build.NOW, changed_by="Tester"
    )
    return place
