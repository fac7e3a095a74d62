"""The season's marks at this site: when buds swell, leaves open, growth ends.

A *season* is named by the year its spring begins in: season 2026 runs from the end of growth before the spring of
2026 (September 2026 in the south) to the end of growth after it. Every mark says how it was found and carries an
80 % band in days. What a site can't have (frost in the tropics, a chilled winter on a warm coast) is `Absent`, with
its reason; nothing is guessed.

Defaults are common practice checked against Harvard Forest hf003 (J. O'Keefe, CC BY); see horticulture/groups.yaml.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from itertools import accumulate
from typing import Any, TypeVar

from ..collection.model import Normals, Settings, Tree
from ..horticulture.knowledge import Group, Knowledge
from .climate import YEAR_DAYS, Climate, day_index
from .frost import first_frost, last_frost
from .learning import FAR_DAYS, NOBODY, Lessons, Offset, Sighting, Who, residuals
from .solar import midsummer, midwinter_before

BAND_COMPUTED = 15
BAND_MILD_WINTER = 21
BAND_OWN_DATE = 21
BAND_AUTUMN = 11
BAND_SEEN = 3
BAND_SEEN_BY_KIN = 6
BAND_THIS_YEAR = 8
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
T = TypeVar("T")
_NOT_LEARNED = frozenset(
    ("midsummer", "midwinter", "growth end", "last frost", "first frost", "last frost 10 %", "first frost 10 %")
)


class SiteYear:
    """The marks of one site, for any season and group. Built once, then asked; answers are kept."""

    def __init__(self, settings: Settings, knowledge: Knowledge, trees: Iterable[Tree] = ()) -> None:
        self.settings = settings
        self.knowledge = knowledge
        site = settings.site
        self.southern = bool(site and site.southern)
        self.climate = Climate(site.normals) if site and site.normals else None
        self._years = _years_climates(settings)
        self._kept: dict[tuple[object, ...], Found] = {}
        self._answers: dict[tuple[object, ...], Any] = {}
        self.trees = tuple(trees)
        self.sightings = self._seen(self.trees)
        self.sightings = tuple(s for s in self.sightings if not self._is_far(s))
        self._seen_tags = frozenset(s.tag for s in self.sightings)
        self._seen_species = frozenset(s.species for s in self.sightings)
        self._in_season: dict[tuple[str, int, str], list[Sighting]] = {}
        for seen in self.sightings:
            self._in_season.setdefault((seen.mark, seen.season, seen.group), []).append(seen)
        self._lessons = Lessons(residuals(self.sightings, self._plain_day))

    def mark(self, group: str, name: str, season: int, who: Who = NOBODY) -> Found:
        """A mark of a growth group in a season, corrected by what was seen in this garden, group, species and tree."""
        who = self.known(who)
        key = (group, name, season, who)
        if key not in self._kept:
            self._kept[key] = self._corrected(group, name, season, who)
        return self._kept[key]

    def _is_far(self, seen: Sighting) -> bool:
        """A sighting two months from anything the site's climate allows is a slip, and teaches nothing."""
        day = self._plain_day(seen.group, seen.mark, seen.season)
        return day is not None and abs((seen.day - day).days) > FAR_DAYS

    def ahead(self, season: int) -> tuple[float, int]:
        """Days this garden runs behind (+) or ahead (-) of what is computed in a season, and from how many signs seen."""
        shifts = []
        for seen in self.sightings:
            day = self._plain_day(seen.group, seen.mark, seen.season) if seen.season == season else None
            if day is not None:
                shifts.append((seen.day - day).days)
        return (sum(shifts) / len(shifts), len(shifts)) if shifts else (0.0, 0)

    def known(self, who: Who) -> Who:
        """As much of a tree's identity as the log can tell apart: trees never seen share their answers."""
        if who.tag in self._seen_tags:
            return who
        return Who("", who.species) if who.species in self._seen_species else NOBODY

    def kept(self, key: tuple[object, ...], make: Callable[[], T]) -> T:
        """An answer that depends on the site alone, made once."""
        if key not in self._answers:
            self._answers[key] = make()
        answer: T = self._answers[key]
        return answer

    def _plain(self, group: str, name: str, season: int) -> Found:
        """The mark before any learning."""
        key = ("plain", group, name, season)
        if key not in self._kept:
            self._kept[key] = self._own(group, name, season) or self._worked_out(group, name, season)
        return self._kept[key]

    def _plain_day(self, group: str, name: str, season: int) -> date | None:
        found = self._plain(group, name, season)
        return found.day if isinstance(found, Mark) else None

    def _corrected(self, group: str, name: str, season: int, who: Who) -> Found:
        """Seen this season on the tree itself, or on its kin; else computed and shifted by what earlier seasons taught."""
        plain = self._plain(group, name, season)
        here = self._in_season.get((name, season, group), [])
        own = [s for s in here if who.tag and s.tag == who.tag]
        if own:
            return Mark(name, own[-1].day, BAND_SEEN, "seen on this tree")
        kin = [s for s in here if not who.species or s.species == who.species] or here
        if kin:
            mean = min(s.day for s in kin) + timedelta(
                days=round(sum((s.day - min(k.day for k in kin)).days for s in kin) / len(kin))
            )
            return Mark(
                name, mean, BAND_SEEN_BY_KIN, f"seen this season on {', '.join(sorted({s.tag for s in kin})[:3])}"
            )
        if isinstance(plain, Absent):
            return self._remembered(group, name, season, who) or plain
        offset = self._lessons.offset(name, group, who) if name not in _NOT_LEARNED else Offset()
        if not offset.years or plain.how == "your own date in collection.yaml":
            return plain
        day = plain.day + timedelta(days=round(offset.days))
        how = f"{plain.how}, moved {round(offset.days):+d} days by {offset.years} logged {'season' if offset.years == 1 else 'seasons'}"
        return Mark(name, day, offset.band(plain.band), how)

    def _remembered(self, group: str, name: str, season: int, who: Who) -> Mark | None:
        """A mark that can't be computed but was seen before: the mean day of those years."""
        seen = [s for s in self.sightings if s.mark == name and s.group == group]
        seen = (
            [s for s in seen if s.tag == who.tag]
            or [s for s in seen if s.species == who.species]
            or ([] if who.species else seen)
        )
        if not seen:
            return None
        shift = round(sum((s.day - self.midsummer(s.season)).days for s in seen) / len(seen))
        return Mark(
            name,
            self.midsummer(season) + timedelta(days=shift),
            BAND_COMPUTED,
            "the mean day it was seen in your log",
        )

    def _seen(self, trees: Iterable[Tree]) -> tuple[Sighting, ...]:
        found = []
        for tree in trees:
            group = self.group_of(tree)
            for entry in tree.log:
                if entry.saw and entry.date.is_day and group:
                    found.append(
                        Sighting(
                            tree.tag,
                            tree.species,
                            group,
                            entry.saw,
                            entry.date.earliest,
                            self._season_seen(entry.date.earliest),
                        )
                    )
        return tuple(sorted(found, key=lambda s: (s.day, s.tag)))

    def _season_seen(self, day: date) -> int:
        """The season whose midsummer is nearest: spring signs before it, leaf fall after it."""
        return min((day.year - 1, day.year), key=lambda y: abs((day - self.midsummer(y)).days))

    def group_of(self, tree: Tree) -> str:
        """The growth group a tree is worked as: its own word first, then the species."""
        return tree.treat_as or tree.group or self.knowledge.group_of(tree.species, self.settings.species)

    def season_of(self, day: date) -> int:
        """The season a day belongs to: it changes the day after growth ends."""
        return self.kept(("season", day), lambda: self._season_of(day))

    def _season_of(self, day: date) -> int:
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
        if self.climate is None:
            month = (day.month + 5) % 12 + 1 if self.southern else day.month
            return 4 <= month <= 10
        return self.climate.mean[day_index(day)] >= GROWTH_BASE

    def after_growing_days(self, start: date, days: float, limit: date) -> date | None:
        """The day by which `days` growing days have passed since `start`; None if not by `limit`."""
        if self.growing_days(start, limit + timedelta(days=1)) < days:
            return None
        low, high = start, limit
        while low < high:
            middle = low + (high - low) / 2
            if self.growing_days(start, middle + timedelta(days=1)) >= days:
                high = middle
            else:
                low = middle + timedelta(days=1)
        return low

    def growth_end(self, season: int, base: float = GROWTH_BASE) -> Found:
        """First day after midsummer whose mean is under `base`, or the median first frost if that is earlier."""
        if self.climate is None:
            return Absent("growth end", "no monthly normals on record")
        summer = self.midsummer(season)
        latest = midwinter_before(season + 1, self.southern) - timedelta(days=35)
        cool = next((d for d in _days(summer, latest) if self.climate.mean[day_index(d)] < base), None)
        frost = self._plain("", "first frost", season)
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
        end = self._plain("", "growth end", season)
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
            if group and group not in self.knowledge.sets["deciduous"]:
                return Absent(name, f"{group} keeps its leaves")
            return self._after(self._plain(group, "growth end", season), name, 14, "two weeks after growth ends")
        if name == "flower over":
            return self._after(
                self._plain(group, "flower", season), name, FLOWERING_DAYS, "four weeks after flowering begins"
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
        day = self._first_reaching(start, group.marks[name])
        if day is None:
            return Absent(name, "summers are too cool here for this mark")
        how = f"{self.settings.units.warmth_told(group.marks[name], 0)} summed from {start.day} {start:%b}, from your monthly normals"
        band = BAND_MILD_WINTER if mild else BAND_COMPUTED
        if self._year_is_typed(start, day):
            return Mark(name, day, min(band, BAND_THIS_YEAR), how + " and this year's months")
        return Mark(name, day, band, how)

    def _first_reaching(self, start: date, total: float) -> date | None:
        """As Climate.first_reaching, with the months that were typed in standing in for their normals."""
        assert self.climate is not None
        if not self._years:
            return self.climate.first_reaching(start, 0.0, total)
        so_far, day = 0.0, start
        for _ in range(YEAR_DAYS):
            climate = self._years.get((day.year, day.month), self.climate)
            so_far += climate.degree_days(0.0)[day_index(day)]
            if so_far >= total:
                return day
            day += timedelta(days=1)
        return None

    def _year_is_typed(self, start: date, day: date) -> bool:
        """Whether months typed in cover the whole months between the start and the mark."""
        months = [(d.year, d.month) for d in _days(start, day)]
        return (
            bool(self._years)
            and months.count(months[0]) > 0
            and all(m in self._years for m in months[: max(1, len(months) - 31)])
        )


def _days(start: date, end: date) -> list[date]:
    return [start + timedelta(days=i) for i in range(max(0, (end - start).days))]


def _years_climates(settings: Settings) -> dict[tuple[int, int], Climate]:
    """For each month typed in, a climate whose normals hold that year's months instead."""
    if not (settings.site and settings.site.normals and settings.months):
        return {}
    normals = settings.site.normals
    by_year: dict[int, dict[int, tuple[float, float]]] = {}
    for key, means in settings.months.items():
        by_year.setdefault(int(key[:4]), {})[int(key[5:])] = (means.tmin, means.tmax)
    climates: dict[tuple[int, int], Climate] = {}
    for year, months in by_year.items():
        tmin = tuple(months.get(m + 1, (low, 0))[0] for m, low in enumerate(normals.tmin))
        tmax = tuple(months.get(m + 1, (0, high))[1] for m, high in enumerate(normals.tmax))
        climate = Climate(Normals(tmin, tmax, normals.years, normals.coldest_night))
        climates |= {(year, month): climate for month in months}
    return climates
