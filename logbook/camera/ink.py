"""Whether a pencil line is written on, and the strip of it that is shown beside the place to type.

Nothing is read here. A blank line taken for a written one costs a glance; a written one taken for blank would be lost: so
little ink is enough.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np

from ..storage.printed import Spot
from ..values import dataclass
from .registration import Gray, Way, cut_bent
from .ruling import Rules
from .tick_boxes import darkness

PX_MM = 6.0
STRIP_PX_MM = 8.0
VIEW_PX_MM = 4.0
STRIP_QUALITY, VIEW_QUALITY, KEPT_QUALITY = 72, 55, 80  # of JPEG
EVEN_MM = 6.0  # shadows wider than this are taken out of a strip
LEAST_CONTRAST = 0.3
RULE_SHARE = 0.5  # of its length
RULE_MM = 0.85  # above the printed rule, where its blur ends
TOP_SHARE = 0.34  # of a line's height, where the tails of the line above may hang
TAILS_MM = 3.0  # how far they hang at most: a high field may hold several lines
TICK_MM = (14.6, 17.4)  # the small stroke that parts the day from the words
TICK_HIGH_MM = 3.0
INK = 0.035  # darker than the paper by so much
LEAST_MM2 = 0.35
LEAST_SPAN_MM = 0.9
NOISE = 4.0  # times the grain of the paper
MOST_INK = 0.22  # however grainy the picture, what is darker than this is ink


@dataclass(frozen=True, slots=True)
class Line:
    """A line or a place for a day: whether something stands on it; None where it is not in the picture."""

    spot: Spot
    written: bool | None


def look_at_line(gray: Gray, rules: Rules, spot: Spot) -> Line:
    """Whether something is written above this rule; None where too little of the rule is in the picture."""
    way = rules.way
    if rules.seen.get(spot, 0.0) < RULE_SHARE:
        return Line(spot, None)
    flat = cut_bent(gray, way, spot.x, spot.y, spot.width, spot.height, PX_MM)
    dark = cv2.GaussianBlur(darkness(flat, PX_MM, 3.0), (0, 0), 1.0)
    high = dark.shape[0]
    first = round(min(spot.height * TOP_SHARE, TAILS_MM) * PX_MM)
    last = high - round(RULE_MM * PX_MM)
    part = dark[first:last]
    least, paper = (
        float(v) for v in np.percentile(part[::2, ::2], (4, 25))
    )  # dense writing leaves little bare paper
    ink = (part > paper + min(max(INK, NOISE * (paper - least)), MOST_INK)).astype(np.uint8)
    left, right = (round(v * PX_MM) for v in TICK_MM)
    ink[max(0, ink.shape[0] - round((TICK_HIGH_MM - RULE_MM) * PX_MM)) :, left:right] = 0
    count, _, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    total = 0.0
    for wide, tall, area in stats[1:, 2:5] if count > 1 else ():
        if np.hypot(wide, tall) >= LEAST_SPAN_MM * PX_MM:
            total += float(area) / PX_MM**2
    return Line(spot, total >= LEAST_MM2)


def strip(gray: Gray, way: Way, spot: Spot, around_mm: float = 2.2) -> bytes:
    """A line or a box with a little of what is about it, as the bytes of a JPEG, even in tone."""
    wide, high = spot.width + 2 * around_mm, spot.height + 2 * around_mm
    flat = cut_bent(gray, way, spot.x - around_mm, spot.y - around_mm, wide, high, STRIP_PX_MM)
    dark = darkness(flat, STRIP_PX_MM, EVEN_MM)
    even = (250.0 * (1.0 - np.minimum(dark / max(float(dark.max()), LEAST_CONTRAST), 1.0))).astype(np.uint8)
    return _jpeg(even, STRIP_QUALITY)


def whole(gray: Gray, way: Way, spots: Sequence[Spot]) -> bytes:
    """The page from its first to its last square, small, even in tone, as the bytes of a JPEG."""
    left, top = min(s.x for s in spots), min(s.y for s in spots)
    right, bottom = max(s.x + s.width for s in spots), max(s.y + s.height for s in spots)
    flat = cut_bent(gray, way, left - 2, top - 2, right - left + 4, bottom - top + 4, VIEW_PX_MM)
    even = (250.0 * (1.0 - np.minimum(darkness(flat, VIEW_PX_MM, 12.0) * 1.3, 1.0))).astype(np.uint8)
    return _jpeg(even, VIEW_QUALITY)


def stacked(one: bytes, other: bytes) -> bytes:
    """Two strips of the same line, one below the other."""
    upper, lower = (cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_GRAYSCALE) for data in (one, other))
    if upper is None or lower is None:
        return one or other
    fitted = cv2.resize(lower, (upper.shape[1], lower.shape[0]), interpolation=cv2.INTER_AREA)
    return _jpeg(np.vstack([upper, fitted]).astype(np.uint8), STRIP_QUALITY)


def kept_copy(gray: Gray) -> bytes:
    """The picture itself as a gray JPEG: pixels alone, none of what the camera wrote about place and day."""
    return _jpeg(gray, KEPT_QUALITY)


def _jpeg(gray: Gray, quality: int) -> bytes:
    return cv2.imencode(".jpg", gray, [cv2.IMWRITE_JPEG_QUALITY, quality])[1].tobytes()
