"""From a picture to places on paper: codes, corner squares, and the way from millimetres of a page to pixels.

A code gives a rough homography; the squares around it, nearest first, make it a good one; what curl is left over is
bent in by a quadratic through squares and code.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, islice, product
from typing import Any

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from ..storage.printed import Spot
from ..values import dataclass

Gray = NDArray[np.uint8]
Points = NDArray[np.float64]
MOST_PIXELS = 4_000_000  # codes are sought in a picture of this size first
SQUARE_PX = 20.0  # what a square is scaled to before it is sought
DARK = 0.55  # of the paper's white
LEAST_SQUARES = 4
MOST_TRIES = 500
FARTHEST_MM = 1.2  # a square off the way that the others agree on is no square
WHITE_MM = 12.0
STRIP_STEP_MM = 4.0


@dataclass(frozen=True, slots=True)
class SeenCode:
    """A code's text and its corners in the picture: top left, top right, bottom right, bottom left as printed."""

    text: str
    corners: Points

    @property
    def mirrored(self) -> SeenCode:
        """The same code where the picture was mirrored: its reader can't tell, and names two corners the other way round."""
        return SeenCode(self.text, self.corners[[0, 3, 2, 1]])

    @property
    def side(self) -> float:
        """Mean length of its sides, pixels."""
        return float(np.mean(np.linalg.norm(np.roll(self.corners, -1, axis=0) - self.corners, axis=1)))


@dataclass(frozen=True, slots=True)
class Way:
    """From millimetres of the page to pixels of the picture: a homography, what bends it, and how far rules hang off."""

    matrix: Points
    bend: Points
    centre: Points
    sag: NDArray[np.float64] | None = None

    def __call__(self, mm: ArrayLike) -> Points:
        """Pixels of these points, shape (n, 2)."""
        points = np.atleast_2d(np.asarray(mm, dtype=np.float64))
        if self.sag is not None:
            points = points + np.stack([np.zeros(len(points)), sag_terms(points, self.centre) @ self.sag], axis=1)
        return _through(self.matrix, points) + _terms(points, self.centre) @ self.bend

    def density(self, x: float, y: float) -> float:
        """Pixels a millimetre about a point."""
        around = self([(x - 2, y), (x + 2, y), (x, y - 2), (x, y + 2)])
        across, along = around[1] - around[0], around[3] - around[2]
        return float(np.sqrt(abs(across[0] * along[1] - across[1] * along[0])) / 4)


