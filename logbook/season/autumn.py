"""When leaves colour and fall, and how sure the end of growth is.

Leaf colour of deciduous trees: day of year 267 + 2.18 × the year's mean temperature, °C (370 autumns at 58 camera sites, PhenoCam,
off by 8.5 days on average); 286 for East Asian trees that hold their leaves: ginkgo at 12 places of Japan; the maples and zelkova are
common practice, no source. In the south the day is counted from 1 July.
"""

from __future__ import annotations

import statistics
from datetime import date, timedelta

from ..values import dataclass
from .climate import MONTH_DAYS, Climate

COLOUR_DAY, HOLDING_DAY, PER_DEGREE = 267.0, 286.0, 2.18
COLOUR_BAND = 12.4  # days, 80 %
FALL_AFTER_COLOUR = 14
GROWTH_END_BAND = 15.0  # days, 80 %, unlogged
TROPICS = 23.5
HOLDERS = (
    "Ginkgo biloba",
    "Acer palmatum",
    "Acer japonicum",
    "Acer shirasawanum",
    "Acer buergerianum",
    "Zelkova serrata",
)


@dataclass(frozen=True, slots=True)
class Autumn:
    """A tree's autumn before any of it was logged; `band` is half the 80 % band, days."""

    colour: date
    fall: date
    band: float


def annual_mean(climate: Climate) -> float:
    """The year's mean temperature, °C, months weighted by their days."""
    return statistics.fmean(climate.monthly_means, weights=MONTH_DAYS)


def holds_leaves(species: str) -> bool:
    """Whether a tree is one of those that colour late."""
    return any(species == name or species.startswith(f"{name} ") for name in HOLDERS)


def autumn(climate: Climate, latitude: float, season: int, species: str) -> Autumn | None:
    """Leaf colour and fall of a deciduous tree in the autumn of a season; None in the tropics, where there is none."""
    if abs(latitude) < TROPICS:
        return None
    first = date(season, 7, 1) if latitude < 0 else date(season, 1, 1)
    day = (HOLDING_DAY if holds_leaves(species) else COLOUR_DAY) + PER_DEGREE * annual_mean(climate)
    colour = first + timedelta(days=round(day) - 1)
    return Autumn(colour, colour + timedelta(days=FALL_AFTER_COLOUR), COLOUR_BAND)
