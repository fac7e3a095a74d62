"""Pictures as gray arrays: photographs, and the pages of a scan, one at a time and never larger than can be handled."""

from __future__ import annotations

import io
import struct
import warnings
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

from ..diagnostics import stop
from ..photographs.opening import is_heic, with_heic
from ..storage.picture_limits import most_pixels
from .registration import Gray

if TYPE_CHECKING:
    from PIL.Image import Image as Opened

READ_PIXELS = 26_000_000  # what is worked on at most: larger pictures are halved while they are decoded
MOST_PAGES = 500
SCAN_DPI = 240
_HALVES = ((1, cv2.IMREAD_GRAYSCALE), (2, cv2.IMREAD_REDUCED_GRAYSCALE_2), (4, cv2.IMREAD_REDUCED_GRAYSCALE_4))
_TOO_LARGE = "save a smaller copy; 12 million pixels are plenty"


def pictures_in(raw: bytes, shown: str) -> Iterator[tuple[str, Gray]]:
    """Each picture of a file with its name: one, or as many as a scan has pages. Raises ProblemsFound."""
    if b"%PDF-" in raw[:1024]:
        yield from _scan(raw, shown)
    else:
        yield shown, _picture(raw, shown)


def _picture(raw: bytes, shown: str) -> Gray:
    from PIL import Image, UnidentifiedImageError

    if is_heic(raw):
        with_heic(shown)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the limit below is ours
            opened = Image.open(io.BytesIO(raw))
        wide, high = opened.size
        progressive = bool(opened.info.get("progressive"))
        if wide * high > most_pixels(opened.format, opened.mode, progressive=progressive):
            raise stop(f"the picture is too large: {wide} × {high} pixels", path=shown, hint=_TOO_LARGE)
        gray = _decoded_jpeg(raw, wide * high) if opened.format == "JPEG" else _decoded(opened)
    except Image.DecompressionBombError:
        raise stop("the picture is too large", path=shown, hint=_TOO_LARGE) from None
    except (OSError, UnidentifiedImageError, ValueError, SyntaxError, cv2.error, EOFError, struct.error, MemoryError):
        gray = None
    if gray is None:
        raise stop("this can't be read as a picture", path=shown, hint="save it again as JPEG or PNG")
    return gray


def _decoded_jpeg(raw: bytes, pixels: int) -> Gray | None:
    """By OpenCV, which can halve while it decodes. None where it can't read it."""
    flag = next((flag for factor, flag in _HALVES if pixels / factor**2 <= READ_PIXELS), _HALVES[-1][1])
    made = cv2.imdecode(np.frombuffer(raw, np.uint8), flag)
    return None if made is None else made.astype(np.uint8, copy=False)


def _decoded(opened: Opened) -> Gray:
    """By Pillow; what is transparent is white."""
    if opened.mode in ("RGBA", "LA", "PA") or "transparency" in opened.info:
        from PIL import Image

        shown = opened.convert("LA")
        opened = Image.new("L", shown.size, "white")
        opened.paste(shown.getchannel("L"), mask=shown.getchannel("A"))
    gray = np.asarray(opened.convert("L") if not opened.mode.startswith("I") else _narrowed(opened), dtype=np.uint8)
    while gray.size > READ_PIXELS:
        gray = cv2.resize(gray, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA).astype(np.uint8)
    return gray


def _narrowed(opened: Opened) -> Gray:
    """Sixteen bits of gray as eight."""
    return (np.asarray(opened, dtype=np.float32) / 257).clip(0, 255).astype(np.uint8)


def _scan(raw: bytes, shown: str) -> Iterator[tuple[str, Gray]]:
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(raw)
    except pypdfium2.PdfiumError as error:
        locked = "password" in str(error).lower()
        raise stop(
            "the PDF is locked with a password" if locked else "the PDF can't be read",
            path=shown,
            hint="save it again without one" if locked else "save it again from the program that made it",
        ) from None
    try:
        count = len(document)
        if count > MOST_PAGES:
            raise stop(
                f"the PDF has {count} pages; {MOST_PAGES} are read at once", path=shown, hint="give it in parts"
            )
        for number in range(count):
            name = shown if count == 1 else f"{shown} page {number + 1}"
            try:
                yield name, _page(document, number)
            except pypdfium2.PdfiumError:
                raise stop("this page of the PDF can't be read", path=name, hint="scan it again") from None
    finally:
        document.close()


def _page(document: Any, number: int) -> Gray:
    page = document[number]
    try:
        wide, high = page.get_size()
        scale = min(SCAN_DPI / 72, (READ_PIXELS / max(wide * high, 1.0)) ** 0.5)
        gray = page.render(scale=scale, grayscale=True).to_numpy()
        return np.array(gray.reshape(gray.shape[0], gray.shape[1]), dtype=np.uint8)
    finally:
        page.close()
