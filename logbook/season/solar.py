"""Sun: day length and solstices, radiation above the air, and reference evapotranspiration from the normals.

The sun's declination by the low-precision formula of the Astronomical Almanac (about 0.01°, 1950-2050); a day runs
from the sun's upper edge at the horizon to the same at dusk, with refraction (0.8333°). FAO-56 (Allen, Pereira, Raes & Smith 1998,
FAO Irrigation and Drainage Paper 56): extraterrestrial radiation by its equations 21 to 25, evapotranspiration by Hargreaves, equation 52.
"""

from __future__ import annotations

import math
from datetime import date

from ..values import dataclass

HORIZON_DEGREES = 0.8333
_J2000 = date(2000, 1, 1)
SOLAR_CONSTANT = 0.0820  # MJ m⁻² min⁻¹
MJ_TO_MM = 0.408


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


def nearest_to_midsummer(month_day: tuple[int, int], season: int, southern: bool) -> date:
    """The day of that month and number which belongs to a season: the one nearest to its longest day."""
    summer = midsummer(season, southern)
    month, number = month_day
    candidates = [date(summer.year + shift, month, number) for shift in (-1, 0, 1)]
    return min(candidates, key=lambda day: abs((day - summer).days))


def midwinter_before(year: int, southern: bool) -> date:
    """The shortest day before the spring of `year` (within a day)."""
    return date(year, 6, 21) if southern else date(year - 1, 12, 21)


@dataclass(frozen=True, slots=True)
class Sky:
    """Inverse relative distance, declination and sunset hour angle (rad), and radiation Ra, MJ m⁻² d⁻¹."""

    distance: float
    declination: float
    sunset: float
    radiation: float

    @property
    def hours(self) -> float:
        """Daylight hours by equation 34 (geometric, without refraction)."""
        return 24 / math.pi * self.sunset


def sky(latitude: float, year_day: int) -> Sky:
    """The sky over a latitude (degrees) on a day of the year (1 to 366)."""
    phi = math.radians(latitude)
    angle = 2 * math.pi * year_day / 365
    distance = 1 + 0.033 * math.cos(angle)
    declination = 0.409 * math.sin(angle - 1.39)
    sunset = math.acos(max(-1.0, min(1.0, -math.tan(phi) * math.tan(declination))))
    beam = sunset * math.sin(phi) * math.sin(declination) + math.cos(phi) * math.cos(declination) * math.sin(sunset)
    return Sky(distance, declination, sunset, 24 * 60 / math.pi * SOLAR_CONSTANT * distance * beam)


def hargreaves(latitude: float, year_day: int, tmin: float, tmax: float) -> float:
    """Reference evapotranspiration, mm a day, from the day's (or month's mean) minimum and maximum, °C."""
    mean = (tmin + tmax) / 2
    swing = math.sqrt(max(0.0, tmax - tmin))
    return max(0.0, 0.0023 * (mean + 17.8) * swing * sky(latitude, year_day).radiation * MJ_TO_MM)
