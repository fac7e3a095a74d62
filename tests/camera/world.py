"""Pictures of written-on sheets, made up: real pages, drawn marks and writing, and what cameras and scanners do to them.

Everything here is simulation: no printer, pencil or phone was at hand. Pages are those the project prints, painted by PDFium;
marks are drawn in millimetres of the page; then the page is bent, tilted, lit, blurred and stored as JPEG. The sizes of it
all are guesses of common practice, no source.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
from PIL import Image
from scipy.interpolate import LinearNDInterpolator

from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.layouts import large, layout
from logbook.paper.page import Page, Paper, Placed, enlarged
from logbook.paper.pdf import render
from logbook.paper.sheet.sheets import record_sheet
from logbook.paper.walk import Walk, walk_list
from logbook.planning.garden import Garden
from logbook.planning.planner import plan_tree
from logbook.storage.printed import Ledger, Sheet, Spot, check_digit

from ..conftest import DEMO, day

LARGE = " large"  # behind a layout's name
PX = 12.0  # pixels a millimetre of the painted page
TODAY = day("2026-11-25")
MARKED = ("tick", "cross", "slash", "scribble", "light tick", "light cross")
UNMARKED = ("empty", "dot", "erased", "dirt")
Rng = np.random.Generator


@dataclass(frozen=True)
class Leaf:
    """One page that can be written on, as it was printed."""

    sheet: Sheet
    page: int
    size: tuple[float, float]
    image: np.ndarray

    @property
    def spots(self) -> list[Spot]:
        return [s for s in self.sheet.spots if s.page == self.page]


@dataclass
class Written:
    """A leaf with pencil on it, and what was drawn: by kind, id and tag of the spot."""

    leaf: Leaf
    image: np.ndarray
    marks: dict[tuple[str, str, str], str] = field(default_factory=dict)
    lines: dict[tuple[str, str, str], bool] = field(default_factory=dict)


def painted(page: Page, characters: Sequence[str] = ()) -> np.ndarray:
    pdf = render([Paper(page.width, page.height, (Placed(page, 0.0, 0.0),))], "page", characters)
    document = pypdfium2.PdfDocument(pdf)
    picture = document[0].render(scale=PX * 25.4 / 72, grayscale=True).to_numpy().squeeze().copy()
    document.close()
    return picture


def leaves(layouts: Sequence[str], count: int = 8, *, scored: bool = True) -> list[Leaf]:
    """Pages of the demo collection's sheets and walk lists, in these layouts; without scores every walk row asks for one."""
    knowledge = shipped_knowledge()
    collection = load(DEMO, knowledge)
    if not scored:
        trees = tuple(replace(t, log=tuple(e for e in t.log if e.vigour is None)) for t in collection.trees)
        collection = replace(collection, trees=trees)
    garden = Garden(collection.settings, knowledge, collection.trees)
    plans = [plan_tree(tree, garden, TODAY) for tree in collection.living]
    made: list[Leaf] = []
    for number, name in enumerate(layouts):
        plan = layout(name.removesuffix(LARGE))
        plan = large(plan) if name.endswith(LARGE) else plan
        if plan.kind == "walk":
            serial = _serial(9_000 + number)
            tags = [tree.tag for tree in collection.living]
            walk = walk_list(Walk(plans, tags, tags[:4], everyone=True), collection.settings, plan, serial)
            assert walk.sheet
            made += [
                _leaf(walk.sheet, n, page, plan.times, collection.characters)
                for n, page in enumerate(walk.pages, start=1)
            ]
            continue
        for index, one in enumerate(plans[:count]):
            sheet = record_sheet(one, collection.settings, knowledge, plan, _serial(100 * number + index))
            assert sheet.sheet
            pages = [side for leaf in sheet.leaves for side in leaf]
            for n in sorted({s.page for s in sheet.sheet.spots}):
                page = pages[n - 1]
                assert page
                made.append(_leaf(sheet.sheet, n, page, plan.times, collection.characters))
    return made


def _leaf(sheet: Sheet, number: int, drawn: Page, times: float, characters: Sequence[str]) -> Leaf:
    page = enlarged(drawn, times)
    return Leaf(sheet.enlarged(times), number, (page.width, page.height), painted(page, characters))


def _serial(number: int) -> str:
    return f"{number:05d}-{check_digit(f'{number:05d}')}"


