"""One place's year: its calendar, climate, frosts and marks, put together once and then asked; and all places of a garden."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from functools import lru_cache
from statistics import fmean

from ..collection.model import Settings, Site
from ..horticulture.knowledge import Knowledge
from ..values import dataclass
from .cache import MOST_TREES, Cache
from .calendar import Calendar
from .climate import Climate
from .estimator import FAR_DAYS, SEASON, Estimator, Residual
from .frost import FrostDates
from .habits import Habits
from .learning import Seen, Who
from .marks import Marks
from .places import HERE, Sky, skies_of
from .sightings import Sighting, Sightings
from .warmth import USUAL_OPEN, Warmth
from .weather import Weather


class SiteYear:
    """What holds for every tree of a place. Knows no tree; what was seen on trees is passed in."""

    def __init__(
        self,
        settings: Settings,
        knowledge: Knowledge,
        seen: Iterable[Seen] = (),
        *,
        place: str = HERE,
        sky: Sky | None = None,
        not_seen_by: date | None = None,
    ) -> None:
        """`seen` are the signs logged, where there is one place only; else `garden_years` makes all places and lets them learn."""
        sky = sky or skies_of(settings, Weather())[HERE]
        self.place: Site | None = sky.site
        normals = sky.site.normals if sky.site else None
        self.climate = Climate(normals) if normals else None
        self.warmth = (
            Warmth(self.climate, sky.site.latitude, sky.weather, sky.months) if self.climate and sky.site else None
        )
        self.sheltered = sky.sheltered
        frosts = FrostDates(sky.site, self.climate, sky.sheltered)
        self.calendar = Calendar(bool(sky.site and sky.site.southern), self.climate, frosts)
        habits = Habits(knowledge, settings.groups)
        self.marks = Marks(self.calendar, frosts, habits, self.warmth, settings.marks, place, not_seen_by)
        self.cache = Cache()
        self._of_tree = lru_cache(MOST_TREES)(lambda _tag: Cache())
        self.lessons = Lessons()
        rows = tuple(seen)
        if rows:
            learn({place: self}, [one._replace(place=place) for one in rows])

    def cache_of(self, who: Who) -> Cache:
        """Where answers for a tree are kept; those for nobody in particular are kept for good."""
        return self._of_tree(who.tag) if who.tag else self.cache

    @property
    def southern(self) -> bool:
        """Whether the seasons are those of the southern half."""
        return self.calendar.southern

    def season_of(self, day: date) -> int:
        """The season a day belongs to."""
        return self.calendar.season_of(day)

    def pace(self, season: int) -> Pace:
        """How far a season runs ahead or behind, and from what that is known."""
        rows = [(seen, off) for seen, off in self.lessons.taught if seen.season == season]
        signs = fmean(off for _, off in rows) if rows else None
        weather, known = self._weather_pace(season)
        return Pace(weather, known, signs, tuple(seen for seen, _ in rows))

    def _weather_pace(self, season: int) -> tuple[int | None, date | None]:
        """Days by which a usual tree opens later for this year's weather, and the last day known before it does."""
        usual = self.warmth.usual.reaching(season, USUAL_OPEN) if self.warmth else None
        day = self.warmth.reaching(season, USUAL_OPEN) if self.warmth else None
        if self.warmth is None or usual is None or day is None or not self.warmth.knows(season, day):
            return None, None
        return (day - usual).days, self.warmth.known_to(season, day)


@dataclass(frozen=True, slots=True)
class Pace:
    """How a season runs: days this year's weather (known to `known`) puts leaves behind (+) the average year's, and days the garden
    is behind what is computed, by the signs seen this season. None where nothing tells.
    """

    weather: int | None = None
    known: date | None = None
    signs: float | None = None
    seen: tuple[Sighting, ...] = ()


@dataclass(frozen=True, slots=True)
class Lessons:
    """What came of the signs seen: those that count, and those that teach nothing: two months off, or without a computed mark."""

    taught: tuple[tuple[Sighting, float], ...] = ()
    far: tuple[Sighting, ...] = ()
    apart: tuple[Sighting, ...] = ()


def garden_years(
    settings: Settings,
    knowledge: Knowledge,
    seen: Iterable[Seen],
    skies: Mapping[str, Sky],
    not_seen_by: date | None = None,
) -> dict[str, SiteYear]:
    """The year of every place of a garden by its name, the garden itself under the empty one; all learn from all that was seen."""
    years = {
        place: SiteYear(settings, knowledge, place=place, sky=sky, not_seen_by=not_seen_by)
        for place, sky in skies.items()
    }
    learn(years, seen)
    return years


def learn(years: Mapping[str, SiteYear], seen: Iterable[Seen]) -> None:
    """Correct the marks of all places by what was seen, each sign against the marks of the place it was seen in."""
    taught: list[tuple[Sighting, float]] = []
    far: list[Sighting] = []
    apart: list[Sighting] = []
    residuals: list[Residual] = []
    for one in seen:
        year = years[one.place]
        sighting = Sighting(*one[:5], year.calendar.season_seen(one.day), one.place, one.by)
        day = year.marks.computed(one.group, one.species, one.mark, sighting.season)
        if day is None:
            apart.append(sighting)
            continue
        off = float((one.day - day).days)
        if abs(off) > FAR_DAYS:
            far.append(sighting)
            continue
        taught.append((sighting, off))
        case = year.marks.case(one.group, one.species, sighting.season)
        residuals.append(Residual(one.tag, case, one.mark, off))
    main = next(iter(years.values()))
    estimator = Estimator(residuals, lambda season: _season_variance(main, season))
    lessons = Lessons(tuple(taught), tuple(far), tuple(apart))
    sightings = Sightings([*(s for s, _ in taught), *apart], main.marks.accepted)
    for year in years.values():
        year.marks.learn(estimator, sightings)
        year.lessons = lessons


def _season_variance(year: SiteYear, season: int) -> float:
    """days² that all signs of a season share; of the season that runs, the weather to come is no part."""
    if year.warmth is None:
        return SEASON
    last = year.warmth.last_known
    running = last is not None and season >= year.calendar.season_seen(last)
    return year.warmth.shared_variance(season, running)
