"""Pots and soil: what a pot holds by its inner dimensions, how a mix divides it, and whether a pot suits a tree.

Volume by the prismoidal formula h/6 · (A_bottom + 4·A_middle + A_top), exact for every straight wall and for spherical bowls.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

from ..collection.model import Pot
from ..values import dataclass

MM3_PER_LITRE = 1e6
OUTER_OVERSTATES = 1.36  # outer dimensions against inner ones, measured on ordinary pots
SOIL_MORE = 1.15  # waste and settling, common practice
HEAVY_LITRES = 12.0


@dataclass(frozen=True, slots=True)
class Holds:
    """A pot's volume in litres; `guessed` where only outer dimensions are on record."""

    litres: float
    guessed: bool = False

    def told(self) -> str:
        """Litres to one place, with `about` where the pot was guessed at."""
        return f"{'about ' if self.guessed else ''}{self.litres:.1f} L"


def prismoid_litres(bottom_mm2: float, middle_mm2: float, top_mm2: float, depth_mm: float) -> float:
    """h/6 · (A_bottom + 4·A_middle + A_top), litres."""
    return depth_mm / 6 * (bottom_mm2 + 4 * middle_mm2 + top_mm2) / MM3_PER_LITRE


def rectangle_litres(top_mm: Sequence[float], bottom_mm: Sequence[float], depth_mm: float) -> float:
    """A box with slanting walls: length and width above and below, litres."""
    return _walls(top_mm, bottom_mm, depth_mm, 1.0)


def oval_litres(top_mm: Sequence[float], bottom_mm: Sequence[float], depth_mm: float) -> float:
    """An elliptic pot with slanting walls, litres."""
    return _walls(top_mm, bottom_mm, depth_mm, math.pi / 4)


def round_litres(top_mm: float, bottom_mm: float, depth_mm: float) -> float:
    """A round pot with straight walls: diameters above and below, litres."""
    return _walls((top_mm, top_mm), (bottom_mm, bottom_mm), depth_mm, math.pi / 4)


def bowl_litres(top_mm: float, depth_mm: float) -> float:
    """A spherical cap: diameter at the rim and depth, litres."""
    radius = top_mm / 2
    middle = (radius**2 + depth_mm**2 / 2) / 2  # r² at half depth of a cap
    return prismoid_litres(0.0, math.pi * middle, math.pi * radius**2, depth_mm)


def table_litres(areas_mm2: Sequence[float], depth_mm: float) -> float:
    """Cross-sections at equal steps from bottom to rim, summed slice by slice, litres."""
    step = depth_mm / (len(areas_mm2) - 1)
    slices = (a + b + math.sqrt(a * b) for a, b in itertools.pairwise(areas_mm2))
    return sum(step / 3 * part for part in slices) / MM3_PER_LITRE


def _walls(top: Sequence[float], bottom: Sequence[float], depth_mm: float, factor: float) -> float:
    areas = [factor * length * width for length, width in (bottom, _between(top, bottom), top)]
    return prismoid_litres(areas[0], areas[1], areas[2], depth_mm)


def _between(one: Sequence[float], other: Sequence[float]) -> tuple[float, float]:
    return (one[0] + other[0]) / 2, (one[1] + other[1]) / 2


def holds(pot: Pot) -> Holds | None:
    """What a recorded pot holds; None where no dimensions are on record."""
    if pot.areas and len(pot.inner) >= 2:
        return Holds(table_litres(pot.areas, pot.inner[-1]))
    if pot.inner:
        return Holds(_by_shape(pot.shape, pot.inner, pot.base))
    if pot.outer:
        return Holds(_by_shape(pot.shape, pot.outer, ()) / OUTER_OVERSTATES, guessed=True)
    return None


def _by_shape(shape: str, sides: Sequence[float], base: Sequence[float]) -> float:
    depth = sides[-1]
    if shape in ("round", "drum", "bowl") and len(sides) == 2:
        below = base[0] if base else sides[0]
        return bowl_litres(sides[0], depth) if shape == "bowl" and not base else round_litres(sides[0], below, depth)
    top = sides[:2]
    bottom = base[:2] if len(base) >= 2 else top
    return (
        rectangle_litres(top, bottom, depth) if shape in ("rectangle", "other") else oval_litres(top, bottom, depth)
    )


def mix_litres(litres: float, parts: Mapping[str, float]) -> dict[str, float]:
    """Litres of each component to have ready: by parts, with 15 % more for waste and settling."""
    whole = sum(parts.values())
    return {name: litres * SOIL_MORE * share / whole for name, share in parts.items()}


def bags(litres: float, bag_litres: float) -> int:
    """Whole bags to buy."""
    return math.ceil(litres / bag_litres - 1e-9)


def fit_mm(
    trunk_mm: float | None, height_mm: float | None, crown_mm: float | None
) -> tuple[float | None, float | None]:
    """A new pot's (length, depth), mm: two thirds of the larger of height and crown, and the trunk's thickness.

    Common practice, no source; each None where what it hangs on is not on record.
    """
    larger = max(height_mm or 0.0, crown_mm or 0.0)
    return (larger * 2 / 3 if larger else None), trunk_mm


def surface_mm2(pot: Pot) -> float | None:
    """Area of soil that lies open, mm²."""
    sides = pot.inner or tuple(side / math.sqrt(OUTER_OVERSTATES) for side in pot.outer)
    if not sides:
        return None
    if len(sides) == 2:
        return math.pi / 4 * sides[0] ** 2
    return sides[0] * sides[1] * (1.0 if pot.shape in ("rectangle", "other") else math.pi / 4)
