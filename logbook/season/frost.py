"""When frost ends and begins: dates by risk, from the average year and its scatter.

P(last frost ≤ d) is the product over all later days of the chance that the night stays above 0 °C, each to the power
0.6 because frosty nights come in spells. A grower's own frost date stands for the 50 % one.
"""

from __future__ import annotations

import math
from datetime import date, timedelta

from .climate import Climate, day_index

SPELLS = 0.6


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
