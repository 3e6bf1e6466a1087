"""What is too large or too long: refused or named while it is chosen, with the mend; photos are made smaller first."""

import io
import re
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

from build_cards import make_field, publish
from desk.boot import network
from desk.management.commands import start
from desk.too_large import LARGEST_BODY
from events.logistics.ready.links import walk_path
from events.logistics.ready.models import HolePhoto
from events.paper import pictures
from events.setup.models import Event, Role
from scoring.cards.models import CardPhoto

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FORM = b"""<!doctype html><title>form</title><link rel="icon" href="data:,">
<form method="post" enctype="multipart/form-data"><input type="file" name="file"><button>Send</button></form>"""
UPLOAD = Path(settings.BASE_DIR, "desk/static/js/upload.js")


def picture(width: int, height: int) -> bytes:
    """A JPEG of noise, which does not get small by compression, with a place in it."""
    noise = Image.effect_noise((width, height), 90).convert("RGB")
    exif = Image.Exif()
    exif[0x010E] = "somewhere"
    out = io.BytesIO()
    noise.save(out, "JPEG", quality=95, exif=exif)
    return out.getvalue()


def jpeg(content: bytes) -> Any:
    return {"name": "card.jpg", "mimeType": "image/jpeg", "buffer": content}


def test_the_limits_in_the_browser_are_those_of_the_laptop() -> None:
    said = dict(re.findall(r"const (MOST_BYTES|LONGEST_SIDE) = ([\d_]+);", UPLOAD.read_text()))
    assert int(said["MOST_BYTES"]) == pictures.MOST_BYTES < LARGEST_BODY
    assert int(said["LONGEST_SIDE"]) == pictures.LONGEST_SIDE


@pytest.fixture
def walk(context: BrowserContext, quiet: list[str], base_url: str, event: Event) -> Page:
    page = context.new_page()
    page.goto(f"{base_url}{walk_path(event)}")
    return page


def test_a_photo_of_the_walk_is_made_smaller_before_it_is_sent(walk: Page) -> None:
    large = picture(4000, 2000)
    sent: list[int] = []
    walk.on(
        "request",
        lambda request: sent.append(len(request.post_data_buffer or b"")) if "photo" in request.url else None,
    )
    field = walk.locator(".walk-hole[open]").get_by_label("Photo of this hole")
    field.set_input_files(jpeg(large))
    walk.wait_for_function("field => field.files[0].name === 'photo.jpg'", arg=field.element_handle())
    walk.locator(".walk-hole[open]").get_by_role("button", name="Send the photo").click()
    expect(walk.locator(".walk-hole[open] .photo .soft")).to_have_text("1 kept")
    photo = HolePhoto.objects.get()
    assert (photo.width, photo.height) == (1600, 800)
    assert [size < len(large) / 3 for size in sent] == [True]
    assert not Image.open(io.BytesIO(bytes(photo.image))).getexif()


def test_a_photo_that_stays_too_large_is_refused_with_the_mend_and_another_is_taken(walk: Page) -> None:
    """Sixteen million bytes that no browser reads as a picture: they cannot be made smaller."""
    hole = walk.locator(".walk-hole[open]")
    field = hole.get_by_label("Photo of this hole")
    field.set_input_files(jpeg(b"\xff" * 16_000_000))
    said = hole.get_by_role("alert")
    expect(said).to_have_text(
        "“card.jpg” has 16.0 MB, and the laptop takes 15 MB at most: take it again with a lower resolution, or cut it."
    )
    hole.get_by_role("button", name="Send the photo").click()
    assert field.evaluate("field => field.validity.customError")
    field.set_input_files(jpeg(picture(60, 40)))
    expect(said).to_have_count(0)
    hole.get_by_role("button", name="Send the photo").click()
    expect(walk.locator(".walk-hole[open] .photo .soft")).to_have_text("1 kept")


def test_the_photo_of_a_card_is_made_smaller_at_the_desk_too(
    signed_in_page: Callable[[Role], Page], base_url: str, event: Event
) -> None:
    publish(event.rounds.get(number=1), [make_field(event, 3)])
    page = signed_in_page(Role.CARD_ROOM)
    page.goto(f"{base_url}/desk/{event.slug}/cards/?round=1&q=1")
    page.get_by_text("Confirmed by the players").click()
    field = page.get_by_label("Photo or scan of the paper card")
    field.set_input_files(jpeg(picture(2000, 4000)))
    page.wait_for_function("field => field.files[0].name === 'photo.jpg'", arg=field.element_handle())
    page.get_by_role("button", name="Keep it with the card").click()
    expect(page.get_by_role("img", name="Photo of the card")).to_have_count(1)
    photo = CardPhoto.objects.get()
    assert (photo.width, photo.height) == (800, 1600)


@pytest.fixture
def plain_server() -> Iterator[str]:
    """The server that ships, with one form and nothing else behind it."""

    def form(environ: Any, start_response: Any) -> list[bytes]:
        start_response("200 OK", [("Content-Type", "text/html"), ("Content-Length", str(len(FORM)))])
        return [FORM]

    with network.listen("127.0.0.1", 0) as listener:
        server = start.server_for(form, listener, behind_proxy=False)
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        yield "http://{}:{}/".format(*listener.getsockname()[:2])
        server.close()
        thread.join(10)


def test_what_is_sent_too_large_without_script_is_answered_by_a_sentence(
    browser: Any, plain_server: str, tmp_path: Path
) -> None:
    """Also one of which most is still to be sent when the laptop has refused it."""
    large = tmp_path / "list.xlsx"
    large.write_bytes(b"x" * 60_000_000)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(plain_server)
    page.locator("input").set_input_files(large)
    page.get_by_role("button", name="Send").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Too large to be taken")
    expect(page.locator("main")).to_contain_text("larger than 16 MB")
    context.close()


def test_what_a_field_does_not_hold_is_named(
    signed_in_page: Callable[[Role], Page], context: BrowserContext, base_url: str, event: Event
) -> None:
    """A browser cuts what is pasted at the field's end without a word."""
    page = signed_in_page(Role.DIRECTOR)
    page.goto(f"{base_url}/desk/{event.slug}/logistics/course/")
    field = page.get_by_label("Also to be done")
    field.fill("x" * 110)
    field.press("End")
    page.keyboard.insert_text("and rake the path")
    expect(field).to_have_value("x" * 110 + "and rake t")
    expect(page.locator(".own-line").get_by_role("status")).to_have_text(
        "This holds 120 letters: “he path” was left out."
    )
    field.press("Backspace")
    expect(page.locator(".own-line").get_by_role("status")).to_have_count(0)
