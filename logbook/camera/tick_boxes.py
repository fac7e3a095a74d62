"""Whether a printed box holds a mark: its frame is found to a tenth of a millimetre, and what is dark inside is weighed.

The rule is logistic on a few measures of the inside. Its weights were fitted on simulated marks (`tests/bench/camera.py
--tune`); between `EMPTY` and `MARKED` it says nothing, and the grower is asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import exp, sqrt

import cv2
import numpy as np
from numpy.typing import NDArray

from ..storage.printed import Spot
from ..values import dataclass
from .registration import Gray, Way, cut, inside

PX_MM = 12.0
AROUND_MM = 3.2
FRAME_MM = 0.35
SEARCH_MM = 1.7
INSET_MM = 0.6  # from the middle of the frame's line to what is weighed
LEAST_FRAME = 0.3  # of the page's usual frame, below which a box is not believed to be seen
STRAYS_MM = 0.7  # from where the other boxes of the page say that it is
EMPTY, MARKED = 0.01, 0.98
FEATURES = ("mean", "any", "dark", "span", "peak")
WEIGHTS = (10.547, 22.596, -10.913, 9.846, -2.15)
INTERCEPT = -20.551

Dark = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Look:
    """One box as it was seen: how sure a mark is (0 to 1), or nothing where the box itself was not seen."""

    spot: Spot
    mark: float | None
    features: tuple[float, ...] = ()

    @property
    def ticked(self) -> bool | None:
        """Marked or empty; None where it has to be asked."""
        if self.mark is None or EMPTY < self.mark < MARKED:
            return None
        return self.mark >= MARKED


@dataclass(slots=True)
class _Box:
    spot: Spot
    dark: Dark
    shift: tuple[float, float]
    frame: float


def look_at_boxes(gray: Gray, way: Way, spots: Sequence[Spot]) -> list[Look]:
    """Every box of a page. They share one ink and one drift, so an odd one is found out by the others."""
    boxes = [_found(gray, way, spot) if inside(gray, way, spot) else None for spot in spots]
    seen = [box for box in boxes if box is not None]
    usual = float(np.median([box.frame for box in seen])) if seen else 0.0
    drift = _drift([b for b in seen if b.frame >= 0.6 * usual])
    looks = []
    for spot, box in zip(spots, boxes, strict=True):
        if box is None or box.frame < LEAST_FRAME * usual or usual < 0.08 or _strays(box, drift):
            looks.append(Look(spot, None))
            continue
        measured = _features(box, usual)
        looks.append(Look(spot, _sure(measured), measured))
    return looks


def darkness(flat: Gray, px_mm: float, kernel_mm: float) -> Dark:
    """How much darker each place is than the paper about it, 0 to 1: a black top-hat, so that shadows do not count."""
    tiny = cv2.resize(flat, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    tiny = cv2.GaussianBlur(tiny, (0, 0), 0.8)
    side = max(3, round(kernel_mm * px_mm / 4)) | 1
    white = cv2.morphologyEx(tiny, cv2.MORPH_CLOSE, np.ones((side, side), np.uint8))
    white = cv2.resize(white, (flat.shape[1], flat.shape[0]), interpolation=cv2.INTER_LINEAR)
    return np.clip(1.0 - flat.astype(np.float32) / np.maximum(white, 1).astype(np.float32), 0.0, 1.0)


def _found(gray: Gray, way: Way, spot: Spot) -> _Box:
    """The box cut out of the picture, and where in it the frame really is."""
    wide, high = spot.width + 2 * AROUND_MM, spot.height + 2 * AROUND_MM
    flat = cut(gray, way, spot.x - AROUND_MM, spot.y - AROUND_MM, wide, high, PX_MM)
    dark = cv2.GaussianBlur(darkness(flat, PX_MM, spot.width + 1.0), (0, 0), 0.9)
    kernel = _kernel(round(spot.width, 2))
    reach = round(SEARCH_MM * PX_MM)
    start = round(AROUND_MM * PX_MM) - _MARGIN
    low = start - reach
    window = dark[low : low + kernel.shape[0] + 2 * reach, low : low + kernel.shape[1] + 2 * reach]
    score = cv2.matchTemplate(window, kernel, cv2.TM_CCORR)
    _, best, _, at = cv2.minMaxLoc(score)
    return _Box(spot, np.asarray(dark, np.float32), (at[0] - reach, at[1] - reach), float(best))


_MARGIN = 10  # pixels of a kernel about the box


@lru_cache(maxsize=16)
def _kernel(side_mm: float) -> Dark:
    """A frame: dark on its line, white just inside and just outside of it."""
    side = round(side_mm * PX_MM)
    size = side + 2 * _MARGIN
    line = np.zeros((size, size), np.float32)
    cv2.rectangle(line, (_MARGIN, _MARGIN), (_MARGIN + side, _MARGIN + side), 1.0, round(FRAME_MM * PX_MM))
    near = cv2.dilate(line, np.ones((13, 13), np.uint8)) - cv2.dilate(line, np.ones((5, 5), np.uint8))
    return np.asarray(line / line.sum() - near / near.sum(), np.float32)


def _drift(boxes: Sequence[_Box]) -> NDArray[np.float64] | None:
    """How the frames lie off their places over the page, as a plane through the clear ones; None where there are too few."""
    if len(boxes) < 4:
        return None
    x = np.array([[1.0, b.spot.x / 100, b.spot.y / 100] for b in boxes])
    y = np.array([b.shift for b in boxes], dtype=np.float64)
    keep = np.ones(len(boxes), dtype=bool)
    plane = np.zeros((3, 2))
    for _ in range(3):
        plane = np.linalg.solve(x[keep].T @ x[keep] + np.diag([0.01, 0.3, 0.3]), x[keep].T @ y[keep])
        off = np.linalg.norm(y - x @ plane, axis=1)
        keep = off <= max(4.0, float(np.median(off)) * 3)
    return plane


def _strays(box: _Box, drift: NDArray[np.float64] | None) -> bool:
    if drift is None:
        return False
    meant = np.array([1.0, box.spot.x / 100, box.spot.y / 100]) @ drift
    return float(np.linalg.norm(np.array(box.shift) - meant)) > STRAYS_MM * PX_MM


def _features(box: _Box, usual: float) -> tuple[float, ...]:
    """Measures of what is inside the frame, in units of the frame's own black."""
    inset = round(INSET_MM * PX_MM)
    left = round(AROUND_MM * PX_MM) + box.shift[0] + inset
    top = round(AROUND_MM * PX_MM) + box.shift[1] + inset
    side = round(box.spot.width * PX_MM) - 2 * inset
    within = box.dark[max(0, top) : top + side, max(0, left) : left + side] / max(usual, 0.05)
    if within.size < 100:
        return (0.0,) * len(FEATURES)
    floor = float(np.percentile(within, 15))
    within = within - min(floor, 0.25)
    thin = (within > 0.16).astype(np.uint8)
    count, _, stats, _ = cv2.connectedComponentsWithStats(thin, connectivity=8)
    span = float(np.hypot(stats[1:, 2], stats[1:, 3]).max()) / PX_MM if count > 1 else 0.0
    return (
        float(within.mean()),
        float((within > 0.16).mean()),
        float((within > 0.4).mean()),
        min(span, 4.5),
        float(np.percentile(within, 95)),
    )


def _sure(measured: Sequence[float]) -> float:
    total = INTERCEPT + sum(w * _bent(f) for w, f in zip(WEIGHTS, measured, strict=True))
    return 1 / (1 + exp(-max(-40.0, min(40.0, total))))


def _bent(value: float) -> float:
    """Square roots: the first speck of ink says more than the last."""
    return sqrt(max(0.0, value))
