"""What happens to a printed code: a printer's dots, fading, blur, tilt, dirt, and being bent round something.

Simulated, with no real printer or phone. Every try has its own seed, so that a failure can be looked at.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
import zxingcpp

from logbook.paper.page import Code, Page

PIXELS_PER_MM = 12.0
QUIET = 4
CONDITIONS = ("clean", "faded", "blurred", "tilted", "dirt 5 %", "dirt 10 %", "mud 5 %")
SPECKS_MM = {"dirt": (0.1, 0.35), "mud": (0.4, 1.4)}  # diameters: dust and algae, and drops of soil


def printed(code: Code, dpi: int) -> np.ndarray:
    """The symbol with its quiet zone as black and white dots of a printer, then as a camera's pixels."""
    count = len(code.rows)
    dots_per_module = code.module / 25.4 * dpi
    side = math.ceil((count + 2 * QUIET) * dots_per_module)
    at = np.floor((np.arange(side) + 0.5) / dots_per_module).astype(int) - QUIET
    inside = (at >= 0) & (at < count)
    dots = np.full((side, side), 255, np.uint8)
    rows = np.array(code.rows)
    clipped = at.clip(0, count - 1)
    dark = rows[np.ix_(clipped, clipped)] & inside[:, None] & inside[None, :]
    dots[dark] = 0
    pixels = round(side / dpi * 25.4 * PIXELS_PER_MM)
    return cv2.resize(dots, (pixels, pixels), interpolation=cv2.INTER_NEAREST)


def weathered(picture: np.ndarray, condition: str, seed: int, bends_mm: float = 0.0) -> np.ndarray:
    """The picture after one try of a condition, on a sheet of mid-grey ground."""
    draw = np.random.default_rng(seed)
    kind, *share = condition.split()
    if kind in SPECKS_MM:
        picture = _dirty(picture, float(share[0]) / 100, SPECKS_MM[kind], draw)
    if bends_mm:
        picture = _bent(picture, bends_mm)
    ground = np.full((picture.shape[0] + 120, picture.shape[1] + 120), 235, np.uint8)
    ground[60:-60, 60:-60] = picture
    if condition == "tilted":
        ground = _tilted(ground, 35.0, float(draw.uniform(0, 360)))
    blur = {"blurred": 0.2}.get(condition, 0.06)
    seen = cv2.GaussianBlur(ground, (0, 0), blur * PIXELS_PER_MM).astype(float)
    if condition == "faded":
        seen = 120 + seen / 255 * 90
    return np.clip(seen + draw.normal(0, 6, seen.shape), 0, 255).astype(np.uint8)


def _dirty(picture: np.ndarray, share: float, sizes_mm: tuple[float, float], draw: np.random.Generator) -> np.ndarray:
    """Round specks, dark or light, until that share of the symbol is covered."""
    soiled, cover = picture.copy(), np.zeros(picture.shape, np.uint8)
    while cover.mean() < share:
        for x, y, size, tone in zip(
            draw.integers(0, picture.shape[1], 20) * 16,
            draw.integers(0, picture.shape[0], 20) * 16,
            draw.uniform(*sizes_mm, 20) / 2 * PIXELS_PER_MM * 16,
            draw.choice([40, 225], 20),
            strict=True,
        ):
            cv2.circle(cover, (int(x), int(y)), int(size), 1, -1, shift=4)
            cv2.circle(soiled, (int(x), int(y)), int(size), int(tone), -1, shift=4)
            if cover.mean() >= share:
                break
    return soiled


def _bent(picture: np.ndarray, diameter_mm: float) -> np.ndarray:
    """Laid round a cylinder whose axis stands upright, and seen from straight ahead."""
    height, width = picture.shape
    radius = diameter_mm / 2 * PIXELS_PER_MM
    half = min(radius * math.sin(min(width / 2 / radius, math.pi / 2)), radius)
    across = np.linspace(-half, half, max(2, int(2 * half)))
    source = (np.arcsin(np.clip(across / radius, -1, 1)) * radius + width / 2).astype(np.float32)
    columns = np.tile(source, (height, 1))
    rows = np.tile(np.arange(height, dtype=np.float32)[:, None], (1, len(across)))
    return cv2.remap(picture, columns, rows, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=255)


def _tilted(picture: np.ndarray, degrees: float, turned: float) -> np.ndarray:
    """Turned in its plane, then leant back, seen from four widths away."""
    height, width = picture.shape
    reach = 1.6
    size = int(max(width, height) * reach)
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    middle = corners - np.array([width / 2, height / 2])
    spin, lean = math.radians(turned), math.radians(degrees)
    flat = middle @ np.array([[math.cos(spin), -math.sin(spin)], [math.sin(spin), math.cos(spin)]]).T
    away = 4.0 * width
    depth = away + flat[:, 1] * math.sin(lean)
    seen = np.stack([flat[:, 0] * away / depth, flat[:, 1] * math.cos(lean) * away / depth], 1) + size / 2
    matrix = cv2.getPerspectiveTransform(corners, seen.astype(np.float32))
    return cv2.warpPerspective(picture, matrix, (size, size), borderValue=235)


def reads(picture: np.ndarray, text: str) -> bool:
    """Whether a phone held over it for a moment reads the code: a sharp frame, one a little out of focus, one from further off."""
    soft = cv2.GaussianBlur(picture, (0, 0), 0.2 * PIXELS_PER_MM)
    far = cv2.resize(picture, None, fx=1 / 3, fy=1 / 3, interpolation=cv2.INTER_AREA)
    for frame in (picture, soft, far):
        found = zxingcpp.read_barcodes(frame, formats=zxingcpp.BarcodeFormat.QRCodeModel2)
        if found:
            return [one.text for one in found] == [text]
    return False


def code_of(page: Page) -> Code:
    return next(item for item in page.items if isinstance(item, Code))
