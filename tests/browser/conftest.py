"""A real Chromium against the live server, signed in, whose console must stay empty."""

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.auth.models import User
from django.contrib.sessions.backends.db import SessionStore
from playwright.sync_api import BrowserContext, ConsoleMessage, Page

import build
from desk.boot import browser as installed
from events.setup.models import Event, Role

# Playwright runs an event loop in the test's own thread; the database is still used by that thread alone.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    """The Chromium that is installed; without one the tests are skipped, unless CI requires it."""
    path = installed.find()
    if path is None and not installed.is_required():
        pytest.skip("no Chromium is installed")
    return {"executable_path": path, "args": QUIET}


@pytest.fixture(scope="session")
def browser_context_args() -> dict[str, Any]:
    return {"viewport": {"width": 1366, "height": 768}, "timezone_id": "UTC"}


@pytest.fixture
def event(live_server: Any) -> Event:
    """The small event of `build`, committed, so that the server's threads see it."""
    return build.make_event()


@pytest.fixture
def quiet(context: BrowserContext) -> Iterator[list[str]]:
    """What the pages say on the console or throw; the test fails if that is anything at all."""
    said: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        if message.type != "info":  # what the browser remarks, as that a field had the focus already
            said.append(f"{message.type}: {message.text}")

    def listen(page: Page) -> None:
        page.on("console", hear)
        page.on("pageerror", lambda error: said.append(str(error)))

    context.on("page", listen)
    yield said
    assert said == []


def sign_in(context: BrowserContext, user: User, url: str) -> None:
    """Give the browser a session of this account."""
    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.save()
    assert session.session_key
    context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": session.session_key, "url": url}])


@pytest.fixture
def signed_in_page(
    event: Event, context: BrowserContext, quiet: list[str], live_server: Any
) -> Callable[[Role], Page]:
    """A page whose browser is signed in with a role at `event`; its addresses may be given without the host."""

    def open_page(role: Role) -> Page:
        sign_in(context, build.make_user(event, role, f"{role}-browser"), live_server.url)
        return context.new_page()

    return open_page


@pytest.fixture
def base_url(live_server: Any) -> str:
    return str(live_server.url)
