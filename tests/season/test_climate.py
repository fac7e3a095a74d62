"""Daily climate from monthly normals, and degree-days, against the published methods."""

from __future__ import annotations

import math
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.model import Normals
from logbook.season.climate import (
    MONTH_DAYS,
    NODES,
    YEAR_DAYS,
    Climate,
    day_index,
    histospline,
    single_sine,
    spread_sine,
)

from ..conftest import INLAND

months = st.lists(st.floats(-30, 40), min_size=12, max_size=12)


@given(months)
def test_every_months_mean_holds(monthly: list[float]) -> None:
    """Mean-preserving histospline: Boneva, Kendall & Stefanov 1971, J. R. Stat. Soc. B (from memory); goal 0.03 °C."""
    daily = histospline(monthly)
    start = 0
    for mean, days in zip(monthly, MONTH_DAYS, strict=True):
        assert sum(daily[start : start + days]) / days == pytest.approx(mean, abs=1e-6)
        start += days


@given(months)
def test_a_shifted_year_gives_a_shifted_curve(monthly: list[float]) -> None:
    """No special case for the south: turned by half a year, the curve is (nearly: months differ in length) turned too."""
    north, south = histospline(monthly), histospline(monthly[6:] + monthly[:6])
    spread = max(monthly) - min(monthly)
    assert all(abs(north[d] - south[(d + 184) % YEAR_DAYS]) <= 0.25 * spread + 0.01 for d in range(0, 365, 10))


@pytest.mark.parametrize(
    ("low", "high", "base", "expected"),
    [
        (4, 16, 10, 6 / math.pi),
        (0, 10, 5, 1.5915),
        (-3, 12, 5, 2.1426),
        (2, 21, 10, 3.8117),
        (12, 20, 10, 6.0),
        (-5, 4, 5, 0.0),
    ],
)
def test_single_sine(low: float, high: float, base: float, expected: float) -> None:
    """Baskerville & Emin 1969, Ecology 50:514-517 (from memory); values agree with numeric integration."""
    assert single_sine(low, high, base) == pytest.approx(expected, abs=5e-5)
    angle = np.linspace(0, 2 * np.pi, 200_001)
    numeric = np.maximum((low + high) / 2 + (high - low) / 2 * np.sin(angle) - base, 0).mean()
    assert single_sine(low, high, base) == pytest.approx(float(numeric), abs=1e-4)


def test_spread() -> None:
    """Averaged over N(0, 4): value agrees with numeric integration."""
    assert spread_sine(-3, 8, 5, 4) == pytest.approx(1.237, abs=0.002)


def test_quadrature_nodes() -> None:
    """Nine-point Gauss-Hermite: Abramowitz & Stegun 1964, table 25.10; numpy.polynomial as oracle."""
    x, w = np.polynomial.hermite.hermgauss(9)
    theirs = sorted(zip(x * math.sqrt(2), w / math.sqrt(math.pi), strict=True))
    for (a, b), (c, d) in zip(sorted(NODES), theirs, strict=True):
        assert (a, b) == (pytest.approx(c, abs=1e-12), pytest.approx(d, abs=1e-12))


@given(st.floats(-20, 30), st.floats(0, 25), st.floats(-5, 15), st.floats(0.1, 8))
def test_degree_days_never_fall_under_those_of_the_mean_day(
    low: float, width: float, base: float, sigma: float
) -> None:
    """max(0, x) is convex, so scatter only adds (Jensen)."""
    assert spread_sine(low, low + width, base, sigma) >= single_sine(low, low + width, base) - 1e-9


def test_coldest_night_sets_the_scatter() -> None:
    mild = Climate(Normals(INLAND.tmin, INLAND.tmax, coldest_night=-8.0))
    hard = Climate(Normals(INLAND.tmin, INLAND.tmax, coldest_night=-20.0))
    plain = Climate(Normals(INLAND.tmin, INLAND.tmax))
    assert mild.spread_scale < hard.spread_scale
    assert plain.spread_scale == 1.0
    assert mild.sigma_mean[0] < plain.sigma_mean[0] < hard.sigma_mean[0]


def test_leap_day_shares_the_day_before() -> None:
    assert day_index(date(2024, 2, 29)) == day_index(date(2024, 2, 28)) == 58
    assert day_index(date(2024, 12, 31)) == day_index(date(2023, 12, 31)) == 364
