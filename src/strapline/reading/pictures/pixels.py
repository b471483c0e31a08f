"""A picture's pixels, and nothing else of it."""

import io
import warnings
from typing import BinaryIO

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from strapline.reading.pictures.unreadable import UnreadablePicture

# ISO/IEC 15948 and ITU-T T.81.
_BEGINNINGS = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")
FORMATS = ("PNG", "JPEG", "WEBP")
# The largest usual screen has 3,840 by 2,160; reading so many takes half a gigabyte of memory.
MOST_PIXELS = 10_000_000
SMALLEST_SIDE = 60
_TOO_LARGE = (
    f"The picture has more than {MOST_PIXELS / 1e6:.0f} million pixels; cut it down to the plot."
)
_BROKEN = "The picture is damaged or cut off; take or copy it again."


def is_picture(file: BinaryIO) -> bool:
    """Whether the content begins as a PNG, JPEG or WebP picture does."""
    file.seek(0)
    head = file.read(12)
    return head.startswith(_BEGINNINGS) or (head[:4], head[8:]) == (b"RIFF", b"WEBP")


def pixels_of(content: bytes) -> np.ndarray:
    """Red, green and blue of each pixel, 0 to 255, shape (height, width, 3), from a PNG, JPEG or
    WebP picture. What is see-through stands on white; nothing of what the file says besides is
    looked at but which side is up (Exif, tag 0x0112).

    Raises UnreadablePicture with a sentence where there is no such picture, or one of no screen.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            return _decoded(content)
    except UnidentifiedImageError:
        raise UnreadablePicture("The picture is no PNG, JPEG or WebP; save it as PNG.") from None
    except (Image.DecompressionBombWarning, Image.DecompressionBombError, MemoryError):
        raise UnreadablePicture(_TOO_LARGE) from None
    except (OSError, SyntaxError, ValueError, EOFError, IndexError, OverflowError) as error:
        if isinstance(error, UnreadablePicture):
            raise
        raise UnreadablePicture(_BROKEN) from None


def _decoded(content: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(content), formats=FORMATS) as picture:
        if picture.width * picture.height > MOST_PIXELS:
            raise UnreadablePicture(_TOO_LARGE)
        if min(picture.size) < SMALLEST_SIDE:
            raise UnreadablePicture(
                f"The picture has {picture.width} by {picture.height} pixels, which is too small "
                f"for a curve; each side must have at least {SMALLEST_SIDE}."
            )
        if getattr(picture, "n_frames", 1) > 1:
            raise UnreadablePicture("The picture moves; save one still picture of the screen.")
        picture.load()
        if picture.mode.startswith(("I", "F")):
            raise UnreadablePicture(
                "The picture has more than 8 bits a colour, as no screenshot has; save it as PNG "
                "with 8."
            )
        upright = ImageOps.exif_transpose(picture)
        if not upright.has_transparency_data:
            return np.asarray(upright.convert("RGB"))
        opaque = Image.new("RGBA", upright.size, "white")
        opaque.alpha_composite(upright.convert("RGBA"))
        return np.asarray(opaque.convert("RGB"))
