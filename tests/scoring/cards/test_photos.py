"""Photos of cards: readable, small, and without what a camera writes into them."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

import build
from build_cards import make_field, publish
from events.paper.pictures import LONGEST_SIDE, MOST_BYTES
from events.setup.models import Event, Round
from scoring.cards.keeping import CardRefused
from scoring.cards.models import CardPhoto
from scoring.cards.photos import keep_photo, put_photo_away

ORIENTATION, MAKE, GPS = 0x0112, 0x010F, 0x8825


@pytest.fixture
def round_(event: Event) -> Round:
    round_ = event.rounds.get(number=1)
    publish(round_, [make_field(event, 1)])
    return round_


def picture(size=(2400, 1200), kind="JPEG", **exif: object) -> bytes:
    image, out = Image.new("RGB", size, "white"), io.BytesIO()
    facts = Image.Exif()
    for tag, value in {ORIENTATION: 6, MAKE: "a camera", **exif}.items():
        facts[tag] = value
    facts.get_ifd(GPS)[1] = "N"
    image.save(out, kind, exif=facts)
    return out.getvalue()


def keep(round_: Round, content: bytes) -> CardPhoto:
    file = SimpleUploadedFile("card.jpg", content)
    return keep_photo(round=round_, group_number=1, file=file, actor=build.ACTOR, now=build.NOW)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_turned_made_small_and_says_nothing_of_its_place(round_: Round, kind: str):
    photo = keep(round_, picture(kind=kind))

    held = Image.open(io.BytesIO(bytes(photo.image)))
    assert held.format == "JPEG"
    assert held.size == (photo.width, photo.height) == (LONGEST_SIDE // 2, LONGEST_SIDE)
    assert not held.getexif()


@pytest.mark.parametrize("content", [b"", b"not a picture", picture()[:500], b"<svg xmlns='x'/>"])
def test_what_is_no_picture_is_refused(round_: Round, content: bytes):
    with pytest.raises(CardRefused, match="no picture that can be read"):
        keep(round_, content)
    assert not CardPhoto.objects.exists()


def test_a_picture_that_is_too_large_is_refused(round_: Round):
    with pytest.raises(CardRefused, match="larger than 15 MB"):
        keep(round_, b"x" * (MOST_BYTES + 1))


def test_a_photo_put_away_is_kept(round_: Round):
    photo = keep(round_, picture())

    put_photo_away(photo=photo, actor=build.ACTOR, now=build.NOW)

    photo.refresh_from_db()
    assert photo.taken_back_at == build.NOW
