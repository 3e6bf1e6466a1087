"""Pictures that a phone took: turned upright, made small, without the place and device that a camera writes into them.

Pure: bytes in, bytes out.
"""

import io
from dataclasses import dataclass
from typing import IO

from PIL import Image, ImageOps, UnidentifiedImageError

MOST_BYTES = 15_000_000  # what a phone's camera makes, with room
MOST_PIXELS = 60_000_000  # beyond it no camera picture: it is not even opened
LONGEST_SIDE = 1600  # writing on paper stays legible; the product's own choice
QUALITY = 80
_FORMATS = ("JPEG", "PNG", "WEBP")
NO_PICTURE = "This is no picture that can be read: take it as JPEG, PNG or WebP."


class PictureRefused(Exception):
    """No picture, or too large a one; the message is a sentence to show."""


@dataclass(frozen=True, slots=True)
class Picture:
    """JPEG bytes and the size in pixels."""

    content: bytes
    width: int
    height: int


def small_picture(file: IO[bytes], size: int | None) -> Picture:
    """The picture as JPEG, upright; only pixels are carried over. `size`: the file's bytes. Raises PictureRefused."""
    if (size or 0) > MOST_BYTES:
        most = f"{MOST_BYTES // 1_000_000} MB"
        raise PictureRefused(
            f"The picture is larger than {most}: take it with a lower resolution, or cut it."
        )
    try:
        with Image.open(file, formats=_FORMATS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise PictureRefused("The picture has too many pixels: take it with less.")
            upright = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise PictureRefused(NO_PICTURE) from None
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=QUALITY, optimize=True)
    return Picture(out.getvalue(), *upright.size)
