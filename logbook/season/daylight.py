"""Day length and solstices.

Day length by the CBM model (Forsythe et al. 1995, Ecological Modelling 80:87) with the sun's upper edge on the
horizon and refraction (p = 0.8333°).
"""

from __future__ import annotations

import math
from datetime import date

HORIZON_DEGREES = 0.8333


def day_length(latitude: float, day: date) -> float:
    """Hours of daylight, 0 to 24."""
    year_day = day.timetuple().tm_yday
    angle = 0.2163108 + 2 * math.atan(0.9671396 * math.tan(0.00860 * (year_day - 186)))
    declination = math.asin(0.39795 * math.cos(angle))
    phi = math.radians(latitude)
    cosine = (math.sin(math.radians(HORIZON_DEGREES)) + math.sin(phi) * math.sin(declination)) / (
        math.cos(phi) * math.cos(declination)
    )
    return 24 - 24 / math.pi * math.acos(max(-1.0, min(1.0, cosine)))


def midsummer(year: int, southern: bool) -> date:
    """The longest day of the growing season that begins in `year` (within a day)."""
    return date(year, 12, 21) if southern else date(year, 6, 21)


def midwinter_before(year: int, southern: bool) -> date:
    """The shortest day before the spring of `year` (within a day)."""
    return date(year, 6, 21) if southern else date(year - 1, 12, 21)
