"""The year as plants count it: seasons, the end of growth, and days that grow.

A *season* is named by the year its spring begins in: season 2026 runs from the end of growth before the spring of
2026 (September 2026 in the south) to the end of growth after it, so that both hemispheres run through the same code.
"""

from __future__ import annotations

from bisect import bisect_left
from datetime import date, timedelta
from functools import cached_property
from itertools import accumulate

from ..collection.few_normals import guessed_band
from ..horticulture.window_syntax import MarkName
from .autumn import GROWTH_END_BAND
from .climate import YEAR_DAYS, Climate, day_index, day_of_index
from .frost import FrostDates
from .mark import Absent, Known, Mark
from .reasons import Found, because
from .solar import midsummer, midwinter_before

GROWTH_BASE = 10.0
LATEST_GROWTH_DAYS = 35  # before the shortest day, where nothing else ends growth
NO_CLIMATE_END_DAYS = 50


class Calendar:
    """Seasons and growing days of one site. `climate` is None where no normals are on record."""

    def __init__(self, southern: bool, climate: Climate | None, frosts: FrostDates) -> None:
        self.southern = southern
        self.climate = climate
        self._frosts = frosts
        self._ends: dict[tuple[int, float], Known] = {}
        self._seasons: dict[date, int] = {}

    def midsummer(self, season: int) -> date:
        """The longest day of a season."""
        return midsummer(season, self.southern)

    def season_of(self, day: date) -> int:
        """The season a day belongs to: it changes the day after growth ends."""
        if day not in self._seasons:
            self._seasons[day] = self._season_of(day)
        return self._seasons[day]

    def _season_of(self, day: date) -> int:
        year = day.year - 1 if self.southern else day.year
        for season in (year - 1, year, year + 1):
            if day <= self._close(season):
                return season
        return year + 2

    def season_start(self, season: int) -> date:
        """The first day of a season."""
        return self._close(season - 1) + timedelta(days=1)

    def season_seen(self, day: date) -> int:
        """The season whose midsummer is nearest: spring signs before it, leaf fall after it."""
        return min((day.year - 1, day.year), key=lambda year: abs((day - self.midsummer(year)).days))

    def _close(self, season: int) -> date:
        end = self.growth_end(season)
        if isinstance(end, Mark):
            return end.day
        return midwinter_before(season + 1, self.southern) - timedelta(days=NO_CLIMATE_END_DAYS)

    def growth_end(self, season: int, base: float = GROWTH_BASE) -> Known:
        """First day after midsummer whose mean is under `base` °C, or the median first frost if that is earlier."""
        key = (season, base)
        if key not in self._ends:
            self._ends[key] = self._growth_end(season, base)
        return self._ends[key]

    def _growth_end(self, season: int, base: float) -> Known:
        name = MarkName.GROWTH_END
        if self.climate is None:
            return Absent(name, because(Found.NO_NORMALS))
        guessed = bool(self.climate.normals.guessed)
        band = round(guessed_band(GROWTH_END_BAND) if guessed else GROWTH_END_BAND)
        summer = self.midsummer(season)
        latest = midwinter_before(season + 1, self.southern) - timedelta(days=LATEST_GROWTH_DAYS)
        mean = self.climate.mean
        cool = next((d for d in days_between(summer, latest) if mean[day_index(d)] < base), None)
        frost = self._frosts.mark(MarkName.FIRST_FROST, season)
        if isinstance(frost, Mark) and frost.day < (cool or latest):
            return Mark(name, frost.day, band, because(Found.FROST_ENDS_GROWTH, base=base))
        if cool is None:
            return Mark(name, latest, band, because(Found.STAYS_WARM))
        return Mark(name, cool, band, because(Found.FIRST_COOL_DAY, base=base))

    def growing_days(self, start: date, end: date) -> int:
        """Days from `start` up to `end` whose mean is at least 10 °C; without normals, April to October count."""
        if end <= start:
            return 0
        totals = self._growing_totals
        return (end.year - start.year) * totals[YEAR_DAYS] + totals[day_index(end)] - totals[day_index(start)]

    @cached_property
    def _growing_totals(self) -> tuple[int, ...]:
        """Running count of growing days through a year of 365 days."""
        days = [date(2025, 1, 1) + timedelta(days=i) for i in range(YEAR_DAYS)]
        return (0, *accumulate(int(self.grows(day)) for day in days))

    def grows(self, day: date) -> bool:
        """Whether plants grow on such a day of the year."""
        if self.climate is None:
            month = (day.month + 5) % 12 + 1 if self.southern else day.month
            return 4 <= month <= 10
        return self.climate.mean[day_index(day)] >= GROWTH_BASE

    def after_growing_days(self, start: date, days: float, limit: date) -> date | None:
        """The day by which `days` growing days have passed since `start`; None if not by `limit`."""
        if days <= 0:
            return start
        totals = self._growing_totals
        wanted, year = days + totals[day_index(start)], start.year
        while year <= limit.year + 1 and totals[YEAR_DAYS - 1] < wanted:
            wanted, year = wanted - totals[YEAR_DAYS], year + 1
        if year > limit.year + 1:
            return None
        found = day_of_index(year, bisect_left(totals, wanted, 0, YEAR_DAYS)) - timedelta(days=1)
        return found if found <= limit else None


def days_between(start: date, end: date) -> list[date]:
    """Every day from `start` up to, not including, `end`."""
    return [start + timedelta(days=i) for i in range(max(0, (end - start).days))]
