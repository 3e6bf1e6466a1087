"""The kit's scripts in a real browser: search and scan at the desk, keys, clocks, an answer that stays away.

The page is the kit's own base and parts; a small desk behind it answers from memory, so that an answer can be
held back for as long as a test needs.
"""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import parse_qs, urlsplit
from zoneinfo import ZoneInfo

import django_htmx
import pytest
from django.template import engines
from django.template.loader import render_to_string
from playwright.sync_api import Page, Route, expect

pytestmark = pytest.mark.browser

STATIC = Path(__file__).resolve().parents[2] / "desk" / "static"
SHIPPED = Path(django_htmx.__file__).parent / "static"
TYPES = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml", ".woff2": "font/woff2"}
POLICY = "default-src 'self'"
PEOPLE = {"70000": "Siobhan Moravec", "70317": "Moritz Abernethy", "70634": "Asta Mortlake"}
NOW = datetime(2026, 6, 13, 14, 24, tzinfo=UTC)

ROWS = """<div class="rows c2 has-acts" id="found" role="grid" aria-label="Found" data-list data-q="{{ q }}">
{% for number, name in found %}<div class="row" id="e{{ number }}" role="row" data-row
    aria-selected="{% if forloop.first %}true{% else %}false{% endif %}">
  <div class="name" role="gridcell"><b>{{ name }}</b></div>
  <div class="acts keys" role="gridcell">
    <form method="post" action="/in/{{ number }}"><button data-primary>check in</button></form>
    <form method="post" action="/cash/{{ number }}"><button data-key="F2">take cash</button></form>
  </div>
</div>{% endfor %}</div>"""

DESK = (
    """{% extends "base.html" %}{% block title %}Check-in{% endblock %}{% block content %}
{% include "parts/find.html" with url="/found" q="" label="Find" note="name, member number or scan" %}"""
    + ROWS
    + """<button data-key="p" class="secondary">penalty</button>
{% include "parts/said.html" with text="Quist is checked in." kind="success" undo_url="/undo" %}
<p>closes <time data-until="2026-06-13T15:15:00Z" data-warn="60">soon</time>, out
<time data-since="2026-06-13T13:57:00Z" data-warn="30">long</time></p>{% endblock %}
{% block state %}{% include "parts/count.html" with figure=64 of=90 unit=None %}{% endblock %}"""
)


def written(template: str, **context: Any) -> str:
    return engines["django"].from_string(template).render(context)


class Desk:
    """Serves the page and what it asks for; remembers every POST."""

    def __init__(self) -> None:
        self.posts: list[str] = []
        self.held: list[Route] = []
        self.hold = False
        self.dead = False
        self.html = (
            self.page()
        )  # written here, so that a fault in a template fails at once and not by a timeout

    def found(self, q: str) -> str:
        rows = [(number, name) for number, name in PEOPLE.items() if q.lower() in f"{number} {name}".lower()]
        return written(ROWS, q=q, found=rows)

    def page(self) -> str:
        local = NOW.astimezone(ZoneInfo("America/Chicago"))
        return written(
            DESK,
            q="",
            found=list(PEOPLE.items()),
            csrf_token="x" * 32,
            messages=[],
            event=SimpleNamespace(name="Harbour Hollow Classic", slug="hhc"),
            role_label="desk",
            now_local=local,
            nav=[{"label": "Desk", "url": "/", "current": True}],
            user=SimpleNamespace(is_authenticated=True, get_short_name="Wren", get_username="wren"),
        )

    def answer(self, route: Route) -> None:
        url = urlsplit(route.request.url)
        if route.request.method == "POST":
            self.posts.append(url.path)
            route.fulfill(status=204)
        elif url.path.startswith("/static/"):
            name = url.path.removeprefix("/static/")
            path = next(folder / name for folder in (STATIC, SHIPPED) if (folder / name).is_file())
            route.fulfill(body=path.read_bytes(), content_type=TYPES[path.suffix])
        elif url.path == "/found" and self.dead:
            route.abort()
        elif url.path == "/found" and self.hold:
            self.held.append(route)
        elif url.path == "/found":
            self.release(route)
        else:
            route.fulfill(
                body=self.page(), content_type="text/html", headers={"Content-Security-Policy": POLICY}
            )

    def release(self, route: Route) -> None:
        q = parse_qs(urlsplit(route.request.url).query).get("q", [""])[0]
        route.fulfill(body=self.found(q), content_type="text/html")


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    quiet = [
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
    ]
    return {
        "executable_path": "/usr/bin/chromium",
        "args": [*quiet, "--disable-component-update", "--disable-sync"],
    }


@pytest.fixture
def desk(page: Page) -> Iterator[Desk]:
    """The desk's page is open, its clock says 09:24 at the venue; nothing may be said on the console."""
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.clock.install(time=NOW)
    desk = Desk()
    page.route("**/*", desk.answer)
    page.goto("http://laptop.invalid/")
    yield desk
    assert said == [] or desk.dead


def marked(page: Page) -> str:
    return page.locator('[data-row][aria-selected="true"]').inner_text().splitlines()[0]


def posts(page: Page, desk: Desk) -> list[str]:
    """What was posted, after giving the browser up to two seconds to do it."""
    for _ in range(40):
        page.wait_for_timeout(50)
        if desk.posts:
            break
    return desk.posts


def search(page: Page, text: str) -> None:
    page.keyboard.type(text)
    page.clock.run_for(200)
    expect(page.locator("#found")).to_have_attribute("data-q", text)


