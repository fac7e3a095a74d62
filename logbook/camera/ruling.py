"""The printed rules, followed across the page: squares stand on its edges alone and can't tell how its middle is curled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from ..storage.printed import Spot
from ..values import dataclass
from .registration import Gray, Way, cut_bent, inside, sag_terms

Profile = NDArray[np.float64]
PX_MM = 6.0
REACH_MM = 2.6
PIECE_MM = 8.0
BESIDE_MM = 0.7
OFF_MM = 0.8
LEAST_PIECES = 12
LEAST_CONTRAST = 0.03
SCALES_MM = (1.2, 0.6, 0.3, 0.2)
RIDGE = (0.02, 0.1, 0.1, 0.2, 0.5, 0.2, 0.5, 1.0, 1.0, 0.5)


@dataclass(frozen=True, slots=True)
class Rules:
    """The way with the sag of the page in it, and how much of each line's printed rule was seen where it should be."""

    way: Way
    seen: Mapping[Spot, float]


def follow(gray: Gray, way: Way, lines: Sequence[Spot]) -> Rules:
    """Find the rules under these lines and places for days; lines that leave the picture are not among what is seen."""
    found = {spot: _profiles(gray, way, spot) for spot in lines if inside(gray, way, spot)}
    rows = np.array([piece for spot, (x, stands) in found.items() for piece in _pieces(spot, x, stands)])
    sag = _sag(rows, way) if len(rows) >= LEAST_PIECES else None
    seen = {spot: _share(spot, way, sag, *profiles) for spot, profiles in found.items()}
    return Rules(way if sag is None else replace(way, sag=sag), seen)


def _sag(rows: Profile, way: Way) -> Profile:
    """Fit where the pieces lie; handwriting leads single ones astray: what the others contradict counts less and less."""
    terms = sag_terms(rows[:, :2], way.centre)
    off, trust = rows[:, 2], np.minimum(rows[:, 3], 0.3)
    sag = np.zeros(terms.shape[1])
    for scale in SCALES_MM:
        weights = trust / (1 + ((off - terms @ sag) / scale) ** 2) ** 2
        weights /= max(float(weights.sum()), 1e-9) / len(rows)
        weighted = terms * weights[:, None]
        sag = np.asarray(np.linalg.solve(weighted.T @ terms + np.diag(RIDGE), weighted.T @ off), dtype=np.float64)
    return sag


def _share(spot: Spot, way: Way, sag: Profile | None, x: Profile, stands: Profile) -> float:
    """How much of a rule is where it should be: what lies on a sheet covers it."""
    base = np.stack([x, np.full(len(x), spot.y + spot.height)], axis=1)
    below = sag_terms(base, way.centre) @ sag if sag is not None else np.zeros(len(x))
    rows = np.arange(len(stands))[:, None]
    near = np.abs((rows + 0.5) / PX_MM - REACH_MM - below[None, :]) <= OFF_MM
    return float(np.mean(np.where(near, stands, -1.0).max(axis=0) >= LEAST_CONTRAST))


def _pieces(spot: Spot, x: Profile, stands: Profile) -> list[tuple[float, float, float, float]]:
    """Bits of one rule: where it should be (x, y), how far below it lies, mm, and how clearly it stands out."""
    made = []
    for piece, at in enumerate(np.argmax(stands, axis=0)):
        clear = float(stands[at, piece])
        if clear >= LEAST_CONTRAST:
            below = (at + 0.5 + _between(stands[:, piece], int(at))) / PX_MM - REACH_MM
            made.append((float(x[piece]), spot.y + spot.height, below, clear))
    return made


def _profiles(gray: Gray, way: Way, spot: Spot) -> tuple[Profile, Profile]:
    """The middle of each bit of a rule, mm; and for each of its rows (first axis) how far that stands out from those beside it."""
    base = spot.y + spot.height
    flat = cut_bent(gray, way, spot.x, base - REACH_MM, spot.width, 2 * REACH_MM, PX_MM)
    count = max(1, round(spot.width / PIECE_MM))
    mean = cv2.resize(flat.astype(np.float32), (count, flat.shape[0]), interpolation=cv2.INTER_AREA).astype(
        np.float64
    )
    white = np.maximum(np.sort(mean, axis=0)[int(0.8 * len(mean))], 1.0)
    share = mean / white
    beside = round(BESIDE_MM * PX_MM)
    padded = np.pad(share, ((beside, beside), (0, 0)), mode="edge")
    stands = np.minimum(padded[: len(share)], padded[2 * beside :]) - share
    return spot.x + (np.arange(count) + 0.5) * spot.width / count, stands


def _between(stands: Profile, at: int) -> float:
    """Where between the rows the peak lies, by the parabola through it and its neighbours."""
    if not 0 < at < len(stands) - 1:
        return 0.0
    before, here, after = (float(v) for v in stands[at - 1 : at + 2])
    bend = before - 2 * here + after
    return 0.0 if bend >= 0 else float(np.clip(0.5 * (before - after) / bend, -0.5, 0.5))
