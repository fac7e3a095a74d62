"""The site's average year, day by day, from twelve monthly normals.

Knows temperatures and degree-days; knows no tree. Days are indexed 0…364 from 1 January (29 February shares the
28th's value), temperatures are °C, degree-days °C·d.

Sources: the mean-preserving quadratic histospline of Boneva, Kendall & Stefanov (1971, J. R. Stat. Soc. B); single
sine degree-days of Baskerville & Emin (1969, Ecology 50:514), averaged over day-to-day spread by nine-point
Gauss–Hermite quadrature (nodes: Abramowitz & Stegun 1964, table 25.10).
"""

from __future__ import annotations

import math
from calendar import isleap
from collections.abc import Sequence
from datetime import date, timedelta
from functools import cached_property
from itertools import accumulate

from ..collection.model import Normals
from ..values import dataclass

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
YEAR_DAYS = 365
ONE_DAY = timedelta(days=1)

# ∫ f(x)·exp(−x²) dx ≈ Σ w·f(x); for a normal spread σ the nodes become √2·σ·x and the weights w/√π
_HERMITE = (
    (0.0, 0.7202352156060510),
    (0.7235510187528376, 0.4326515590025558),
    (1.4685532892166679, 0.0884745273943766),
    (2.2665805845318431, 0.0049436242755369),
    (3.1909932017815276, 0.0000396069772633),
)
NODES = tuple(
    (sign * math.sqrt(2) * x, w / math.sqrt(math.pi)) for x, w in _HERMITE for sign in ((1,) if x == 0 else (-1, 1))
)


_BEFORE_MONTH = (0, *(sum(MONTH_DAYS[:m]) for m in range(12)))


def day_index(day: date) -> int:
    """0…364; 29 February counts as the 28th."""
    index = _BEFORE_MONTH[day.month] + day.day - 1
    return 58 if index == 59 and day.month == 2 else index


def day_of_index(year: int, index: int) -> date:
    """The first day of a year with such an index, 0…364."""
    day = date(year, 1, 1) + timedelta(days=index)
    return day if index <= 58 or not isleap(year) else day + timedelta(days=1)


def histospline(monthly: Sequence[float]) -> tuple[float, ...]:
    """Daily values (365) whose mean over each month equals the given twelve, smooth across the year's end.

    Each value is the spline's mean over its day, so that the monthly means hold exactly.
    """
    ends = _month_bounds(monthly)
    daily: list[float] = []
    for month, days in enumerate(MONTH_DAYS):
        left, right, mean = ends[month], ends[(month + 1) % 12], monthly[month]
        bulge = 6 * (mean - (left + right) / 2)

        def integral(u: float, left: float = left, right: float = right, bulge: float = bulge) -> float:
            return left * u + (right - left) * u * u / 2 + bulge * (u * u / 2 - u**3 / 3)

        daily += [(integral((d + 1) / days) - integral(d / days)) * days for d in range(days)]
    return tuple(daily)


def _month_bounds(monthly: Sequence[float]) -> list[float]:
    """Values at the twelve month starts, from slope continuity: a cyclic, diagonally dominant system."""
    rows = [[0.0] * 13 for _ in range(12)]
    for month in range(12):
        after, later = (month + 1) % 12, (month + 2) % 12
        here, there = 1 / MONTH_DAYS[month], 1 / MONTH_DAYS[after]
        rows[month][month] += 2 * here
        rows[month][after] += 4 * (here + there)
        rows[month][later] += 2 * there
        rows[month][12] = 6 * (monthly[month] * here + monthly[after] * there)
    return _solve(rows)


def _solve(rows: list[list[float]]) -> list[float]:
    """Gaussian elimination with partial pivoting of an augmented n × (n+1) system."""
    size = len(rows)
    for column in range(size):
        pivot = max(range(column, size), key=lambda r: abs(rows[r][column]))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        for row in range(size):
            if row != column:
                factor = rows[row][column] / rows[column][column]
                rows[row] = [a - factor * b for a, b in zip(rows[row], rows[column], strict=True)]
    return [rows[i][size] / rows[i][i] for i in range(size)]


def single_sine(tmin: float, tmax: float, base: float) -> float:
    """Degree-days above `base` of one day whose temperature is a sine between tmin and tmax (°C·d)."""
    mean = (tmin + tmax) / 2
    if tmin >= base:
        return mean - base
    if tmax <= base:
        return 0.0
    half = (tmax - tmin) / 2
    theta = math.asin(max(-1.0, min(1.0, (base - mean) / half)))
    return ((mean - base) * (math.pi / 2 - theta) + half * math.cos(theta)) / math.pi


