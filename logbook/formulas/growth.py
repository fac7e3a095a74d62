"""Calliper against time: how fast a trunk thickens, and when it reaches its target, with an honest band.

Theil–Sen (Theil 1950; Sen 1968, J. Am. Stat. Assoc. 63:1379 (from memory)): the median slope of all pairs of readings. No saturating curve is
fitted: a few readings do not bear one. The bands of the wait were measured on ring widths (148 series): × 0.63 to 1.66 with
two readings, × 0.70 to 1.54 with more, for 80 %.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from datetime import date, timedelta
from enum import StrEnum
from itertools import combinations

from ..values import dataclass

YEAR_DAYS = 365.25
BAND_TWO = (0.63, 1.66)
BAND_MORE = (0.70, 1.54)
FARTHEST_YEARS = 60
ENOUGH_SEASONS = 1.9  # two growing seasons, less a little for readings taken on the early side


@dataclass(frozen=True, slots=True)
class Point:
    """One reading: the day, and the calliper (or height, or length) in mm."""

    day: date
    mm: float


@dataclass(frozen=True, slots=True)
class Reach:
    """When a target is likely reached: the best guess and an 80 % span; `mm_a_year` is the rate behind it."""

    early: date
    day: date
    late: date
    mm_a_year: float


class Unreached(StrEnum):
    """Why no day is given for a target."""

    NONE_SINCE_CHANGE = "no reading since its growth changed"
    ONE_READING = "one reading"
    REACHED = "reached"
    TOO_SOON = "readings too close"
    NOT_GROWING = "not growing"
    TOO_FAR = "too far off"


@dataclass(frozen=True, slots=True)
class NoReach:
    """Why no day is given."""

    why: Unreached


def season_name(day: date, southern: bool) -> str:
    """Spring from March in the north, from September in the south."""
    turned = (day.month + 6 * southern) % 12
    return ("winter", "spring", "summer", "autumn")[turned // 3]


def theil_sen_mm_a_year(points: Sequence[Point]) -> float:
    """The median slope of all pairs of readings on different days, mm a year. Raises ValueError with fewer than two days."""
    slopes = [
        (b.mm - a.mm) / ((b.day - a.day).days / YEAR_DAYS) for a, b in combinations(points, 2) if a.day != b.day
    ]
    if not slopes:
        raise ValueError("two readings on different days are needed")
    return statistics.median(slopes)


def reach(points: Sequence[Point], target_mm: float, seasons_between: float) -> Reach | NoReach:
    """When the last reading's line meets the target. `seasons_between`: growing seasons from first to last reading."""
    if len({p.day for p in points}) < 2:
        return NoReach(Unreached.ONE_READING)
    last = max(points, key=lambda p: p.day)
    if last.mm >= target_mm:
        return NoReach(Unreached.REACHED)
    if seasons_between < ENOUGH_SEASONS:
        return NoReach(Unreached.TOO_SOON)
    rate = theil_sen_mm_a_year(points)
    if rate <= 0:
        return NoReach(Unreached.NOT_GROWING)
    wait = (target_mm - last.mm) / rate * YEAR_DAYS
    if wait > FARTHEST_YEARS * YEAR_DAYS:
        return NoReach(Unreached.TOO_FAR)
    low, high = BAND_TWO if len(points) == 2 else BAND_MORE
    early, day, late = (last.day + timedelta(days=round(wait * share)) for share in (low, 1.0, high))
    return Reach(early, day, late, rate)


def since_restart(points: Sequence[Point], restarts: Sequence[date]) -> list[Point]:
    """The readings from the last event on that changed the rate: out of the ground, trunk chop, sacrifice branch off."""
    ordered = sorted(points, key=lambda p: p.day)
    last = max(restarts, default=date.min)
    return [p for p in ordered if p.day >= last]
