"""What every page shows around its content: event, navigation, clock, role."""

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from events.setup.models import Role
from scoring.standings.stop_seen import stop_seen

# The director's day from left to right: words, address, and the first part of the addresses that belong to it.
NAVIGATION = [
    ("Today", "day", ""),
    ("Plan", "setup:plan", "plan"),
    ("Desk", "entries:desk", "entries"),
    ("Draw", "draw:overview", "draw"),
    ("Bags", "bags:overview", "bags"),
    ("Course", "course:layouts", "course"),
    ("Cards", "cards:room", "cards"),
    ("Board", "standings:overview", "standings"),
    ("Close", "report:close", "close"),
]
# Pages that are reached through another word of the day.
BELONGS = {
    "ratings": "standings",
    "notices": "standings",
    "playoffs": "standings",
    "penalties": "cards",
    "prizes": "close",
    "games": "close",
    "money": "close",
    "logistics": "plan",
    "log": "",
    "rules": "plan",
}


def page(request: HttpRequest) -> dict[str, Any]:
    """No queries: the middleware has read event and role already. `stop_seen` reads when a phone's page asks."""
    event = getattr(request, "event", None)
    role: Role | None = getattr(request, "role", None)
    return {
        "event": event,
        "role": role,
        "role_label": role.label if role else "",
        "nav": _navigation(request) if event is not None and role is not None else [],
        "now_local": timezone.localtime() if event is not None else None,
        "stop_seen": SimpleLazyObject(lambda: stop_seen(event, timezone.now()))
        if event is not None
        else None,
    }


def _navigation(request: HttpRequest) -> list[dict[str, Any]]:
    slug = request.event.slug  # type: ignore[attr-defined]
    part = request.path.split("/")
    here = part[3] if len(part) > 3 else ""
    return [
        {"label": label, "url": reverse(name, args=[slug]), "current": BELONGS.get(here, here) == first}
        for label, name, first in NAVIGATION
    ]
