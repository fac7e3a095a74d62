"""The bare picture: upright, at most 2,000 pixels, in plain colours, and with nothing of the file it came from.

What comes out is a fresh JPEG of pixels: no place, no device, no day, no preview, no profile.
"""

from __future__ import annotations

import contextlib
import io
from typing import TYPE_CHECKING

from .opening import no_picture, open_picture

if TYPE_CHECKING:
    from PIL.Image import Image as Opened

LONGEST_PIXELS = 2_000
QUALITY = 88
MOST_PROFILE_BYTES = 2_000_000


def stripped(raw: bytes, shown: str) -> bytes:
    """The same bytes for the same picture. Raises ProblemsFound where it can't be read, or is too large to be."""
    from PIL import Image, ImageOps

    opened = open_picture(raw, shown)
    try:
        with opened:
            opened.draft("RGB", (LONGEST_PIXELS, LONGEST_PIXELS))
            profile = opened.info.get("icc_profile")
            upright = ImageOps.exif_transpose(opened) or opened
            plain = _on_white(upright)
    except (OSError, ValueError, SyntaxError, EOFError, KeyError, TypeError, Image.DecompressionBombError):
        raise no_picture(shown) from None
    plain.thumbnail((LONGEST_PIXELS, LONGEST_PIXELS), Image.Resampling.LANCZOS)
    if isinstance(profile, bytes) and len(profile) <= MOST_PROFILE_BYTES:
        plain = _in_plain_colours(plain, profile)
    bare = Image.frombytes("RGB", plain.size, plain.tobytes())
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def _on_white(picture: Opened) -> Opened:
    """Three colours; what is transparent is white, and sixteen bits of gray are eight."""
    from PIL import Image

    if picture.mode.startswith("I"):
        picture = picture.point(lambda value: value / 257).convert("L")
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        shown = picture.convert("RGBA")
        picture = Image.alpha_composite(Image.new("RGBA", shown.size, "white"), shown)
    return picture.convert("RGB")


def _in_plain_colours(picture: Opened, profile: bytes) -> Opened:
    """The colours that a screen without a profile shows; a profile that can't be used is dropped."""
    from PIL import ImageCms

    with contextlib.suppress(ImageCms.PyCMSError, OSError, ValueError, TypeError):
        made = ImageCms.profileToProfile(
            picture, ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB")
        )
        return made or picture
    return picture
