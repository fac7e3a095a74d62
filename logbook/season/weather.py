"""What is known of this site's weather day by day: the lowest and the highest temperature of single days, °C.

Knows no tree and no file: how such days are read from a thermometer's table is `collection.weather_reader`'s part.
"""

from __future__ import annotations

import statistics
from collections.abc import Mapping
from dataclasses import field
from datetime import date, timedelta
from functools import cached_property

from ..collection.model import MonthMean
from ..collection.weather_file import Extremes
from ..values import dataclass
from .climate import MONTH_DAYS

FEWEST_DAYS = 25  # a month with fewer known days has no mean worth keeping


@dataclass(frozen=True)
class Weather:
    """Known days. Those after the day a plan is made for are cut off by `before`, so that a plan can be made again."""

    days: Mapping[date, Extremes] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.days)

    def __len__(self) -> int:
        return len(self.days)

    def on(self, day: date) -> Extremes | None:
        """The low and high measured on a day; None where it was not."""
        return self.days.get(day)

    def before(self, today: date) -> Weather:
        """The days known on the morning of `today`: yesterday's is the last."""
        return Weather({day: found for day, found in self.days.items() if day < today})

    @cached_property
    def years(self) -> tuple[int, ...]:
        """The years with at least one day measured, in order."""
        return tuple(sorted({day.year for day in self.days}))

    @cached_property
    def last_day(self) -> date | None:
        """The latest day measured."""
        return max(self.days, default=None)

    def missing(self, first: date, last: date) -> tuple[date, ...]:
        """The days from `first` to `last`, both counted, of which nothing is known."""
        span = (first + timedelta(days=n) for n in range((last - first).days + 1))
        return tuple(day for day in span if day not in self.days)

    def months(self) -> dict[tuple[int, int], MonthMean]:
        """Means of the months that are known well enough, by year and month."""
        found: dict[tuple[int, int], list[Extremes]] = {}
        for day, extremes in self.days.items():
            found.setdefault((day.year, day.month), []).append(extremes)
        return {
            key: MonthMean(statistics.fmean(e.tmin for e in rows), statistics.fmean(e.tmax for e in rows))
            for key, rows in sorted(found.items())
            if len(rows) >= min(FEWEST_DAYS, MONTH_DAYS[key[1] - 1])
        }

    def coldest_nights(self, southern: bool = False) -> dict[int, float]:
        """The coldest night of each winter known without a gap of note, by the year in which the winter ends (south: in which it lies)."""
        found: dict[int, float] = {}
        for year in range(min(self.years, default=1), max(self.years, default=0) + 1):
            first, last = (
                (date(year, 5, 1), date(year, 9, 30)) if southern else (date(year - 1, 11, 1), date(year, 3, 31))
            )
            nights = [e.tmin for day, e in self.days.items() if first <= day <= last]
            if len(nights) >= 0.9 * ((last - first).days + 1):
                found[year] = min(nights)
        return found
