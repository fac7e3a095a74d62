"""Frost dates: order by risk, and the closed form where every night is alike."""

from __future__ import annotations

import math
from datetime import date

import pytest

from logbook.collection.model import Normals
from logbook.season.climate import Climate
from logbook.season.frost import SPELLS, first_frost, last_frost, no_frost_chance

from ..conftest import INLAND

SUMMER, WINTER, NEXT = date(2027, 6, 21), date(2026, 12, 21), date(2027, 12, 21)


def test_the_more_careful_date_is_later_in_spring_and_earlier_in_autumn() -> None:
    climate = Climate(INLAND)
    spring = [last_frost(climate, WINTER, SUMMER, risk) for risk in (0.5, 0.1)]
    autumn = [first_frost(climate, SUMMER, NEXT, risk) for risk in (0.5, 0.1)]
    assert spring[0] and spring[1] and spring[0] < spring[1]
    assert autumn[0] and autumn[1] and autumn[0] > autumn[1]


def test_one_nights_chance_is_the_normal_tail() -> None:
    """Φ by the error function: Abramowitz & Stegun 1964, 26.2.29 (from memory)."""
    climate = Climate(INLAND)
    z = climate.tmin[100] / climate.sigma_min[100]
    phi = 0.5 * (1 + math.erf(z / math.sqrt(2)))
    assert no_frost_chance(climate, date(2027, 4, 11)) == pytest.approx(phi**SPELLS)


def test_where_frost_never_comes() -> None:
    warm = Climate(Normals((20.0,) * 12, (30.0,) * 12))
    assert last_frost(warm, WINTER, SUMMER, 0.5) is None
    assert first_frost(warm, SUMMER, NEXT, 0.5) is None
