"""When frost ends and begins: dates by risk, from the average year and its scatter, or the grower's own.

P(last frost ≤ d) is the product over all later days of the chance that the night stays above 0 °C, each to the power
0.6 because frosty nights come in spells. A grower's own frost date stands for the 50 % one.
"""

from __future__ import annotations

import math
from datetime import date, timedelta

from ..collection.model import Site
from ..horticulture.window_syntax import CAREFUL_FROSTS, MarkName
from .climate import Climate, day_index
from .mark import BAND_FROST, Absent, Known, Mark
from .reasons import Found, because
from .solar import midsummer, midwinter_before, nearest_to_midsummer

SPELLS = 0.6
EVEN_RISK, CAREFUL_RISK = 0.5, 0.1
OWN_DATE_MARGIN_DAYS = 14
_EVEN = {MarkName.LAST_FROST_10: MarkName.LAST_FROST, MarkName.FIRST_FROST_10: MarkName.FIRST_FROST}


def no_frost_chance(climate: Climate, day: date) -> float:
    """Chance that this night brings no frost, with spells allowed for."""
    index = day_index(day)
    z = -climate.tmin[index] / climate.sigma_min[index]
    return math.pow(1 - 0.5 * math.erfc(-z / math.sqrt(2)), SPELLS)


def last_frost(climate: Climate, midwinter: date, midsummer: date, risk: float) -> date | None:
    """The first day after which frost has at most `risk`; None where winter itself is free of it."""
    chance, day = 1.0, midsummer
    while day > midwinter:
        chance *= no_frost_chance(climate, day)
        if chance < 1 - risk:
            return day
        day -= timedelta(days=1)
    return None


def first_frost(climate: Climate, midsummer: date, midwinter: date, risk: float) -> date | None:
    """The first day by which frost has come with chance `risk`; None where it mostly never does."""
    chance, day = 1.0, midsummer
    while day < midwinter:
        chance *= no_frost_chance(climate, day)
        if 1 - chance >= risk:
            return day
        day += timedelta(days=1)
    return None


class FrostDates:
    """The frost marks of a site: the even date and the careful one, spring and autumn, by season."""

    def __init__(self, site: Site | None, climate: Climate | None) -> None:
        self._site = site
        self._climate = climate
        self._southern = bool(site and site.southern)

    def mark(self, name: MarkName, season: int) -> Known:
        """The 50 % date, or the 10 % one; the grower's own date is the 50 % one, and the other keeps its distance."""
        even = _EVEN.get(name, name)
        own = self._own(even)
        if own:
            return self._from_own(name, even, nearest_to_midsummer(own, season, self._southern), season)
        if self._climate is None:
            return Absent(name, because(Found.NO_NORMALS_NO_FROST))
        day = self._computed(even, season, CAREFUL_RISK if name in CAREFUL_FROSTS else EVEN_RISK)
        if day is None:
            return Absent(name, because(Found.MOSTLY_NO_FROST))
        return Mark(name, day, BAND_FROST, because(Found.FROST_TENTH if name in CAREFUL_FROSTS else Found.FROST_HALF))

    def _own(self, even: MarkName) -> tuple[int, int] | None:
        if self._site is None:
            return None
        return self._site.last_frost if even is MarkName.LAST_FROST else self._site.first_frost

    def _from_own(self, name: MarkName, even: MarkName, day: date, season: int) -> Mark:
        if name not in CAREFUL_FROSTS:
            return Mark(name, day, BAND_FROST, because(Found.OWN_FROST))
        computed, careful = (self._computed(even, season, risk) for risk in (EVEN_RISK, CAREFUL_RISK))
        towards_summer = 1 if even is MarkName.LAST_FROST else -1
        gap = (careful - computed).days if careful and computed else OWN_DATE_MARGIN_DAYS * towards_summer
        return Mark(name, day + timedelta(days=gap), BAND_FROST, because(Found.FROM_OWN_FROST))

    def _computed(self, even: MarkName, season: int, risk: float) -> date | None:
        if self._climate is None:
            return None
        summer = midsummer(season, self._southern)
        if even is MarkName.LAST_FROST:
            return last_frost(self._climate, midwinter_before(season, self._southern), summer, risk)
        return first_frost(self._climate, summer, midwinter_before(season + 1, self._southern), risk)
