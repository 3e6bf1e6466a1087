"""What the day page says of a lost disc that had been taken."""

import build
from desk.day import day_of
from events.logistics.services import hand_in, was_taken
from events.setup.models import Event


def test_a_taken_disc_waits_on_the_day_page_until_the_event_is_over(event: Event) -> None:
    entry = build.make_entry(event)
    facts = {"what": "disc", "written": "", "hole_label": "7", "round": None, "found_by": ""}
    thing = hand_in(event=event, **facts, actor=build.ACTOR, now=build.NOW)
    was_taken(thing=thing, entry=entry, actor=build.ACTOR, now=build.NOW)
    lines = [line for line in day_of(event, build.NOW).todo if "the lost disc was taken" in line.text]
    assert [line.url for line in lines] == ["/desk/quiet-pines/logistics/found/"]
    event.over_at = build.NOW
    assert [line for line in day_of(event, build.NOW).todo if "the lost disc was taken" in line.text] == []
