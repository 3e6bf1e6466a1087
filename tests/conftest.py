"""Fixtures for all tests."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from hypothesis import settings

import build
from events.log import guard
from events.setup.models import Event, Role

_guard_was_lifted = False


# A slow moment of a shared machine is no fault of the code: properties are checked, not timed.
settings.register_profile("starthorn", deadline=None)
settings.load_profile("starthorn")


@pytest.fixture(autouse=True)
def _lift_log_guard(request: pytest.FixtureRequest) -> None:
    """Tests with real transactions empty the tables afterwards, which the log's guard would refuse.

    The emptying comes after every fixture of ours, so the guard stays lifted until a test with a transaction
    that is rolled back puts it back for itself.
    """
    global _guard_was_lifted  # noqa: PLW0603 - one database for the whole run
    marker = request.node.get_closest_marker("django_db")
    transactional = {"live_server", "transactional_db"} & set(request.fixturenames)
    if transactional or (marker and marker.kwargs.get("transaction")):
        request.getfixturevalue("transactional_db")
        guard.lift(connection)
        _guard_was_lifted = True
    elif _guard_was_lifted and (marker or "db" in request.fixturenames):
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
