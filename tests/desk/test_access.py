"""Every address, for every role: closed unless the view says otherwise, and each view says something."""

from collections.abc import Iterator

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

import build
from events.setup.models import Event, Role

# Example values for the parts of addresses. Access is decided before any object is looked up.
EXAMPLES = {
    "slug": "quiet-pines",
    "uidb64": "MQ",
    "token": "none",
    "path": "x",
    "code": "MA1",
    "key": "card.return_minutes",
    "call": "6d2c0a53-6a0c-4f4e-9a55-0f5b6f0d5a11",
}
FEWEST_PAGES = 40


def walk(patterns: list[URLPattern | URLResolver], prefix: str = "") -> Iterator[tuple[str, URLPattern]]:
    for pattern in patterns:
        route = prefix + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from walk(pattern.url_patterns, route)
        else:
            yield route, pattern


ADDRESSES = sorted(walk(get_resolver().url_patterns), key=lambda found: found[0])


def address(route: str) -> str:
    """The route with an example in the place of each parameter."""
    parts = []
    for part in route.split("<"):
        if ">" not in part:
            parts.append(part)
            continue
        parameter, rest = part.split(">", 1)
        kind, _, name = parameter.rpartition(":")
        parts.append(("1" if kind == "int" else EXAMPLES.get(name, "x")) + rest)
    return "/" + "".join(parts)


def test_the_walk_finds_the_pages():
    assert len(ADDRESSES) >= FEWEST_PAGES


@pytest.mark.parametrize("route", [route for route, _ in ADDRESSES])
def test_each_view_says_whom_it_is_for(route):
    view = dict(ADDRESSES)[route].callback
    assert getattr(view, "audience", None) in {"public", "signed in", "staff", "installation"}, route
    if view.audience == "staff":
        assert route.startswith("desk/<slug:slug>/")
        assert Role.VIEWER not in view.write_roles
        assert Role.DIRECTOR in view.read_roles & view.write_roles


PUBLIC = {
    "sign-in/",
    "sign-out/",
    "first/<str:uidb64>/<str:token>/",
}
PUBLIC_PREFIXES = ("bag/", "board/", "countdown/", "group/", "spot-check/", "walk/")


def test_the_public_list_is_explicit():
    found = {route for route, pattern in ADDRESSES if pattern.callback.audience == "public"}
    assert {route for route in found if not route.startswith(PUBLIC_PREFIXES)} == PUBLIC


@pytest.fixture
def people(db: None) -> dict[str, User]:
    event = build.make_event()
    other = build.make_event("elsewhere")
    users = {role.value: build.make_user(event, role) for role in Role}
    users["director elsewhere"] = build.make_user(other, Role.DIRECTOR)
    users["installation"] = build.make_user(None, None, "installation")
    return users


def staff_pages() -> list[tuple[str, URLPattern]]:
    return [(route, pattern) for route, pattern in ADDRESSES if pattern.callback.audience == "staff"]


@pytest.mark.parametrize("who", ["nobody", "director elsewhere", *Role.values])
def test_pages_of_an_event_open_only_for_their_roles(people, who):
    client = Client()
    client.raise_request_exception = False
    if who != "nobody":
        client.force_login(people[who])
    visited = 0
    for route, pattern in staff_pages():
        for method, roles in (("get", pattern.callback.read_roles), ("post", pattern.callback.write_roles)):
            answer = getattr(client, method)(address(route))
            visited += 1
            if who == "nobody":
                assert answer.status_code == 302, (method, route)
                assert answer["Location"].startswith("/sign-in/"), (method, route)
            elif who in roles:
                assert answer.status_code not in {403, 500}, (method, route, answer.status_code)
            else:
                assert answer.status_code == 403, (method, route, answer.status_code)
    assert visited == 2 * len(staff_pages()) >= FEWEST_PAGES


def test_an_event_that_does_not_exist_is_not_found(people):
    client = Client()
    client.force_login(people["installation"])
    assert client.get("/desk/nowhere/").status_code == 404
    assert Event.objects.count() == 2
