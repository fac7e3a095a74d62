"""Units at the edges. Inside, lengths are mm, temperatures °C, volumes L and times days.

With `units: us` the collection's YAML, notes and paper speak inches, °F, feet and quarts; wire is always given in
mm or by its American gauge (`10ga`), whose diameters follow ASTM B258.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from ..values import dataclass

MM_PER_INCH = 25.4
M_PER_FOOT = 0.3048
L_PER_QUART = 0.946352946

_MEASURE = re.compile(r"(?:(\d+) )?(\d+)/(\d+)\s*([a-z\"]*)|(\d+(?:[.,]\d+)?)\s*([a-z\"]*)", re.IGNORECASE)
_TO_MM = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    '"': MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    "ft": 304.8,
}
_GAUGE = re.compile(r"(\d{1,2})\s*(?:ga|awg)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Units:
    """A system of units and how it is written on paper."""

    name: str = "metric"

    @property
    def us(self) -> bool:
        """Whether inches, feet and °F are meant."""
        return self.name == "us"

    def length_mm(self, number: float) -> float:
        """A length as typed (mm or inches) in mm."""
        return number * MM_PER_INCH if self.us else number

    def length_own(self, mm: float) -> float:
        """A length as files keep it: mm, or inches, each to what a rule can show."""
        return round(mm / MM_PER_INCH, 3) if self.us else round(mm, 2)

    def area_mm2(self, number: float) -> float:
        """Square centimetres or square inches as mm²."""
        return number * MM_PER_INCH**2 if self.us else number * 100.0

    def area_own(self, mm2: float) -> float:
        """mm² as square centimetres or square inches."""
        return mm2 / MM_PER_INCH**2 if self.us else mm2 / 100.0

    def litres_told(self, litres: float) -> str:
        """`3.2 L`, `3.4 qt`."""
        return f"{litres / L_PER_QUART:.1f} qt" if self.us else f"{litres:.1f} L"

    def celsius(self, number: float) -> float:
        """A temperature as typed (°C or °F) in °C."""
        return (number - 32.0) / 1.8 if self.us else number

    def degrees(self, number: float) -> float:
        """A difference of temperature in °C."""
        return number / 1.8 if self.us else number

    def degrees_own(self, degrees: float) -> float:
        """A difference of temperature as files keep it: °C or °F, to two decimals."""
        return round(degrees * 1.8 if self.us else degrees, 2)

    def temperature_own(self, celsius: float) -> float:
        """°C as files keep it: °C or °F, to two decimals."""
        return round(celsius * 1.8 + 32.0 if self.us else celsius, 2)

    def metres(self, number: float) -> float:
        """A height as typed (m or feet) in m."""
        return number * M_PER_FOOT if self.us else number

    def elevation_own(self, metres: float) -> float:
        """Metres as files keep them: metres or feet."""
        return round(metres / M_PER_FOOT, 1) if self.us else metres

    def length_told(self, mm: float) -> str:
        """`38.5 mm`, `1.52 in`."""
        return f"{mm / MM_PER_INCH:.2f} in" if self.us else f"{plain(mm)} mm"

    def temperature_told(self, celsius: float) -> str:
        """A temperature, given in °C, in whole degrees of the collection's own unit."""
        return f"{celsius * 1.8 + 32:.0f} °F" if self.us else f"{celsius:.0f} °C"

    def warmth_told(self, degree_days: float, above: float) -> str:
        """A sum of warmth above a base, °C·d; in us units in °F·d, with the °C·d that a collection's own numbers are given in."""
        if not self.us:
            return f"{degree_days:g} °C·d above {above:g} °C"
        return f"{degree_days * 1.8:.0f} °F·d above {self.temperature_told(above)} ({degree_days:g} °C·d)"


METRIC = Units("metric")
US = Units("us")


@lru_cache(maxsize=4096)
def plain(number: float) -> str:
    """A number without needless zeros: 45.0 → 45, 38.50 → 38.5, -0.0 → 0."""
    told = f"{number:.3f}".rstrip("0").rstrip(".")
    return "0" if told == "-0" else told


def length_mm(text: str, units: Units) -> float | None:
    """A length as typed (`38.5`, `38,5`, `1 1/2in`, `4 cm`) in mm, or None where it is none."""
    found = _MEASURE.fullmatch(text.strip())
    if not found:
        return None
    whole, top, bottom, unit_a, number, unit_b = found.groups()
    unit = (unit_a or unit_b or "").lower()
    if unit and unit not in _TO_MM:
        return None
    if number is not None:
        value = float(number.replace(",", "."))
    elif int(bottom) == 0:
        return None
    else:
        value = float(int(whole or 0) + Fraction(int(top), int(bottom)))
    return value * _TO_MM[unit] if unit else units.length_mm(value)


def sides_mm(text: str, units: Units) -> tuple[float, ...] | None:
    """`310x240x60`, `12x9x3in`: sides in mm, a unit behind the last holding for those that have none; None where it is none."""
    parts = [part.strip() for part in re.split(r"[x×*]", text.casefold())]
    unit = re.search(r"[a-z\"]*$", parts[-1])
    bare = unit[0] if unit and unit[0] in _TO_MM else ""
    sides = [length_mm(part if re.search(r"[a-z\"]$", part) else part + bare, units) for part in parts]
    found = tuple(side for side in sides if side is not None)
    return found if len(found) == len(parts) else None


def wire_mm(text: str) -> float | None:
    """A wire size (`2.5`, `2.5mm`, `10ga`) as a diameter in mm, or None. Gauges by ASTM B258."""
    gauge = _GAUGE.fullmatch(text.strip())
    if gauge:
        return awg_mm(int(gauge[1]))
    found = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*(?:mm)?", text.strip())
    return float(found[1].replace(",", ".")) if found else None


def awg_mm(gauge: int) -> float:
    """Diameter in mm of an American wire gauge: 0.127·92^((36−n)/39), ASTM B258."""
    return float(0.127 * 92 ** ((36 - gauge) / 39))
