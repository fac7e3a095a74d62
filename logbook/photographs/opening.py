"""A picture's bytes opened within limits: nothing is decoded before its size is known.

The limits are of pixels, since a few kilobytes can ask for gigabytes.
"""

from __future__ import annotations

import io
import warnings
from typing import TYPE_CHECKING

from ..diagnostics import ProblemsFound, stop

if TYPE_CHECKING:
    from PIL.Image import Image as Opened

MOST_BYTES = 100_000_000
MOST_PIXELS = 120_000_000  # of a JPEG, which is made smaller while it is decoded
MOST_PIXELS_WHOLE = 50_000_000  # of what has to be decoded whole
FORMATS = ("JPEG", "MPO", "PNG", "WEBP", "TIFF", "GIF", "BMP", "HEIF")
SUFFIXES = frozenset((".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".gif", ".bmp", ".heic", ".heif"))
HEIC = (b"ftypheic", b"ftypheix", b"ftyphevc", b"ftypmif1", b"ftypmsf1", b"ftypheim", b"ftypheis")
_SAVE = "save it again as JPEG or PNG"


def is_heic(raw: bytes) -> bool:
    """Whether these are a HEIC picture's bytes, by the brand they begin with."""
    return raw[4:12] in HEIC


def with_heic(shown: str) -> None:
    """Let Pillow read what telephones make. Raises ProblemsFound where the library for it is missing."""
    try:
        import pillow_heif
    except ImportError:
        raise stop(
            "this is a HEIC picture, which needs one library more",
            path=shown,
            hint="python -m pip install pillow-heif, or save it as JPEG",
        ) from None
    pillow_heif.register_heif_opener()


def open_picture(raw: bytes, shown: str) -> Opened:
    """The picture, its head read and its pixels not. Raises ProblemsFound for what is none and for what is too large."""
    from PIL import Image, UnidentifiedImageError

    if is_heic(raw):
        with_heic(shown)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the limit below is ours
            opened = Image.open(io.BytesIO(raw), formats=_known())
    except Image.DecompressionBombError:
        raise _too_large(shown, "") from None
    except (OSError, UnidentifiedImageError, ValueError, SyntaxError, EOFError):
        raise no_picture(shown) from None
    most = MOST_PIXELS if opened.format in ("JPEG", "MPO") else MOST_PIXELS_WHOLE
    if opened.width * opened.height > most:
        raise _too_large(shown, f": {opened.width} × {opened.height} pixels")
    return opened


def _known() -> list[str]:
    """The formats that are read, of those that Pillow knows by now: HEIF only where its library is there."""
    from PIL import Image

    Image.init()
    return [name for name in FORMATS if name in Image.OPEN]


def no_picture(shown: str) -> ProblemsFound:
    """What is said of bytes that are no picture."""
    return stop("this can't be read as a picture", path=shown, hint=_SAVE)


def _too_large(shown: str, size: str) -> ProblemsFound:
    return stop(
        f"the picture is too large{size}", path=shown, hint="save a smaller copy; 12 million pixels are plenty"
    )
