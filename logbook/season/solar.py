"""Day length and solstices.

The sun's declination by the low-precision formula of the Astronomical Almanac (about 0.01°, 1950-2050); a day runs
from the sun's upper edge at the horizon to the same at dusk, with refraction (0.8333°).
"""

from __future__ import annotations

import math
from datetime import date

HORIZON_DEGREES = 0.8333
_J2000 = date(2000, 1, 1)


def declination(day: date) -> float:
    """The sun's declination at noon, radians."""
    n = (day - _J2000).days
    anomaly = math.radians(357.528 + 0.9856003 * n)
    longitude = math.radians(280.460 + 0.9856474 * n + 1.915 * math.sin(anomaly) + 0.020 * math.sin(2 * anomaly))
    obliquity = math.radians(23.439 - 4e-7 * n)
    return math.asin(math.sin(obliquity) * math.sin(longitude))


def day_length(latitude: float, day: date) -> float:
    """Hours of daylight, 0 to 24; the poles themselves are taken as 89.9°."""
    phi = math.radians(max(-89.9, min(89.9, latitude)))
    sun = declination(day)
    edge = -math.sin(math.radians(HORIZON_DEGREES)) - math.sin(phi) * math.sin(sun)
    cosine = edge / (math.cos(phi) * math.cos(sun))
    return 24 / math.pi * math.acos(max(-1.0, min(1.0, cosine)))


def midsummer(year: int, southern: bool) -> date:
    """The longest day of the growing season that begins in `year` (within a day)."""
    return date(year, 12, 21) if southern else date(year, 6, 21)


def midwinter_before(year: int, southern: bool) -> date:
    """The shortest day before the spring of `year` (within a day)."""
    return date(year, 6, 21) if southern else date(year - 1, 12, 21)
