"""Every page of course and weather carries its cautions, and so does each that is made later."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any
from urllib.parse import unquote

import pytest
import time_machine
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

import build
import build_cards
from desk.above_the_safety import ABOVE_SAFETY
from events.course.hazard_starts import CAUTION
from events.course.hazards import note_hazard
from events.course.services import lock_layouts
from events.safety.computed import CAUTIONS
from events.safety.services import post_notice
from events.safety.suspending import suspend
from events.setup.models import Event, Role

CARRIED = {"course": (CAUTION,), "safety": CAUTIONS, "suspension": CAUTIONS}
FEWEST_PAGES = 16


def named(patterns: list[URLPattern | URLResolver], space: str = "") -> Iterator[tuple[str, str, list[str]]]:
    """Namespace, name and the names of the parameters of every address of CARRIED, but the event's."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from named(pattern.url_patterns, pattern.namespace or space)
        elif space in CARRIED and pattern.name:
            yield space, pattern.name, list(pattern.pattern.converters)


@pytest.fixture
def lived(event: Event) -> dict[tuple[str, str], Any]:
    """An event with a layout in play, a hazard note and a notice; the parameters of its addresses."""
    build_cards.publish(event.rounds.get(number=1), [build_cards.make_field(event, 2)])
    layout = event.layouts.get()
    lock_layouts(layouts=[layout], now=build.NOW)
    place = layout.layout_holes.get(position=1)
    facts = {"what": "Road", "risk_public": True, "severity": "life"}
    hazard = note_hazard(event=event, facts=facts, holes=[place], actor=build.ACTOR, now=build.NOW)
    words = {"kind": "hazard", "title": "Wasps", "text": "", "until": None}
    notice = post_notice(event=event, actor=build.ACTOR, now=build.NOW, **words)
    return {
        ("course", "pk"): layout.pk,
        ("course", "place"): place.pk,
        ("course", "number"): layout.versions.get().number,
        ("safety", "pk"): notice.pk,
        ("hazard", "pk"): hazard.pk,
        ("safety", "what"): "course",
        ("suspension", "pk"): 0,
        ("suspension", "ruling"): 0,
    }


def pages(event: Event, client: Client, values: dict[tuple[str, str], Any]) -> Iterator[tuple[str, str, str]]:
    """Namespace, name and text of every whole page that opens."""
    for space, name, parameters in named(get_resolver().url_patterns):
        of = "hazard" if name == "hazard" else space
        asked = {key: values[of, key] for key in parameters if key != "slug"}
        answer = client.get(reverse(f"{space}:{name}", args=[event.slug, *asked.values()]))
        if answer.status_code == 200 and answer["Content-Type"].startswith("text/html"):
            html = unquote(answer.content.decode())
            if "<html" in html:
                yield space, name, html


@pytest.mark.parametrize("stopped", [False, True])
def test_every_page_of_course_and_weather_carries_the_cautions(
    event: Event, client_as: Callable[[Role], Client], lived: dict[tuple[str, str], Any], stopped: bool
) -> None:
    moment = build.NOW + timedelta(minutes=5)
    if stopped:
        facts = {
            "cause": "lightning",
            "words": "",
            "where_to_go": "",
            "signalled_at": moment,
            "sounded": True,
        }
        groups = ABOVE_SAFETY.groups(event, moment)
        suspend(event=event, groups=groups, actor=build.ACTOR, now=moment, **facts)
    with time_machine.travel(moment, tick=False):
        opened = list(pages(event, client_as(Role.DIRECTOR), lived))

    assert len(opened) >= FEWEST_PAGES, [name for _, name, _ in opened]
    lacking = [(space, name) for space, name, html in opened if [c for c in CARRIED[space] if c not in html]]
    assert lacking == []
