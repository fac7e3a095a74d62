"""Twelve monthly means from two months or from four.

Two: January's and July's night and day means. The other months lie at fixed shares of the way from the coldest month to the warmest
(measured at 1,916 stations poleward of 23°, WMO CLIMAT monthly reports 2003–2021: a month's mean is off by 0.84–0.89 °C). Four: a year's wave
and its half through January, April, July and October (0.71 °C). Within 23° of the equator two months give a plain wave between
them, good for their mean only.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

Months = tuple[float, ...]
TWO, FOUR = (1, 7), (1, 4, 7, 10)
EQUATOR = 23.0
# share of the way from the coldest to the warmest month, the coldest first (January in the north, July in the south)
DAY_SHARES = (0.0, 0.073, 0.278, 0.515, 0.715, 0.905, 1.0, 0.972, 0.799, 0.546, 0.265, 0.072)
NIGHT_SHARES = (0.0, 0.037, 0.207, 0.429, 0.667, 0.883, 1.0, 0.975, 0.796, 0.556, 0.292, 0.090)
OPEN_OFF, GROWTH_END_OFF = 3.0, 4.0  # days by which guessed normals move these marks
_WITHIN_80 = 1.28


def guessed(pairs: Mapping[int, tuple[float, float]], latitude: float) -> tuple[Months, Months] | None:
    """Twelve nights and twelve days, °C, from (night, day) of months 1 and 7, or of 1, 4, 7 and 10; None from any others."""
    if tuple(sorted(pairs)) == TWO:
        return _in_order(_of_two(pairs, latitude, 0, NIGHT_SHARES), _of_two(pairs, latitude, 1, DAY_SHARES))
    if tuple(sorted(pairs)) == FOUR:
        return _in_order(_of_four([pairs[m][0] for m in FOUR]), _of_four([pairs[m][1] for m in FOUR]))
    return None


def _in_order(nights: Months, days: Months) -> tuple[Months, Months]:
    """No month's night is warmer than its day, though nights that are as warm as days are guessed along another curve."""
    return tuple(map(min, nights, days)), tuple(map(max, nights, days))


def _of_two(pairs: Mapping[int, tuple[float, float]], latitude: float, at: int, shares: Sequence[float]) -> Months:
    january, july = pairs[1][at], pairs[7][at]
    if abs(latitude) <= EQUATOR:
        return tuple(
            round((january + july) / 2 + (january - july) / 2 * math.cos(math.tau * m / 12), 2) for m in range(12)
        )
    if latitude < 0:
        return tuple(round(july + (january - july) * shares[(m + 6) % 12], 2) for m in range(12))
    return tuple(round(january + (july - january) * shares[m], 2) for m in range(12))


def _of_four(quarters: Sequence[float]) -> Months:
    """The mean, one wave a year and the even half of two: the curve of these that goes through all four."""
    january, april, july, october = quarters
    mean = sum(quarters) / 4
    half = (january + july - april - october) / 4

    def value(month: int) -> float:
        turn = math.tau * month / 12
        wave = (january - july) / 2 * math.cos(turn) + (april - october) / 2 * math.sin(turn)
        return round(mean + wave + half * math.cos(2 * turn), 2)

    return tuple(value(m) for m in range(12))


def guessed_band(band: float, off: float = GROWTH_END_OFF) -> float:
    """A band, days, widened by what guessed normals add."""
    return math.hypot(band, _WITHIN_80 * off)
