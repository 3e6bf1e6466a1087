"""Pictures of paper cards: turned upright, made small, without the place and device that a camera writes into them."""

import io
from datetime import datetime

from django.core.files.base import File
from django.db import transaction
from PIL import Image, ImageOps, UnidentifiedImageError

from events.log.actions import Action
from events.log.services import Actor, record
from events.setup.models import Round
from scoring.cards.keeping import CardRefused, claim, place_of, refuse_over
from scoring.cards.models import CardPhoto

MOST_BYTES = 15_000_000  # what a phone's camera makes, with room
MOST_PIXELS = 60_000_000  # beyond it no camera picture: it is not even opened
LONGEST_SIDE = 1600  # a card stays legible; the product's own choice
QUALITY = 80
_FORMATS = ("JPEG", "PNG", "WEBP")
NO_PICTURE = "This is no picture that can be read: take it as JPEG, PNG or WebP."


@transaction.atomic
def keep_photo(*, round: Round, group_number: int, file: "File[bytes]", actor: Actor, now: datetime) -> CardPhoto:
    """Keep a photo or scan with the card. Raises CardRefused for what is no picture or too large, and once the event
    is over."""
    if (file.size or 0) > MOST_BYTES:
        raise CardRefused(f"The picture is larger than {MOST_BYTES // 1_000_000} MB.")
    content, (width, height) = _small(file)
    locked, card = claim(round, group_number)
    refuse_over(locked)
    place_of(locked, group_number)
    photo = CardPhoto.objects.create(
        card=card, image=content, width=width, height=height, at=now, by=actor.name[:150]
    )
    _log(Action.PHOTO_KEPT, locked, photo, actor, now)
    return photo


@transaction.atomic
def put_photo_away(*, photo: CardPhoto, actor: Actor, now: datetime) -> None:
    """For a picture of another card. It is kept and no longer shown."""
    locked, _ = claim(photo.card.round, photo.card.group_number)
    refuse_over(locked)
    if CardPhoto.objects.filter(pk=photo.pk, taken_back_at=None).update(taken_back_at=now):
        _log(Action.PHOTO_TAKEN_BACK, locked, photo, actor, now)


def _small(file: "File[bytes]") -> tuple[bytes, tuple[int, int]]:
    """The picture as JPEG, upright, and its size. Only pixels are carried over."""
    try:
        with Image.open(file, formats=_FORMATS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise CardRefused("The picture has too many pixels: take it with less.")
            upright = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise CardRefused(NO_PICTURE) from None
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue(), upright.size


def _log(action: Action, round: Round, photo: CardPhoto, actor: Actor, now: datetime) -> None:
    record(
        chain=round.event.slug,
        action=action,
        subject=f"{round}, {photo.card}",
        actor=actor,
        now=now,
        detail={"round": round.number, "photo": photo.pk, "bytes": len(photo.image)},
    )
