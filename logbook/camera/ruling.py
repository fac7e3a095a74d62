"""The printed rules, followed across the page: squares stand on its edges alone and can't tell how its middle is curled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..record.ledger import Spot
from .placing import Gray, Way, cut_bent, inside, sag_terms

Profile = NDArray[np.float64]
PX_MM = 6.0
REACH_MM = 2.6
PIECE_MM = 8.0
BESIDE_MM = 0.7
LEAST_PIECES = 12
LEAST_CONTRAST = 0.03
SCALES_MM = (1.2, 0.6, 0.3, 0.2)
RIDGE = (0.02, 0.1, 0.1, 0.2, 0.5, 0.2, 0.5, 1.0, 1.0, 0.5)


def following_rules(gray: Gray, way: Way, lines: Sequence[Spot]) -> Way:
    """The way with the sag of the page in it, as far as its pencil lines show one."""
    found = [piece for spot in lines if inside(gray, way, spot) for piece in _pieces(gray, way, spot)]
    if len(found) < LEAST_PIECES:
        return way
    rows = np.array(found, dtype=np.float64)
    terms = sag_terms(rows[:, :2], way.centre)
    off, trust = rows[:, 2], np.minimum(rows[:, 3], 0.3)
    sag = np.zeros(terms.shape[1])
    for scale in SCALES_MM:  # handwriting leads single pieces astray: what the others contradict counts less and less
        weights = trust / (1 + ((off - terms @ sag) / scale) ** 2) ** 2
        weights /= max(float(weights.sum()), 1e-9) / len(rows)
        weighted = terms * weights[:, None]
        sag = np.asarray(np.linalg.solve(weighted.T @ terms + np.diag(RIDGE), weighted.T @ off), dtype=np.float64)
    return replace(way, sag=sag)


def rule_share(gray: Gray, way: Way, spot: Spot, off_mm: float) -> float:
    """How much of a line's printed rule is where it should be, give or take so many mm: what lies on a sheet covers it."""
    middle, reach = round(REACH_MM * PX_MM), round(off_mm * PX_MM)
    pieces = _profiles(gray, way, spot)
    there = sum(float(stands[middle - reach : middle + reach].max()) >= LEAST_CONTRAST for _, stands in pieces)
    return there / len(pieces)


def _pieces(gray: Gray, way: Way, spot: Spot) -> list[tuple[float, float, float, float]]:
    """Bits of one rule: where it should be (x, y), how far below it lies, mm, and how clearly it stands out."""
    made = []
    for x, stands in _profiles(gray, way, spot):
        at = int(np.argmax(stands))
        if stands[at] >= LEAST_CONTRAST:
            below = (at + 0.5 + _between(stands, at)) / PX_MM - REACH_MM
            made.append((x, spot.y + spot.height, below, float(stands[at])))
    return made


def _profiles(gray: Gray, way: Way, spot: Spot) -> list[tuple[float, Profile]]:
    """For each bit of a rule: its middle, mm, and how far each row about it stands out."""
    base = spot.y + spot.height
    flat = cut_bent(gray, way, spot.x, base - REACH_MM, spot.width, 2 * REACH_MM, PX_MM).astype(np.float64)
    edges = np.linspace(0, flat.shape[1], max(1, round(spot.width / PIECE_MM)) + 1).astype(int)
    made = []
    for left, right in pairwise(edges):
        profile = flat[:, left:right].mean(axis=1)
        white = max(float(np.percentile(profile, 80)), 1.0)
        made.append((spot.x + (left + right) / 2 / PX_MM, _stands_out(profile / white)))
    return made


def _stands_out(profile: Profile) -> Profile:
    """How much darker each row is than the darker of the rows a little above and below it."""
    beside = round(BESIDE_MM * PX_MM)
    padded = np.pad(profile, beside, mode="edge")
    above, below = padded[: len(profile)], padded[2 * beside :]
    return np.asarray(np.minimum(above, below) - profile, dtype=np.float64)


def _between(stands: Profile, at: int) -> float:
    """Where between the rows the peak lies, by the parabola through it and its neighbours."""
    if not 0 < at < len(stands) - 1:
        return 0.0
    before, here, after = (float(v) for v in stands[at - 1 : at + 2])
    bend = before - 2 * here + after
    return 0.0 if bend >= 0 else float(np.clip(0.5 * (before - after) / bend, -0.5, 0.5))
