"""Sun and thirst: radiation above the air, and reference evapotranspiration from the normals.

FAO-56 (Allen, Pereira, Raes & Smith 1998, FAO Irrigation and Drainage Paper 56): extraterrestrial radiation by its
equations 21 to 25, evapotranspiration by Hargreaves, its equation 52.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

SOLAR_CONSTANT = 0.0820  # MJ m⁻² min⁻¹
MJ_TO_MM = 0.408


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
