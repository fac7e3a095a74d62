"""Codes in a photograph, and whether it seems to show one that can't be read.

On the safe side: what has one corner of a code is taken for a code, since the pictures behind it would otherwise be given to
the tree before.
"""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np

from ..values import dataclass
from .registration import Gray, find_codes

MOST_PIXELS = 1_600_000  # for what is only looked for
LEAST_CORNER_PX = 7
LEAST_SQUARE = 0.82  # of the rectangle about an outline: a round one fills 0.79 of it


@dataclass(frozen=True, slots=True)
class PictureCode:
    """A code's text, and its side as a share of the picture's shorter one."""

    text: str
    share: float


@dataclass(frozen=True, slots=True)
class PictureCodes:
    """What codes a picture shows; `unread`: there seems to be one more that can't be read."""

    read: tuple[PictureCode, ...]
    unread: bool


def look_for_codes(gray: Gray) -> PictureCodes:
    """Every code in a picture that can be read, and whether there seems to be one that can't."""
    found = find_codes(gray)
    shorter = min(gray.shape)
    read = tuple({code.text: PictureCode(code.text, code.side / shorter) for code in found}.values())
    small, grown = _smaller(gray)
    cover = small.copy()
    for code in found:  # what is read is painted over, so that a corner left over is another one's
        about = (code.corners - code.corners.mean(axis=0)) * 1.25 + code.corners.mean(axis=0)
        cv2.fillConvexPoly(cover, np.round(about / grown).astype(np.int32), 128)
    return PictureCodes(read, seems_to_show_a_code(cover))


def _smaller(gray: Gray) -> tuple[Gray, float]:
    factor = min(1.0, float(np.sqrt(MOST_PIXELS / gray.size)))
    if factor == 1.0:
        return gray, 1.0
    small = cv2.resize(gray, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    return small.astype(np.uint8), 1 / factor


def seems_to_show_a_code(gray: Gray) -> bool:
    """Whether a reader finds a code with faults, or a corner mark of one stands there."""
    return _with_faults(gray) or _corner_marks(gray)


def _with_faults(gray: Gray) -> bool:
    import zxingcpp

    model_2: Any = zxingcpp.BarcodeFormat.QRCodeModel2
    return bool(zxingcpp.read_barcodes(gray, formats=model_2, try_invert=False, return_errors=True))


def _corner_marks(gray: Gray) -> bool:
    """A corner mark of a code is a dark square in a light ring in a dark ring (ISO/IEC 18004): three outlines, one in another."""
    half = cv2.resize(gray, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA).astype(np.uint8)
    return any(_has_mark(one, block) for one in (gray, half) for block in (21, 51))


def _has_mark(gray: Gray, block: int) -> bool:
    dark = cv2.adaptiveThreshold(
        cv2.GaussianBlur(gray, (3, 3), 0), 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, block, 10
    )
    outlines, tree = cv2.findContours(dark, cv2.RETR_TREE, cv2.CHAIN_APPROX_SIMPLE)
    for index, (_, _, child, _) in enumerate(tree[0] if tree is not None else ()):
        inner = tree[0][child][2] if child >= 0 else -1
        if inner >= 0 and _like_a_mark(outlines[index], outlines[child], outlines[inner]):
            return True
    return False


def _like_a_mark(outer: Any, ring: Any, core: Any) -> bool:
    """Seven to five to three modules, square, and about one middle."""
    whole, between, inside = (float(np.sqrt(cv2.contourArea(one))) for one in (outer, ring, core))
    if whole < LEAST_CORNER_PX or not (
        1.15 * between < whole < 1.9 * between and 1.25 * inside < between < 2.4 * inside
    ):
        return False
    (x, y), (wide, high), _ = cv2.minAreaRect(outer)
    (u, v), (across, along), _ = cv2.minAreaRect(core)
    off = max(abs(x - u), abs(y - v))
    square = whole**2 > LEAST_SQUARE * wide * high and inside**2 > LEAST_SQUARE * across * along
    return bool(off < 0.12 * whole and square and 0.5 < wide / high < 2.0)
