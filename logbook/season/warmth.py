"""Spring by warmth and daylight: one sum that says when buds swell, leaves open and flowers come.

mark = first day on which Σ DD2(d)·(h(d)/12)⁵ reaches F, counted from 1 February (1 August in the south). DD2 are single-sine
degree-days above 2 °C (Baskerville & Emin 1969, Ecology 50:514), averaged over the day-to-day spread where only normals are
known; h is the day length at the latitude (never that of a site nearer the pole than 45°), in hours of the year 2001, so that
a site has one weighted year. Base, start, exponent and cap were chosen on springs seen by cameras at 58 sites (PhenoCam,
Richardson et al. 2018, Scientific Data 5:180028) with their daily weather (Daymet, Thornton et al.), and checked on Harvard
Forest hf003 (J. O'Keefe, CC BY) and on cherry bloom at Klein-Altendorf, in Japan and in Switzerland.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache, cached_property
from itertools import accumulate
from typing import NamedTuple

from ..collection.model import MonthMean, Normals
from .climate import YEAR_DAYS, Climate, day_index, histospline, single_sine, spread_sine
from .reasons import Found
from .solar import day_length
from .weather import Weather

BASE = 2.0  # °C
POWER = 5
CAP_LATITUDE = 45.0  # leaves at 64° N came on 16 May; with uncapped days they were reckoned for 4 May
REFERENCE_YEAR = 2001
EQUATOR = 23.0  # within it, no marks by warmth where the months are all alike
ALIKE = 4.0  # °C between warmest and coldest month
CHILL_LIMITS = {"yes": 12.0, "slight": 16.0}  # °C of the coldest month, by what the species needs of a winter
HARDENED_DAYS = 42
USUAL_OPEN = 431.0  # the sum at which maples open
WEATHER_AHEAD = 6.0  # K: how much more days of one spell go together than days drawn singly
# days²: how far whole springs scatter, without and with their weather. 25 was measured on inland sites for the most part; at milder
# ones early marks scatter more (45 at Brussels and in eastern England, stations of the aquacrop package), which K tells from the spread of days.
SEASON_UNKNOWN, SEASON_KNOWN, SEASON_AT_MOST = 25.0, 6.25, 50.0


@cache
def daylight_weights(latitude: float) -> tuple[float, ...]:
    """(h/12)⁵ of each day of the year, 365 values, h at most that of 45°."""
    capped = max(-CAP_LATITUDE, min(CAP_LATITUDE, latitude))
    first = date(REFERENCE_YEAR, 1, 1)
    return tuple((day_length(capped, first + timedelta(days=n)) / 12) ** POWER for n in range(YEAR_DAYS))


def season_start(season: int, southern: bool) -> date:
    """The day from which a season's warmth counts."""
    return date(season, 8 if southern else 2, 1)


def why_no_marks(climate: Climate, latitude: float, chill: str) -> Found | None:
    """Why warmth says nothing at this site to a tree that needs winter as `chill` says (yes, slight, no); None where it does."""
    limit = CHILL_LIMITS.get(chill)
    if limit is not None and climate.coldest_month > limit:
        return Found.WINTER_TOO_WARM
    months = climate.monthly_means
    if abs(latitude) <= EQUATOR and max(months) - min(months) < ALIKE:
        return Found.ALL_ALIKE
    return None


def day_scatter(weight: float, mean: float, sigma: float) -> float:
    """(w·Φ((mean−2)/σ)·σ)²: how much one day of unknown weather scatters in the sum; mean and deviation in °C."""
    return (weight * 0.5 * math.erfc(-(mean - BASE) / sigma / math.sqrt(2)) * sigma) ** 2


def ahead_variance(scatter: float, weight: float, degree_days: float) -> float:
    """Variance, days², that unknown weather adds to a date: K·Σ `day_scatter` over the square of what the date's own day gains."""
    gain = (weight * degree_days) ** 2
    return WEATHER_AHEAD * scatter / gain if gain > 0 else math.inf if scatter else 0.0


class Unknown(NamedTuple):
    """Of a season's days up to one: how many are not known, and the sum of their `day_scatter`."""

    days: int = 0
    scatter: float = 0.0