def spread_sine(tmin: float, tmax: float, base: float, sigma: float) -> float:
    """Single-sine degree-days averaged over days scattered normally by `sigma` °C about the mean day."""
    return sum(w * single_sine(tmin + x * sigma, tmax + x * sigma, base) for x, w in NODES)


@dataclass(frozen=True)
class Climate:
    """Daily means of an average year at one site."""

    normals: Normals

    @cached_property
    def tmin(self) -> tuple[float, ...]:
        """The usual night's low on each day of the year, °C."""
        return histospline(self.normals.tmin)

    @cached_property
    def tmax(self) -> tuple[float, ...]:
        """The usual day's high on each day of the year, °C."""
        return histospline(self.normals.tmax)

    @cached_property
    def mean(self) -> tuple[float, ...]:
        """Each day's mean of low and high, °C."""
        return tuple((a + b) / 2 for a, b in zip(self.tmin, self.tmax, strict=True))

    @cached_property
    def monthly_means(self) -> tuple[float, ...]:
        """Each month's mean of low and high, °C, January first."""
        return tuple((a + b) / 2 for a, b in zip(self.normals.tmin, self.normals.tmax, strict=True))

    @property
    def coldest_month(self) -> float:
        """The coldest month's mean, °C."""
        return min(self.monthly_means)

    @cached_property
    def spread_scale(self) -> float:
        """How much wider or narrower than the default the days scatter, from the average coldest night."""
        coldest_night = self.normals.coldest_night
        if coldest_night is None:
            return 1.0
        coldest = min(self.normals.tmin)
        warmest = max(self.normals.tmin)
        return max(0.2, (coldest - coldest_night) / (2.1 * (2.5 + 0.136 * (warmest - coldest))))

    @cached_property
    def sigma_mean(self) -> tuple[float, ...]:
        """Day-to-day standard deviation of the daily mean, °C."""
        warmest = max(self.monthly_means)
        return tuple((2.5 + 0.12 * max(0.0, warmest - t)) * self.spread_scale for t in self.mean)

    @cached_property
    def sigma_min(self) -> tuple[float, ...]:
        """Day-to-day standard deviation of the daily minimum, °C, as frost needs it (√ of the scale)."""
        warmest = max(self.normals.tmin)
        scale = math.sqrt(self.spread_scale)
        return tuple((2.5 + 0.136 * max(0.0, warmest - t)) * scale for t in self.tmin)

    @cached_property
    def safe_nights(self) -> dict[float, tuple[float, ...]]:
        """What `frost_risk` has worked out of the year's nights, by limit (°C)."""
        return {}

    def degree_days(self, base: float) -> tuple[float, ...]:
        """Expected degree-days of each day of the year above `base`, °C·d."""
        cache: dict[float, tuple[float, ...]] = self.__dict__.setdefault("_degree_days", {})
        if base not in cache:
            cache[base] = tuple(
                spread_sine(low, high, base, sigma)
                for low, high, sigma in zip(self.tmin, self.tmax, self.sigma_mean, strict=True)
            )
        return cache[base]

    def year_sum(self, base: float) -> float:
        """Expected degree-days of a whole year above `base`, °C·d."""
        cache: dict[float, float] = self.__dict__.setdefault("_year_sums", {})
        if base not in cache:
            cache[base] = sum(self.degree_days(base))
        return cache[base]

    def day_reaching(self, start: date, wanted: float, base: float, limit: date) -> date:
        """The first day by whose end so many degree-days have passed since the start of another; `limit` where they have not by then."""
        totals = self._totals(base)
        before = _running(totals, start)
        low, high = start, limit
        while low < high:
            middle = low + (high - low) // 2
            if _running(totals, middle + ONE_DAY) - before >= wanted:
                high = middle
            else:
                low = middle + ONE_DAY
        return low

    def sum_between(self, start: date, end: date, base: float) -> float:
        """Degree-days from `start` up to, not including, `end`."""
        if end <= start:
            return 0.0
        return _running(self._totals(base), end) - _running(self._totals(base), start)

    def _totals(self, base: float) -> tuple[float, ...]:
        """Running sums of a year's degree-days: 366 values, the last the whole year's."""
        cache: dict[float, tuple[float, ...]] = self.__dict__.setdefault("_running_sums", {})
        if base not in cache:
            cache[base] = (0.0, *accumulate(self.degree_days(base)))
        return cache[base]


def _running(totals: tuple[float, ...], day: date) -> float:
    """The sum from 1 January of year 0 up to a day, with years of 365 days (29 February adds its own)."""
    index = day_index(day)
    return day.year * totals[YEAR_DAYS] + totals[index]
