"""Fixtures for all tests."""

from collections.abc import Callable, Iterator

import pytest
from django.db import connection
from django.test import Client

import build
from events.log import guard
from events.setup.models import Event, Role


@pytest.fixture(autouse=True)
def _lift_log_guard(request: pytest.FixtureRequest) -> Iterator[None]:
    """Tests with real transactions empty the tables afterwards, which the log's guard would refuse."""
    marker = request.node.get_closest_marker("django_db")
    transactional = "live_server" in request.fixturenames or "transactional_db" in request.fixturenames
    if not transactional and not (marker and marker.kwargs.get("transaction")):
        yield
        return
    request.getfixturevalue("transactional_db")
    guard.lift(connection)
    yield
    guard.lift(connection)
    guard.install(connection)


@pytest.fixture
def event(db: None) -> Event:
    return build.make_event()


@pytest.fixture
def client_as(event: Event) -> Callable[[Role], Client]:
    """A browser that is signed in with a role at `event`."""

    def sign_in(role: Role) -> Client:
        client = Client()
        client.force_login(build.make_user(event, role))
        return client

    return sign_in