class Warmth:
    """The weighted warmth of one site, in the average year and in years whose days or months are known."""

    def __init__(
        self,
        climate: Climate,
        latitude: float,
        weather: Weather | None = None,
        months: Mapping[tuple[int, int], MonthMean] | None = None,
    ) -> None:
        """`weather` holds known days (cut off at the day of the plan), `months` the means typed by year and month."""
        self.climate = climate
        self.latitude = latitude
        self.southern = latitude < 0
        self.weather = weather or Weather()
        self.months = dict(months or {})
        self.weights = daylight_weights(latitude)
        self._typed = {year: _typed_year(climate.normals, year, self.months) for year in {y for y, _ in self.months}}
        self._seasons: dict[int, tuple[float, ...]] = {}
        self._gaps: dict[int, tuple[Unknown, ...]] = {}
        self._hard: dict[tuple[date, float], date] = {}
        self._ends: dict[tuple[int, date], date] = {}

    @property
    def guessed(self) -> str:
        """From how many numbers the normals were guessed; empty where they were not."""
        return self.climate.normals.guessed

    @cached_property
    def usual(self) -> Warmth:
        """The same site in the average year."""
        return Warmth(self.climate, self.latitude)

    def known_to(self, season: int, day: date) -> date:
        """The last day, up to `day`, whose weather is known; the season's first day where none is."""
        key = (season, day)
        if key not in self._ends:
            self._ends[key] = self._known_to(season, day)
        return self._ends[key]

    def _known_to(self, season: int, day: date) -> date:
        last, start = day, season_start(season, self.southern)
        while last > start and self.unknown(season, last).days != self.unknown(season, last - timedelta(days=1)).days:
            last -= timedelta(days=1)
        return last

    @cached_property
    def last_known(self) -> date | None:
        """The last day of which anything is known beyond the average year."""
        ends = [] if self.weather.last_day is None else [self.weather.last_day]
        ends += [date(year, month, 28) for year, month in self.months]
        return max(ends, default=None)

    def reaching(self, season: int, warmth: float) -> date | None:
        """The first day on which a season's sum reaches `warmth`; None if not within a year."""
        sums = self._sums(season)
        at = bisect_left(sums, warmth)
        return season_start(season, self.southern) + timedelta(days=at) if at < len(sums) else None

    def sum_by(self, season: int, day: date) -> float:
        """The season's sum up to and with a day; 0 before its start."""
        at = (day - season_start(season, self.southern)).days
        return 0.0 if at < 0 else self._sums(season)[min(at, YEAR_DAYS - 1)]

    def hardened(self, opened: date, old_gap: float) -> date:
        """The day on which shoots that opened on `opened` are hard.

        The plain sum above 0 °C from that day reaches `old_gap` (°C·d: the group's hardened − open), never sooner than 42 days.
        """
        key = (opened, old_gap)
        if key not in self._hard:
            self._hard[key] = self._hardened(opened, old_gap)
        return self._hard[key]

    def _hardened(self, opened: date, old_gap: float) -> date:
        so_far, day = 0.0, opened
        soonest, latest = opened + timedelta(days=HARDENED_DAYS), opened + timedelta(days=YEAR_DAYS)
        while day < latest:
            so_far += self._degree_days(day, 0.0)
            if so_far >= old_gap:
                break
            day += timedelta(days=1)
        return max(day, soonest)

    def unknown(self, season: int, mark: date) -> Unknown:
        """What of the weather from the season's start to the mark is known neither by day nor by month."""
        at = (mark - season_start(season, self.southern)).days
        return Unknown() if at < 0 else self._unknown(season)[min(at, YEAR_DAYS - 1)]

    def knows(self, season: int, mark: date) -> bool:
        """Whether anything is known of the weather that led, or leads, to a mark."""
        if not self.weather and not self.months:
            return False
        return self.unknown(season, mark).days < (mark - season_start(season, self.southern)).days + 1

    def season_variance(self, season: int, mark: date) -> float:
        """days²: how far a season scatters about a computed mark, as the estimator wants it for past seasons."""
        return sum(self.split_variance(season, mark))

    def split_variance(self, season: int, mark: date) -> tuple[float, float]:
        """(the season's own variance, what the weather still unknown adds), days².

        Only the first is shared with sightings of the same season; the second is added to the answer. With no weather known
        both are one: 25, or more where the site's own spread of days says so.
        """
        if self.knows(season, mark):
            return SEASON_KNOWN, self._ahead(self.unknown(season, mark).scatter, mark)
        at = (mark - season_start(season, self.southern)).days
        whole = self._ahead(self._all_scatter[max(0, min(at, YEAR_DAYS - 1))], mark)
        return max(SEASON_UNKNOWN, SEASON_KNOWN + whole), 0.0

    def shared_variance(self, season: int, running: bool) -> float:
        """days²: what all sightings of a season share, judged at the day a usual tree opens.

        Of a season that runs the weather to come is no part: signs seen so far had theirs.
        """
        mark = self.reaching(season, USUAL_OPEN)
        if mark is None:
            return SEASON_UNKNOWN
        own, to_come = self.split_variance(season, mark)
        return own if running else own + to_come

    def _ahead(self, scatter: float, mark: date) -> float:
        """`ahead_variance` of a mark, bounded: where the mark's own day gains next to nothing the ratio loses its meaning."""
        at = day_index(mark)
        found = ahead_variance(scatter, self.weights[at], self.climate.degree_days(BASE)[at])
        return min(found, SEASON_AT_MOST - SEASON_KNOWN)

    def _unknown(self, season: int) -> tuple[Unknown, ...]:
        """For each day of a season, what is unknown up to it."""
        if season not in self._gaps:
            so_far, found, start = Unknown(), [], season_start(season, self.southern)
            for day in (start + timedelta(days=n) for n in range(YEAR_DAYS)):
                if self.weather.on(day) is None and (day.year, day.month) not in self.months:
                    so_far = Unknown(so_far.days + 1, so_far.scatter + self._scatter[day_index(day)])
                found.append(so_far)
            self._gaps[season] = tuple(found)
        return self._gaps[season]

    @cached_property
    def _all_scatter(self) -> tuple[float, ...]:
        """For each day from the season's start, the scatter of all days up to it."""
        start = season_start(REFERENCE_YEAR, self.southern)
        return tuple(accumulate(self._scatter[day_index(start + timedelta(days=n))] for n in range(YEAR_DAYS)))

    @cached_property
    def _scatter(self) -> tuple[float, ...]:
        days = zip(self.weights, self.climate.mean, self.climate.sigma_mean, strict=True)
        return tuple(day_scatter(weight, mean, sigma) for weight, mean, sigma in days)

    def _sums(self, season: int) -> tuple[float, ...]:
        start = season_start(season, self.southern)
        if not self.weather and not self.months:
            return self._average_south if self.southern else self._average_north
        if season not in self._seasons:
            self._seasons[season] = self._summed(start)
        return self._seasons[season]

    @cached_property
    def _average_north(self) -> tuple[float, ...]:
        return self._summed(season_start(REFERENCE_YEAR, southern=False))

    @cached_property
    def _average_south(self) -> tuple[float, ...]:
        return self._summed(season_start(REFERENCE_YEAR, southern=True))

    def _summed(self, start: date) -> tuple[float, ...]:
        span = (start + timedelta(days=n) for n in range(YEAR_DAYS))
        return tuple(accumulate(self._degree_days(d, BASE) * self.weights[day_index(d)] for d in span))

    def _degree_days(self, day: date, base: float) -> float:
        """The day as measured; else its month as typed, with the usual spread; else the average year's."""
        known = self.weather.on(day)
        if known is not None:
            return single_sine(known.tmin, known.tmax, base)
        at = day_index(day)
        if (day.year, day.month) in self.months:
            low, high = self._typed[day.year]
            # the spread stays that of the normals: one month's mean says nothing of how its days scatter
            return spread_sine(low[at], high[at], base, self.climate.sigma_mean[at])
        return self.climate.degree_days(base)[at]


def _typed_year(
    normals: Normals, year: int, months: Mapping[tuple[int, int], MonthMean]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Daily curves of a year whose typed months stand in for their normals."""
    typed = {m: found for (y, m), found in months.items() if y == year}
    low = [typed[m].tmin if m in typed else t for m, t in enumerate(normals.tmin, start=1)]
    high = [typed[m].tmax if m in typed else t for m, t in enumerate(normals.tmax, start=1)]
    return histospline(low), histospline(high)