def ledger_of(found: Sequence[Leaf]) -> Ledger:
    return Ledger({leaf.sheet.serial: leaf.sheet for leaf in found})


# pencil ----------------------------------------------------------------------------------------------------------


def _stroke(ink: np.ndarray, points: np.ndarray, width_mm: float, dark: float) -> None:
    """A pencil line through points (mm), laid over what is there."""
    pixels = np.round(points * PX * 16).astype(np.int32)
    wide = max(1, round(width_mm * PX))
    low = np.maximum(pixels.min(axis=0) // 16 - wide - 4, 0)  # only where it can reach: a page is large
    high = np.maximum(pixels.max(axis=0) // 16 + wide + 5, 0)
    there = ink[low[1] : high[1], low[0] : high[0]]
    if there.size:
        layer = np.zeros_like(there)
        cv2.polylines(layer, [(pixels - low * 16).reshape(-1, 1, 2)], False, 1.0, wide, cv2.LINE_AA, 4)
        np.maximum(there, layer * dark, out=there)


def _bent(rng: Rng, points: Sequence[tuple[float, float]], wobble: float = 0.12) -> np.ndarray:
    """Points with a hand's tremble between them."""
    out = []
    for (x0, y0), (x1, y1) in pairwise(points):
        for t in np.linspace(0, 1, 6, endpoint=False):
            out.append((x0 + (x1 - x0) * t, y0 + (y1 - y0) * t))
    out.append(points[-1])
    made = np.array(out)
    return made + np.cumsum(rng.normal(0, wobble / 3, made.shape), axis=0) * 0.5


def draw_mark(ink: np.ndarray, spot: Spot, kind: str, rng: Rng) -> None:
    x, y, w, h = spot.x, spot.y, spot.width, spot.height

    scale, off_x, off_y = 1.0, 0.0, 0.0
    if kind.endswith(("tick", "cross")) and rng.random() < 0.2:  # a small one somewhere in the box
        scale, off_x, off_y = rng.uniform(0.45, 0.7), rng.uniform(-0.15, 0.15), rng.uniform(-0.15, 0.15)

    def at(fx: float, fy: float, loose: float = 0.1) -> tuple[float, float]:
        fx, fy = 0.5 + (fx - 0.5) * scale + off_x, 0.5 + (fy - 0.5) * scale + off_y
        return x + w * (fx + rng.normal(0, loose * scale)), y + h * (fy + rng.normal(0, loose * scale))

    wide = rng.uniform(0.3, 0.7)
    dark = rng.uniform(0.4, 0.9)
    if kind.startswith("light"):
        dark, wide = rng.uniform(0.13, 0.32), rng.uniform(0.22, 0.5)
    if kind.endswith("tick"):
        over = rng.uniform(0.0, 0.5)
        _stroke(ink, _bent(rng, [at(0.15, 0.5), at(0.42, 0.85), at(0.9 + over, 0.1 - over)]), wide, dark)
    elif kind.endswith("cross"):
        out = rng.uniform(-0.12, 0.15)
        _stroke(ink, _bent(rng, [at(0 - out, 0 - out), at(1 + out, 1 + out)]), wide, dark)
        _stroke(ink, _bent(rng, [at(1 + out, 0 - out), at(0 - out, 1 + out)]), wide, dark)
    elif kind == "slash":
        out = rng.uniform(-0.1, 0.25)
        ends = [at(0 - out, 1 + out), at(1 + out, 0 - out)]
        _stroke(ink, _bent(rng, ends if rng.random() < 0.8 else [at(0, 0), at(1, 1)]), wide, dark)
    elif kind == "scribble":
        rows = [at(f % 2, f / 7, 0.08) for f in range(int(rng.integers(5, 9)))]
        _stroke(ink, _bent(rng, rows), wide, dark)
    elif kind == "dot":
        centre = np.array([at(0.5, 0.5, 0.18)] * 2)
        _stroke(ink, centre + rng.normal(0, 0.08, (2, 2)), rng.uniform(0.3, 0.8), rng.uniform(0.3, 0.85))
    elif kind == "erased":
        ghost = np.zeros_like(ink)
        _stroke(
            ghost,
            _bent(rng, [at(0.15, 0.5), at(0.42, 0.85), at(1.0, 0.0)]),
            rng.uniform(0.4, 0.9),
            rng.uniform(0.03, 0.11),
        )
        np.maximum(ink, cv2.GaussianBlur(ghost, (0, 0), PX * rng.uniform(0.05, 0.2)), out=ink)
    elif kind == "dirt":
        for _ in range(int(rng.integers(1, 4))):
            spot_at = np.array([at(rng.uniform(0, 1), rng.uniform(0, 1), 0.0)] * 2)
            _stroke(ink, spot_at + rng.normal(0, 0.05, (2, 2)), rng.uniform(0.1, 0.35), rng.uniform(0.2, 0.9))


def draw_words(ink: np.ndarray, x: float, base: float, room: float, high: float, rng: Rng, most: int = 9) -> None:
    """Something like handwriting: loops and stems on a base line."""
    dark, wide = rng.uniform(0.35, 0.9), rng.uniform(0.3, 0.55)
    small = high * rng.uniform(0.28, 0.4)
    at, end = x, x + room
    for _ in range(int(rng.integers(1, most + 1))):
        for _ in range(int(rng.integers(1, 8))):
            step = small * rng.uniform(0.7, 1.1)
            if at + step > end:
                return
            tall = rng.random()
            top = base - (high * 0.75 if tall < 0.25 else small)
            low = base + (high * 0.2 if tall > 0.88 else 0.0)
            turns = [
                (at, base - small * rng.uniform(0, 0.6)),
                (at + step * 0.3, top),
                (at + step * 0.5, low),
                (at + step, base - small * rng.uniform(0, 1)),
            ]
            _stroke(ink, _bent(rng, turns), wide, dark)
            at += step
        at += small


def write_on(leaf: Leaf, rng: Rng, marked: float = 0.42, line_share: float = 0.4) -> Written:
    """Marks in boxes, words on lines and in the places for days."""
    ink = np.zeros(leaf.image.shape, np.float32)
    made = Written(leaf, leaf.image)
    for spot in leaf.spots:
        key = (spot.kind, spot.id, spot.tag)
        if spot.kind in ("job", "vigour", "say"):
            if rng.random() < marked:
                kind = str(rng.choice(MARKED, p=[0.34, 0.22, 0.14, 0.12, 0.12, 0.06]))
            else:
                kind = str(rng.choice(UNMARKED, p=[0.82, 0.05, 0.05, 0.08]))
            made.marks[key] = kind
            draw_mark(ink, spot, kind, rng)
        elif spot.kind in ("line", "day", "told", "by"):
            made.lines[key] = bool(rng.random() < line_share)
            if made.lines[key]:
                words = 9 if spot.kind == "line" else 2
                start = spot.x + rng.uniform(0.5, 2.0)
                room = spot.width - (start - spot.x) - 1.0
                draw_words(ink, start, spot.y + spot.height - 0.6, room, min(spot.height, 7.5), rng, words)
    grain = 1.0 + 0.25 * cv2.GaussianBlur(rng.normal(0, 1, ink.shape).astype(np.float32), (0, 0), 0.9)
    ink = np.clip(cv2.GaussianBlur(ink, (0, 0), 0.6) * grain, 0, 1)
    made.image = (leaf.image * (1 - ink)).astype(np.uint8)
    return made


# cameras ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Severity:
    """How bad a picture is: pixels a millimetre, tilt in degrees, curl in mm, and the rest."""

    name: str
    density: tuple[float, float]
    tilt: float
    curl: float
    shade: float
    blur_mm: float
    noise: float
    quality: int


SCAN = Severity("scan", (200 / 25.4, 300 / 25.4), 0.0, 0.0, 0.03, 0.03, 2.0, 85)
EASY = Severity("easy", (12.0, 18.0), 8.0, 0.5, 0.15, 0.04, 3.0, 88)
MID = Severity("mid", (10.0, 16.0), 20.0, 2.0, 0.35, 0.07, 5.0, 78)
HARD = Severity("hard", (9.0, 13.0), 35.0, 4.0, 0.5, 0.11, 7.0, 65)
SEVERITIES = {s.name: s for s in (SCAN, EASY, MID, HARD)}


def photographed(page: np.ndarray, size: tuple[float, float], how: Severity, rng: Rng) -> np.ndarray:
    """The page as a camera sees it, in gray, on some table."""
    wide, high = size
    density = rng.uniform(*how.density)
    tilt, turn = np.radians(rng.uniform(0.4, 1) * how.tilt), rng.uniform(0, 2 * np.pi)
    roll = np.radians(rng.normal(0, 1.0 if how is SCAN else 6.0))
    gx, gy = np.meshgrid(np.linspace(-0.03, 1.03, 37) * wide, np.linspace(-0.03, 1.03, 49) * high)
    across = rng.random() < 0.5
    u = (gx / wide if across else gy / high) * 2 - 1
    gz = rng.choice([-1, 1]) * rng.uniform(0.3, 1) * how.curl * (1 - u**2)
    points = np.stack([gx - wide / 2, gy - high / 2, gz], axis=-1) @ _turned(tilt, turn, roll).T
    far = max(wide, high) * rng.uniform(2.0, 3.0)
    seen = points[..., :2] * (far / (far + points[..., 2:3]))
    seen = seen * density
    low = seen.reshape(-1, 2).min(axis=0) - rng.uniform(10, 60, 2)
    seen = seen - low
    out_w, out_h = (int(v) for v in seen.reshape(-1, 2).max(axis=0) + rng.uniform(10, 60, 2))
    step = 8
    cx, cy = np.meshgrid(np.arange(0, out_w + step, step), np.arange(0, out_h + step, step))
    back = LinearNDInterpolator(seen.reshape(-1, 2), np.stack([gx, gy], axis=-1).reshape(-1, 2), fill_value=np.nan)
    coarse = back(np.stack([cx, cy], axis=-1)).astype(np.float32) * PX
    full = (cx.shape[1] * step, cx.shape[0] * step)
    shift = np.float32([[step, 0, 0], [0, step, 0]])
    maps = [
        cv2.warpAffine(np.ascontiguousarray(coarse[..., k]), shift, full, flags=cv2.INTER_LINEAR)[:out_h, :out_w]
        for k in (0, 1)
    ]
    beside = np.isnan(maps[0]) | np.isnan(maps[1])
    for one in maps:
        one[beside] = -9.0
    soft = cv2.GaussianBlur(page, (0, 0), max(0.3, 0.4 * PX / density))
    paper = cv2.remap(
        soft, maps[0] - 0.5, maps[1] - 0.5, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=0
    )
    inside = ((maps[0] > 0) & (maps[1] > 0) & (maps[0] < page.shape[1] - 1) & (maps[1] < page.shape[0] - 1)).astype(
        np.float32
    )
    inside = cv2.GaussianBlur(inside, (0, 0), 0.7)
    lit = (paper.astype(np.float32) * 0.83 / 255 + 0.09) * inside
    lit += _table(rng, out_w, out_h, how) * (1 - inside)
    lit *= _light(rng, out_w, out_h, how)
    return _sensed(lit, how, density, rng)


def _turned(tilt: float, turn: float, roll: float) -> np.ndarray:
    c, s = np.cos(turn), np.sin(turn)
    about = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    t = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    r = np.array([[np.cos(roll), -np.sin(roll), 0], [np.sin(roll), np.cos(roll), 0], [0, 0, 1]])
    return about @ t @ about.T @ r


def _table(rng: Rng, wide: int, high: int, how: Severity) -> np.ndarray:
    if how is SCAN:
        return np.full((high, wide), 0.9, np.float32)
    rough = cv2.resize(rng.normal(0, 1, (high // 6 + 2, wide // 40 + 2)).astype(np.float32), (wide, high))
    return np.clip(rng.uniform(0.15, 0.75) + 0.05 * rough, 0.02, 1).astype(np.float32)


def _light(rng: Rng, wide: int, high: int, how: Severity) -> np.ndarray:
    """A slope of light, and where the picture is bad the edge of a shadow."""
    x, y = np.linspace(-1, 1, wide, dtype=np.float32), np.linspace(-1, 1, high, dtype=np.float32)
    turn = rng.uniform(0, 2 * np.pi)
    along = x * np.float32(np.cos(turn)) + (y * np.float32(np.sin(turn)))[:, None]
    light = along + 1
    light *= how.shade * 0.5 * rng.uniform(0, 1)
    np.subtract(1, np.divide(light, 2, out=light), out=light)
    if how.shade > 0.2:
        edge = rng.uniform(0.03, 0.3)
        light *= 1 - how.shade * rng.uniform(0.3, 1) / (1 + np.exp(-(along - rng.uniform(-0.8, 0.8)) / edge))
    light *= rng.uniform(0.75, 1.05)
    return light


def _sensed(lit: np.ndarray, how: Severity, density: float, rng: Rng) -> np.ndarray:
    soft = cv2.GaussianBlur(lit, (0, 0), max(0.25, how.blur_mm * density * rng.uniform(0.5, 1)))
    noisy = rng.normal(0, how.noise * rng.uniform(0.5, 1), lit.shape)
    noisy += soft * 255
    return jpeg(np.clip(noisy, 0, 255, out=noisy).astype(np.uint8), how.quality)


def jpeg(picture: np.ndarray, quality: int = 85) -> np.ndarray:
    return cv2.imdecode(cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality])[1], cv2.IMREAD_GRAYSCALE)


def scanned(pages: Sequence[Written], rng: Rng) -> np.ndarray:
    """Cut sheets laid on the glass, each a little askew, at 200 to 300 dots an inch."""
    density = rng.uniform(*SCAN.density)
    columns = 2 if len(pages) > 1 else 1
    cell_w = max(p.leaf.size[0] for p in pages) + 6
    cell_h = max(p.leaf.size[1] for p in pages) + 6
    rows = -(-len(pages) // columns)
    glass = np.full((int(rows * cell_h * density), int(columns * cell_w * density)), 0.93, np.float32)
    for index, page in enumerate(pages):
        row, column = divmod(index, columns)
        centre = np.array([(column + 0.5) * cell_w, (row + 0.5) * cell_h]) + rng.normal(0, 0.4, 2)
        turn = np.radians(rng.normal(0, 0.8))
        size = np.array(page.leaf.size)
        corners = np.array([[0, 0], [1, 0], [0, 1]]) * size
        spun = (corners - size / 2) @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]) + centre
        move = cv2.getAffineTransform((corners * PX).astype(np.float32), (spun * density).astype(np.float32))
        soft = cv2.GaussianBlur(page.image, (0, 0), max(0.3, 0.4 * PX / density))
        flat = cv2.warpAffine(soft, move, glass.shape[::-1], flags=cv2.INTER_LINEAR, borderValue=255)
        there = cv2.warpAffine(np.ones_like(page.image), move, glass.shape[::-1], flags=cv2.INTER_NEAREST)
        glass = np.where(there > 0, 0.07 + 0.88 * flat.astype(np.float32) / 255, glass)
    glass *= _light(rng, glass.shape[1], glass.shape[0], SCAN)
    return _sensed(glass, SCAN, density, rng)


def pictures(
    found: Sequence[Leaf], severity: str, seed: int, count: int
) -> Iterator[tuple[np.ndarray, list[Written]]]:
    """Pictures of a severity with what is on them; scans hold up to four sheets."""
    rng = np.random.default_rng([seed, sum(map(ord, severity))])
    for _ in range(count):
        if severity == "scan":
            small = [leaf for leaf in found if leaf.size[0] < 150]
            picked = [small[i] for i in rng.choice(len(small), min(4, len(small)), replace=False)] if small else []
            if not small:
                picked = [found[int(rng.integers(len(found)))]]
            elif rng.random() < 0.3 and len(small) < len(found):
                large = [leaf for leaf in found if leaf.size[0] >= 150]
                picked = [large[int(rng.integers(len(large)))]]
            pages = [write_on(leaf, rng) for leaf in picked]
            yield scanned(pages, rng), pages
        else:
            page = write_on(found[int(rng.choice(len(found), p=_shares(found)))], rng)
            yield photographed(page.image, page.leaf.size, SEVERITIES[severity], rng), [page]


def _shares(found: Sequence[Leaf]) -> np.ndarray:
    """Pages with many boxes come more often: it is boxes that are counted."""
    boxes = np.array([1.0 + sum(s.kind in ("job", "vigour", "say") for s in leaf.spots) for leaf in found])
    return boxes / boxes.sum()


def as_file(picture: np.ndarray, path: Path, **more: object) -> Path:
    Image.fromarray(picture).save(path, **more)
    return path


def as_bytes(picture: np.ndarray, kind: str = "JPEG", **more: object) -> bytes:
    out = io.BytesIO()
    Image.fromarray(picture).save(out, kind, **more)
    return out.getvalue()
