"""The season's marks at this site: when buds swell, leaves open, growth ends.

A *season* is named by the year its spring begins in: season 2026 runs from the end of growth before the spring of
2026 (September 2026 in the south) to the end of growth after it. Every mark says how it was found and carries an
80 % band in days. What a site can't have (frost in the tropics, a chilled winter on a warm coast) is `Absent`, with
its reason; nothing is guessed.

Defaults are common practice checked against Harvard Forest hf003 (J. O'Keefe, CC BY); see trade/groups.yaml.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from ..record.model import Settings
from ..trade.knowledge import Group, Knowledge
from .climate import Climate, day_index
from .daylight import midsummer, midwinter_before
from .frost import first_frost, last_frost

BAND_COMPUTED = 15
BAND_MILD_WINTER = 21
BAND_OWN_DATE = 21
BAND_AUTUMN = 11
BAND_FROST = 12
GROWTH_BASE = 10.0
MILD_WINTER = 5.0
NO_CHILL = 12.0
FLOWERING_DAYS = 28
FROST_RISK = 0.1
OWN_FROST_MARGIN = 14


@dataclass(frozen=True, slots=True)
class Mark:
    """A day of the season with its 80 % band (± days) and, in words, where it comes from."""

    name: str
    day: date
    band: int
    how: str


@dataclass(frozen=True, slots=True)
class Absent:
    """A mark this site or this record does not have, and why."""

    name: str
    why: str


Found = Mark | Absent


class SiteYear:
    """The marks of one site, for any season and group. Built once, then asked; answers are kept."""

    def __init__(self, settings: Settings, knowledge: Knowledge) -> None:
        self.settings = settings
        self.knowledge = knowledge
        site = settings.site
        self.southern = bool(site and site.southern)
        self.climate = Climate(site.normals) if site and site.normals else None
        self._kept: dict[tuple[object, ...], Found] = {}

    def mark(self, group: str, name: str, season: int) -> Found:
        """A mark of a growth group in a season."""
        key = (group, name, season)
        if key not in self._kept:
            self._kept[key] = self._own(group, name, season) or self._worked_out(group, name, season)
        return self._kept[key]

    def season_of(self, day: date) -> int:
        """The season a day belongs to: it changes the day after growth ends."""
        year = day.year - 1 if self.southern else day.year
        for season in (year - 1, year, year + 1):
            if day <= self._season_close(season):
                return season
        return year + 2

    def season_start(self, season: int) -> date:
        return self._season_close(season - 1) + timedelta(days=1)

    def midsummer(self, season: int) -> date:
        return midsummer(season, self.southern)

    def growing_days(self, start: date, end: date) -> int:
        """Days from `start` up to `end` whose mean is at least 10 °C; without normals, April to October count."""
        return sum(self.grows(start + timedelta(days=i)) for i in range(max(0, (end - start).days)))

    def grows(self, day: date) -> bool:
        if self.climate is None:
            month = (day.month + 5) % 12 + 1 if self.southern else day.month
            return 4 <= month <= 10
        return self.climate.mean[day_index(day)] >= GROWTH_BASE

    def after_growing_days(self, start: date, days: float, limit: date) -> date | None:
        """The day by which `days` growing days have passed since `start`; None if not by `limit`."""
        day, left = start, days
        while day <= limit:
            if self.grows(day):
                left -= 1
                if left <= 0:
                    return day
            day += timedelta(days=1)
        return None

    def growth_end(self, season: int, base: float = GROWTH_BASE) -> Found:
        """First day after midsummer whose mean is under `base`, or the median first frost if that is earlier."""
        if self.climate is None:
            return Absent("growth end", "no monthly normals on record")
        summer = self.midsummer(season)
        latest = midwinter_before(season + 1, self.southern) - timedelta(days=35)
        cool = next((d for d in _days(summer, latest) if self.climate.mean[day_index(d)] < base), None)
        frost = self.mark("", "first frost", season)
        frost_day = frost.day if isinstance(frost, Mark) else None
        if frost_day is not None and frost_day < (cool or latest):
            return Mark(
                "growth end",
                frost_day,
                BAND_AUTUMN,
                "the usual first frost comes before the mean falls under "
                f"{self.settings.units.temperature_told(base)}",
            )
        if cool is None:
            return Mark("growth end", latest, BAND_AUTUMN, "days stay warm here: five weeks before the shortest day")
        return Mark(
            "growth end",
            cool,
            BAND_AUTUMN,
            f"the first day with a mean under {self.settings.units.temperature_told(base)}",
        )

    def _season_close(self, season: int) -> date:
        end = self.mark("", "growth end", season)
        if isinstance(end, Mark):
            return end.day
        return midwinter_before(season + 1, self.southern) - timedelta(days=50)

    def _own(self, group: str, name: str, season: int) -> Mark | None:
        given: Mapping[str, tuple[int, int]] = self.settings.marks.get(group, {})
        if name not in given:
            return None
        day = self._nearest_to_midsummer(given[name], season)
        return Mark(name, day, BAND_OWN_DATE, "your own date in collection.yaml")

    def _nearest_to_midsummer(self, month_day: tuple[int, int], season: int) -> date:
        summer = self.midsummer(season)
        month, dom = month_day
        candidates = [date(summer.year + shift, month, dom) for shift in (-1, 0, 1)]
        return min(candidates, key=lambda d: abs((d - summer).days))

    def _worked_out(self, group: str, name: str, season: int) -> Found:
        if name == "midsummer":
            return Mark(name, self.midsummer(season), 0, "the longest day")
        if name == "midwinter":
            return Mark(name, midwinter_before(season, self.southern), 0, "the shortest day")
        if name == "growth end":
            return self.growth_end(season)
        if name == "leaf fall":
            return self._after(self.mark(group, "growth end", season), name, 14, "two weeks after growth ends")
        if name == "flower over":
            return self._after(
                self.mark(group, "flower", season), name, FLOWERING_DAYS, "four weeks after flowering begins"
            )
        if name in ("last frost", "first frost", "last frost 10 %", "first frost 10 %"):
            return self._frost(name, season)
        return self._thermal(self.knowledge.groups[group], name, season)

    def _after(self, mark: Found, name: str, days: int, how: str) -> Found:
        if isinstance(mark, Absent):
            return Absent(name, mark.why)
        return Mark(name, mark.day + timedelta(days=days), mark.band, how)

    def _frost(self, name: str, season: int) -> Found:
        """The 50 % date, or the careful 10 % one; the grower's own date is the 50 % one, and the other keeps its distance."""
        plain = name.removesuffix(" 10 %")
        site = self.settings.site
        own = (site.last_frost if plain == "last frost" else site.first_frost) if site else None
        computed = self._computed_frost(plain, season, 0.5)
        if own:
            day = self._nearest_to_midsummer(own, season)
            if name != plain:
                careful = self._computed_frost(plain, season, FROST_RISK)
                gap = (
                    (careful - computed).days
                    if careful and computed
                    else OWN_FROST_MARGIN * (1 if plain == "last frost" else -1)
                )
                day += timedelta(days=gap)
            return Mark(
                name, day, BAND_FROST, "your own frost date" if name == plain else "reckoned from your own frost date"
            )
        if self.climate is None:
            return Absent(name, "no monthly normals and no frost date on record")
        found = computed if name == plain else self._computed_frost(plain, season, FROST_RISK)
        if found is None:
            return Absent(name, "most years bring no frost here")
        return Mark(
            name,
            found,
            BAND_FROST,
            "half of all years are past it by then" if name == plain else "one year in ten is not past it by then",
        )

    def _computed_frost(self, plain: str, season: int, risk: float) -> date | None:
        if self.climate is None:
            return None
        summer = self.midsummer(season)
        if plain == "last frost":
            return last_frost(self.climate, midwinter_before(season, self.southern), summer, risk)
        return first_frost(self.climate, summer, midwinter_before(season + 1, self.southern), risk)

    def _thermal(self, group: Group, name: str, season: int) -> Found:
        if name not in group.marks:
            return Absent(
                name,
                f"{group.name} has no such mark: it follows warmth, not a winter"
                if not group.marks
                else f"{group.name} grows in pushes and has no '{name}'",
            )
        climate = self.climate
        if climate is None:
            return Absent(name, "no monthly normals on record")
        if group.chill and climate.coldest_month > NO_CHILL:
            return Absent(name, "winter too warm here: follow the signs")
        mild = max(0.0, climate.coldest_month - MILD_WINTER)
        start = date(season, 9 if self.southern else 3, 1) - timedelta(days=round(min(30.0, 3.5 * mild)))
        day = climate.first_reaching(start, 0.0, group.marks[name])
        if day is None:
            return Absent(name, "summers are too cool here for this mark")
        how = f"{group.marks[name]:g} °C·d above 0 °C summed from {start.day} {start:%b}, from your monthly normals"
        return Mark(name, day, BAND_MILD_WINTER if mild else BAND_COMPUTED, how)


def _days(start: date, end: date) -> list[date]:
    return [start + timedelta(days=i) for i in range(max(0, (end - start).days))]
