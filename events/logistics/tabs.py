"""The rooms of logistics as tabs, so that each page leads to the others."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse

from events.setup.models import Event

ROOMS: Sequence[tuple[str, str]] = (
    ("Countdown", "countdown:overview"),
    ("People", "crew:overview"),
    ("Things", "things:overview"),
    ("Course ready", "ready:overview"),
    ("Run of the day", "running:overview"),
    ("Messages", "event_messages:overview"),
    ("Lost and found", "logistics:found"),
    ("Incidents", "incidents:overview"),
)


@dataclass(frozen=True, slots=True)
class Tab:
    label: str
    url: str
    current: bool


def logistics_tabs(event: Event, current: str) -> list[Tab]:
    """For `parts/tabs.html`; `current` is the name of the page's own address."""
    tabs = []
    for label, name in ROOMS:
        try:
            tabs.append(Tab(label, reverse(name, args=[event.slug]), name == current))
        except NoReverseMatch:
            continue
    return tabs