def find_codes(gray: Gray, *, closely: bool = False) -> list[SeenCode]:
    """Every readable code: first in a smaller copy, where that shows none in the whole picture, last by another reader.

    `closely`: by both readers, in the whole picture.
    """
    if closely:
        return [*_by_zxing(gray, 1.0), *_by_opencv(gray)]
    factor = min(1.0, float(np.sqrt(MOST_PIXELS / gray.size)))
    if factor < 1.0:
        small = cv2.resize(gray, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
        found = _by_zxing(small.astype(np.uint8), 1 / factor)
        if found:
            return found
    found = _by_zxing(gray, 1.0)
    return found or _by_opencv(gray)


def _by_zxing(gray: Gray, grown: float) -> list[SeenCode]:
    import zxingcpp

    model_2: Any = zxingcpp.BarcodeFormat.QRCodeModel2  # plain QRCode would match Micro QR as well
    read = zxingcpp.read_barcodes(gray, formats=model_2, try_invert=False)
    found = []
    for code in read:
        at = code.position
        corners = [(p.x, p.y) for p in (at.top_left, at.top_right, at.bottom_right, at.bottom_left)]
        found.append(SeenCode(code.text, (np.array(corners, dtype=np.float64) + 0.5) * grown - 0.5))
    return found


def _by_opencv(gray: Gray) -> list[SeenCode]:
    try:
        fine, texts, corners, _ = cv2.QRCodeDetectorAruco().detectAndDecodeMulti(gray)
    except cv2.error:  # it trips over some pictures without a code
        return []
    if not fine or corners is None:
        return []
    return [SeenCode(text, np.asarray(c, dtype=np.float64)) for text, c in zip(texts, corners, strict=True) if text]


@dataclass(frozen=True, slots=True)
class Blobs:
    """Solid dark patches: centres in pixels of the picture, areas in its pixels."""

    centres: Points
    areas: NDArray[np.float64]


def find_blobs(gray: Gray, square_px: float) -> Blobs:
    """Patches that may be corner squares, about `square_px` pixels wide."""
    factor = min(1.0, SQUARE_PX / square_px)
    small: Any = cv2.resize(gray, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA) if factor < 1 else gray
    side = square_px * factor
    tiny = cv2.resize(small, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    kernel = np.ones((max(3, int(side / 4 * WHITE_MM / 5)),) * 2, np.uint8)
    white = cv2.resize(
        cv2.morphologyEx(tiny, cv2.MORPH_CLOSE, kernel), small.shape[::-1], interpolation=cv2.INTER_LINEAR
    )
    dark = (small.astype(np.float32) < DARK * white.astype(np.float32)).astype(np.uint8)
    dark = cv2.morphologyEx(dark, cv2.MORPH_OPEN, np.ones((max(2, int(side / 6)),) * 2, np.uint8))
    _, _, stats, centres = cv2.connectedComponentsWithStats(dark)
    wide, high = stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]
    area = stats[:, cv2.CC_STAT_AREA].astype(np.float64)
    solid = area / (wide * high)
    like = (area > 0.2 * side**2) & (area < 4 * side**2) & (solid > 0.45) & (wide < 2.2 * high) & (high < 2.2 * wide)
    like[0] = False
    return Blobs(np.asarray((centres[like] + 0.5) / factor - 0.5, dtype=np.float64), area[like] / factor**2)


def unexplained(blobs: Blobs, ways: Sequence[tuple[Way, Sequence[Spot]]]) -> Points:
    """Centres of patches as large as a square that are no square of these pages."""
    left = np.ones(len(blobs.centres), dtype=bool)
    sides = []
    for way, squares in ways:
        centres = _middles(squares)
        side = squares[0].width * way.density(*centres.mean(axis=0))
        sides.append(side)
        for centre in way(centres):
            left &= np.linalg.norm(blobs.centres - centre, axis=1) > side
    if not sides:
        return blobs.centres
    share = blobs.areas / float(np.median(sides)) ** 2
    return np.asarray(blobs.centres[left & _as_large(share)], dtype=np.float64)


def place(code: SeenCode, code_spot: Spot, squares: Sequence[Spot], blobs: Blobs) -> Way | None:
    """The way of one page into the picture; None where fewer than four of its squares are seen."""
    code_mm = _corners(code_spot)
    centres, side = _middles(squares), squares[0].width
    best = _step_by_step(code_mm, code.corners, centres, side, blobs)
    if len(best) < len(squares):
        tried = _by_trial(code_mm, code.corners, centres, side, blobs)
        best = max(best, tried, key=len)
    return _agreed(code_mm, code.corners, centres, best, blobs)


def _step_by_step(code_mm: Points, corners: Points, centres: Points, side: float, blobs: Blobs) -> dict[int, int]:
    """Squares by their blobs, from the code outwards; each that is found says better where the next one is."""
    mm, px, taken = list(code_mm), list(corners), dict[int, int]()
    matrix = _fitted(code_mm, corners)
    for index in np.argsort(np.linalg.norm(centres - code_mm.mean(axis=0), axis=1)):
        away = float(np.min(np.linalg.norm(np.array(mm) - centres[index], axis=1)))
        blob = _nearest(matrix, centres[index], side, blobs, set(taken.values()), min(0.12 * away + 1.0, 6.0))
        if blob is not None:
            taken[int(index)] = blob
            mm.append(centres[index])
            px.append(blobs.centres[blob])
            matrix = _fitted(np.array(mm), np.array(px))
    return taken


def _by_trial(code_mm: Points, corners: Points, centres: Points, side: float, blobs: Blobs) -> dict[int, int]:
    """Three squares taken for three blobs, in every way that the code's own direction allows: the one that most others bear out.

    A small code says little about a far edge of the page; this asks it for a direction and a rough distance only.
    """
    flat, _ = cv2.estimateAffine2D(code_mm, corners)
    if flat is None or len(blobs.centres) < 3:
        return {}
    origin = corners.mean(axis=0)
    to_blob = blobs.centres - origin
    choices: list[list[int]] = []
    for centre in centres:
        to_square = flat[:, :2] @ centre + flat[:, 2] - origin
        far = np.linalg.norm(to_blob, axis=1) / max(float(np.linalg.norm(to_square)), 1e-6)
        turn = np.abs(np.angle(np.exp(1j * (np.arctan2(*to_blob.T[::-1]) - np.arctan2(*to_square[::-1])))))
        choices.append([int(i) for i in np.flatnonzero((far > 0.6) & (far < 1.6) & (turn < 0.3))])
    best: dict[int, int] = {}
    tries = ((three, picked) for three in combinations(range(len(centres)), 3) for picked in _picks(choices, three))
    for three, picked in islice(tries, MOST_TRIES):
        if len(set(picked)) == 3:
            mm, px = np.vstack([code_mm, centres[list(three)]]), np.vstack([corners, blobs.centres[list(picked)]])
            borne_out = _borne_out(_fitted(mm, px), code_mm, corners, centres, side, blobs)
            best = max(best, borne_out, key=len)
        if len(best) == len(centres):
            break
    return best


def _picks(choices: Sequence[Sequence[int]], three: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Every way to take one blob for each of three squares."""
    return product(*(choices[i] for i in three))


def _borne_out(
    matrix: Points, code_mm: Points, corners: Points, centres: Points, side: float, blobs: Blobs
) -> dict[int, int]:
    """The squares that have a blob where this matrix puts them; none where it does not even put the code in its place."""
    across = np.linalg.norm(corners[1] - corners[0])
    off = np.linalg.norm(_through(matrix, code_mm) - corners, axis=1).max()
    if not off < 0.12 * across:
        return {}
    taken: dict[int, int] = {}
    for index, centre in enumerate(centres):
        blob = _nearest(matrix, centre, side, blobs, set(taken.values()), 3.0)
        if blob is not None:
            taken[index] = blob
    return taken


def _nearest(
    matrix: Points, centre: Points, side: float, blobs: Blobs, taken: set[int], reach_mm: float
) -> int | None:
    """The free blob of the right size nearest to where a square should be."""
    if not len(blobs.centres):
        return None
    around = _through(matrix, centre + np.array([(0, 0), (1, 0), (0, 1)]))
    across, along = around[1] - around[0], around[2] - around[0]
    density = float(np.sqrt(abs(across[0] * along[1] - across[1] * along[0])))
    if not np.isfinite(density) or density <= 0:
        return None
    far = np.linalg.norm(blobs.centres - around[0], axis=1) / density
    share = blobs.areas / (side * density) ** 2
    fits = (far < reach_mm) & _as_large(share)
    for index in taken:
        fits[index] = False
    if not fits.any():
        return None
    return int(np.argmin(np.where(fits, far, np.inf)))


def _agreed(code_mm: Points, corners: Points, centres: Points, taken: dict[int, int], blobs: Blobs) -> Way | None:
    """Fit all, drop what the others contradict, bend in what curl is left."""
    while len(taken) >= LEAST_SQUARES:
        mm = np.vstack([code_mm, centres[list(taken)]])
        px = np.vstack([corners, blobs.centres[list(taken.values())]])
        weights = np.array([0.5] * 4 + [1.0] * len(taken))
        matrix = _fitted(mm, px)
        centre = np.array([*mm.mean(axis=0), float(np.ptp(mm, axis=0).max()) / 2 or 1.0])
        left = px - _through(matrix, mm)
        bend = _bend(_terms(mm, centre), left, weights)
        way = Way(matrix, bend, centre)
        off = np.linalg.norm(px - way(mm), axis=1) / max(way.density(*centre[:2]), 1e-6)
        worst = int(np.argmax(off[4:]))
        if off[4:].max() <= FARTHEST_MM and off[:4].max() <= FARTHEST_MM:
            return way
        del taken[list(taken)[worst]]
    return None


def _fitted(mm: Points, px: Points) -> Points:
    matrix, _ = cv2.findHomography(mm, px, 0)
    return np.asarray(matrix if matrix is not None else np.full((3, 3), np.nan), dtype=np.float64)


def _bend(terms: Points, left: Points, weights: NDArray[np.float64]) -> Points:
    """Least squares with a ridge: few points must not make wild curves."""
    weighted = terms * weights[:, None]
    ridge = np.diag([0.02, 0.02, 0.02, 0.1, 0.1, 0.1])
    return np.asarray(np.linalg.solve(weighted.T @ terms + ridge, weighted.T @ left), dtype=np.float64)


def _terms(points: Points, centre: Points) -> Points:
    x, y = ((points - centre[:2]) / centre[2]).T
    return np.stack([np.ones_like(x), x, y, x * y, x * x, y * y], axis=1)


def sag_terms(points: Points, centre: Points) -> Points:
    """What a sag is made of: curl along either side of the page, up to the third power."""
    x, y = ((points - centre[:2]) / centre[2]).T
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y, x**3, x * x * y, x * y * y, y**3], axis=1)


def _through(matrix: Points, points: Points) -> Points:
    out = np.hstack([points, np.ones((len(points), 1))]) @ matrix.T
    return np.asarray(out[:, :2] / out[:, 2:3], dtype=np.float64)


def _as_large(share: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether patches of this share of a square's area may be one."""
    return np.asarray((share > 0.5) & (share < 1.7))


def _middles(squares: Sequence[Spot]) -> Points:
    return np.array([(s.x + s.width / 2, s.y + s.height / 2) for s in squares], dtype=np.float64)


def _corners(spot: Spot) -> Points:
    x, y, w, h = spot.x, spot.y, spot.width, spot.height
    return np.array([(x, y), (x + w, y), (x + w, y + h), (x, y + h)], dtype=np.float64)


def cut(gray: Gray, way: Way, x: float, y: float, wide: float, high: float, px_mm: float) -> Gray:
    """A small rectangle of the page in mm, flattened, at so many pixels a millimetre."""
    size = (max(1, round(wide * px_mm)), max(1, round(high * px_mm)))
    mm = np.array([(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)])
    target = np.array([(0, 0), (size[0], 0), size, (0, size[1])], dtype=np.float32) - 0.5
    move = cv2.getPerspectiveTransform(target, way(mm).astype(np.float32))
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    flat = cv2.warpPerspective(gray, move, size, flags=flags, borderMode=cv2.BORDER_REPLICATE)
    return flat.astype(np.uint8)


def cut_bent(gray: Gray, way: Way, x: float, y: float, wide: float, high: float, px_mm: float) -> Gray:
    """A long strip of the page in mm, flattened piece by piece, so that what is curled comes out straight."""
    size = (max(1, round(wide * px_mm)), max(1, round(high * px_mm)))
    step = max(1, round(STRIP_STEP_MM * px_mm))
    # nodes in the middle of tiles of `step` pixels, one tile beyond each edge, so that growing them interpolates between
    across, down = (((np.arange(-1, -(-side // step) + 1) + 0.5) * step) / px_mm for side in size)
    grid_x, grid_y = np.meshgrid(x + across, y + down)
    nodes = way(np.stack([grid_x.ravel(), grid_y.ravel()], axis=1)).reshape(*grid_x.shape, 2).astype(np.float32)
    grown = cv2.resize(nodes, (grid_x.shape[1] * step, grid_x.shape[0] * step), interpolation=cv2.INTER_LINEAR)
    maps = np.ascontiguousarray(grown[step : step + size[1], step : step + size[0]])
    nothing: Any = None  # both maps are in the first
    flat = cv2.remap(gray, maps, nothing, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return flat.astype(np.uint8)


def inside(gray: Gray, way: Way, spot: Spot) -> bool:
    """Whether all of a spot lies in the picture."""
    points = way(_corners(spot))
    high, wide = gray.shape
    return bool((points > -1).all() and (points[:, 0] < wide + 1).all() and (points[:, 1] < high + 1).all())