def test_the_field_has_the_focus_and_the_first_row_is_marked(page: Page, desk: Desk) -> None:
    expect(page.get_by_role("combobox")).to_be_focused()
    assert marked(page) == "Siobhan Moravec"
    expect(page.get_by_role("combobox")).to_have_attribute("aria-activedescendant", "e70000")


def test_arrows_move_the_mark_and_enter_presses_its_main_action(page: Page, desk: Desk) -> None:
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowUp")
    assert marked(page) == "Moritz Abernethy"
    page.keyboard.press("Enter")
    assert posts(page, desk) == ["/in/70317"]


def test_a_key_acts_on_the_marked_row_also_while_typing(page: Page, desk: Desk) -> None:
    page.keyboard.press("ArrowDown")
    page.keyboard.press("F2")
    assert posts(page, desk) == ["/cash/70317"]


def test_enter_waits_for_the_rows_of_a_scanned_number(page: Page, desk: Desk) -> None:
    desk.hold = True
    page.keyboard.type("70634")
    page.keyboard.press("Enter")
    page.clock.run_for(200)
    page.wait_for_timeout(100)
    assert desk.posts == []
    desk.release(desk.held[-1])
    expect(page.locator("[data-row]")).to_have_count(1)
    page.clock.run_for(100)
    assert posts(page, desk) == ["/in/70634"]


def test_enter_before_the_answer_takes_nobody_when_several_are_found(page: Page, desk: Desk) -> None:
    desk.hold = True
    page.keyboard.type("mor")
    page.keyboard.press("Enter")
    page.clock.run_for(200)
    page.wait_for_timeout(100)
    desk.release(desk.held[-1])
    expect(page.locator("#found")).to_have_attribute("data-q", "mor")
    page.clock.run_for(100)
    assert desk.posts == []
    page.keyboard.press("Enter")
    assert posts(page, desk) == ["/in/70000"]


def test_the_mark_starts_at_the_top_for_a_new_search(page: Page, desk: Desk) -> None:
    page.keyboard.press("ArrowDown")
    search(page, "mor")
    page.clock.run_for(100)
    assert marked(page) == "Siobhan Moravec"


def test_the_mark_stays_when_the_same_rows_come_again(page: Page, desk: Desk) -> None:
    search(page, "mor")
    page.keyboard.press("ArrowDown")
    page.evaluate("htmx.ajax('GET', '/found?q=mor', {target: '#found', swap: 'outerHTML'})")
    page.wait_for_timeout(100)
    page.clock.run_for(100)
    assert marked(page) == "Moritz Abernethy"


def test_plain_letters_belong_to_the_field_until_it_is_left(page: Page, desk: Desk) -> None:
    page.evaluate(
        "document.querySelector('[data-key=p]').addEventListener('click', (e) => e.target.dataset.hit = 1)"
    )
    page.keyboard.press("p")
    assert page.locator("[data-key=p]").get_attribute("data-hit") is None
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("p")
    assert page.locator("[data-key=p]").get_attribute("data-hit") == "1"


def test_undo_belongs_to_the_field_while_there_is_something_typed(page: Page, desk: Desk) -> None:
    page.keyboard.type("x")
    page.keyboard.press("Control+z")
    page.wait_for_timeout(50)
    assert desk.posts == []
    page.get_by_role("combobox").fill("")
    page.keyboard.press("Control+z")
    assert posts(page, desk) == ["/undo"]


def test_clocks_run_in_the_zone_of_the_event(page: Page, desk: Desk) -> None:
    clock, until, since = (page.locator(f"time[data-{name}]") for name in ("clock", "until", "since"))
    assert [clock.inner_text(), until.inner_text(), since.inner_text()] == [
        "Sat 09:24",
        "in 51 minutes",
        "27 min",
    ]
    assert [until.get_attribute("class"), since.get_attribute("class")] == ["needs", None]
    page.clock.run_for(4 * 60_000)
    assert [clock.inner_text(), until.inner_text(), since.inner_text()] == [
        "Sat 09:28",
        "in 47 minutes",
        "31 min",
    ]
    assert since.get_attribute("class") == "needs"
    page.clock.run_for(60 * 60_000)
    assert [until.inner_text(), since.inner_text()] == ["13 minutes ago", "1 h 31 min"]


def test_a_device_with_a_wrong_clock_shows_the_time_of_the_laptop(page: Page, desk: Desk) -> None:
    page.clock.set_system_time(datetime(2026, 6, 13, 11, 0, tzinfo=UTC))
    page.reload()
    assert page.locator("time[data-clock]").inner_text() == "Sat 09:24"


def test_no_answer_is_said_in_words_until_there_is_one(page: Page, desk: Desk) -> None:
    desk.dead = True
    page.keyboard.type("mor")
    page.clock.run_for(200)
    expect(page.get_by_role("alert")).to_have_text(
        "No answer from the laptop. Nothing was saved; what you typed is still here."
    )
    desk.dead = False
    page.keyboard.type("t")
    page.clock.run_for(200)
    expect(page.locator("#no-answer")).to_be_hidden()
    desk.dead = True  # what the console said about the first search is expected


def test_the_sign_in_page_marks_what_is_missing(page: Page, desk: Desk) -> None:
    from django.contrib.auth.forms import AuthenticationForm

    form = AuthenticationForm(None, data={"username": "", "password": "x"})
    html = render_to_string("registration/login.html", {"form": form, "next": "", "csrf_token": "x" * 32})
    page.route("**/sign-in", lambda route: route.fulfill(body=html, content_type="text/html"))
    page.goto("http://laptop.invalid/sign-in")
    name = page.get_by_label("Username")
    assert name.get_attribute("aria-invalid") == "true"
    described = page.locator(f"#{name.get_attribute('aria-describedby')}")
    assert described.inner_text() == "This field is required."
