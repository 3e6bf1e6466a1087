"""A phone on the course walk: work is tapped and undone, a lost connection loses neither taps nor photos."""

import io
from collections.abc import Iterator
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

from events.log.services import Actor
from events.logistics.ready.links import walk_path
from events.logistics.ready.models import HolePhoto, WorkAct
from events.setup.models import Event

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TOO_WIDE = """all => all.filter(e => e.checkVisibility() && e.getBoundingClientRect().right > innerWidth)
    .map(e => e.outerHTML.slice(0, 80))"""
TOO_LOW = """all => all.map(e => [e.textContent.trim(), e.getBoundingClientRect().height])
    .filter(([, height]) => height && height < 43.5)"""
NO_NET = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")
WALKER = Actor(name="Oda Brink (walk)")


@pytest.fixture(scope="session")
def browser_context_args() -> dict[str, Any]:
    return {"viewport": {"width": 390, "height": 844}, "has_touch": True, "timezone_id": "UTC"}


@pytest.fixture
def phone(context: BrowserContext, quiet: list[str]) -> Iterator[Page]:
    yield context.new_page()
    # That an address was not reached is what these tests ask for; everything else on the console is a fault.
    quiet[:] = [line for line in quiet if not any(word in line for word in NO_NET)]


def jpeg() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "green").save(out, "JPEG")
    return out.getvalue()


def open_walk(page: Page, base_url: str, event: Event) -> None:
    page.goto(f"{base_url}{walk_path(event)}")
    expect(page.locator("#sending")).to_have_text("everything is sent")
    page.get_by_label("Your name").fill("Oda Brink")


def work(page: Page, words: str) -> Any:
    return page.locator(".walk-hole[open]").get_by_role("button", name=words)


def test_work_is_tapped_and_undone_under_the_walkers_name(phone: Page, base_url: str, event: Event) -> None:
    open_walk(phone, base_url, event)
    work(phone, "Tee clear and marked").tap()
    expect(work(phone, "Tee clear and marked")).to_have_attribute("aria-pressed", "true")
    expect(work(phone, "Tee clear and marked")).to_contain_text("Oda Brink")
    expect(phone.locator(".walk-sum")).to_contain_text("1 of 54 done")
    work(phone, "Tee clear and marked").tap()
    expect(work(phone, "Tee clear and marked")).to_have_attribute("aria-pressed", "false")
    expect(phone.locator("#sending")).to_have_text("everything is sent")
    assert list(WorkAct.objects.values_list("done", "by")) == [(True, WALKER.name), (False, WALKER.name)]
    phone.reload()
    expect(phone.get_by_label("Your name")).to_have_value("Oda Brink")


def test_a_lost_connection_loses_neither_taps_nor_photos(
    phone: Page, context: BrowserContext, base_url: str, event: Event
) -> None:
    open_walk(phone, base_url, event)
    context.set_offline(True)
    work(phone, "Tee clear and marked").tap()
    work(phone, "Chains and basket sound").tap()
    hole = phone.locator(".walk-hole[open]")
    hole.get_by_label("Photo of this hole").set_input_files(
        {"name": "hole.jpg", "mimeType": "image/jpeg", "buffer": jpeg()}
    )
    hole.get_by_role("button", name="Send the photo").tap()
    expect(phone.locator("#sending")).to_contain_text("2 taps and 1 photo not sent yet: kept on this phone")
    expect(hole.locator(".left")).to_have_text("1 open")
    assert not WorkAct.objects.exists()
    context.set_offline(False)
    expect(phone.locator("#sending")).to_have_text("everything is sent")
    assert WorkAct.objects.filter(done=True, by=WALKER.name).count() == 2
    photo = HolePhoto.objects.get()
    assert (photo.width, photo.height, photo.by) == (60, 40, WALKER.name)


def test_what_was_tapped_without_a_connection_is_sent_by_the_page_that_is_opened_next(
    phone: Page, context: BrowserContext, base_url: str, event: Event
) -> None:
    open_walk(phone, base_url, event)
    phone.route("**/acts/", lambda route: route.abort())
    work(phone, "Tee clear and marked").tap()
    expect(phone.locator("#sending")).to_contain_text("1 tap not sent yet")
    phone.close()
    again = context.new_page()
    again.goto(f"{base_url}{walk_path(event)}")
    expect(again.locator("#sending")).to_have_text("everything is sent")
    assert WorkAct.objects.get().by == WALKER.name


def test_a_thumb_hits_and_nothing_runs_off_the_side(phone: Page, base_url: str, event: Event) -> None:
    open_walk(phone, base_url, event)
    assert (
        phone.locator("main button, main summary, main input:not([type=hidden])").evaluate_all(TOO_LOW) == []
    )
    for size in ("100%", "200%"):
        phone.evaluate("size => { document.documentElement.style.fontSize = size }", size)
        assert phone.locator("main *").evaluate_all(TOO_WIDE) == [], size
