"""The season's marks at one place: when buds swell, leaves open, growth ends.

Every mark says how it was found and carries an 80 % band in days. What a site can't have (frost in the tropics, a
chilled winter on a warm coast) is `Absent`, with its reason; nothing is guessed.

Spring's marks come from `spring`, what was seen from `estimator`, leaf fall from `autumn`, and what no sum can give from `remembered`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date, timedelta
from functools import lru_cache
from statistics import fmean

from ..collection.few_normals import guessed_band
from ..horticulture.window_syntax import MarkName
from .autumn import Autumn, autumn
from .cache import MOST_TREES
from .calendar import Calendar
from .estimator import SEEN_BAND, Case, Estimator, kin_of, spread_of
from .frost import FrostDates
from .habits import Habits
from .learning import NOBODY, Who
from .mark import Absent, Known, Mark, mark_of
from .reasons import Found, Reason, because
from .remembered import remembered
from .sightings import Sighting, Sightings
from .solar import midwinter_before, nearest_to_midsummer
from .spring import chain, computed_day, spring_mark
from .warmth import Warmth

FLOWERING_DAYS = 28
_FROSTS = frozenset((MarkName.LAST_FROST, MarkName.FIRST_FROST, MarkName.LAST_FROST_10, MarkName.FIRST_FROST_10))
_OF_THE_SITE = _FROSTS | {MarkName.MIDSUMMER, MarkName.MIDWINTER, MarkName.GROWTH_END}  # whatever stands there
_NONE: frozenset[str] = frozenset()
_SPRING = frozenset((MarkName.SWELL, MarkName.OPEN, MarkName.HARDENED, MarkName.FLOWER))
OwnMarks = Mapping[str, Mapping[str, tuple[int, int]]]
_Kept = dict[tuple[str, str, int, Who], Known]


class _OfTree:
    """What is kept of one tree: its own marks by season, and which of them are its own."""

    __slots__ = ("marks", "names")

    def __init__(self) -> None:
        self.marks: _Kept = {}
        self.names: dict[tuple[str, int], frozenset[str]] = {}


class Marks:
    """The marks of one place, for any season, growth group and tree; answers are kept."""

    def __init__(
        self,
        calendar: Calendar,
        frosts: FrostDates,
        habits: Habits,
        warmth: Warmth | None,
        own: OwnMarks,
        place: str = "",
        not_seen_by: date | None = None,
    ) -> None:
        """`warmth` is None without normals; `own` are the grower's own dates by group; `not_seen_by` a day on which signs not in
        the log had not been seen."""
        self._calendar, self._frosts, self._habits = calendar, frosts, habits
        self._own_dates, self._place, self._not_seen_by = own, place, not_seen_by
        self.warmth = warmth
        self.estimator = Estimator(())
        self.sightings = Sightings(())
        self._cached: _Kept = {}
        self._of_tree = lru_cache(MOST_TREES)(lambda _tag: _OfTree())
        self._knowns: dict[tuple[Who, str], Who] = {}
        self._log_alone: dict[tuple[str, str, str, int], bool] = {}
        self._sets: dict[frozenset[str], frozenset[str]] = {_NONE: _NONE}
        self._computed_days: dict[tuple[str, str, str, int], date | None] = {}
        self._own_ways: Mapping[str, Callable[[str, int, Who], Known]] = {
            MarkName.MIDSUMMER: self._midsummer,
            MarkName.MIDWINTER: self._midwinter,
            MarkName.GROWTH_END: lambda _group, season, _who: self._calendar.growth_end(season),
            MarkName.LEAF_COLOUR: self._leaf_colour,
            MarkName.LEAF_FALL: self._leaf_fall,
            MarkName.FLOWER_OVER: self._flower_over,
        }

    def learn(self, estimator: Estimator, sightings: Sightings) -> None:
        """Correct the marks by what was seen, here and in the garden's other places."""
        self.estimator, self.sightings = estimator, sightings
        for kept in (self._cached, self._knowns, self._log_alone):
            kept.clear()
        self._of_tree.cache_clear()

    def mark(self, group: str, name: str, season: int, who: Who = NOBODY) -> Known:
        """A mark of a growth group in a season, corrected by what was seen in this garden, of the species and on the tree."""
        if name in _OF_THE_SITE and name not in self._own_dates.get(group, {}):
            group, who = "", NOBODY
        else:
            who = self.known(who, group)
            if who.tag and name not in self.own_names(who, group, season):
                who = Who("", who.species)
        key = (group, name, season, who)
        kept = self._of_tree(who.tag).marks if who.tag else self._cached
        found = kept.get(key)
        if found is None:
            found = kept[key] = self._mark(group, name, season, who)
        return found

    def known(self, who: Who, group: str) -> Who:
        """As much of a tree's identity as can be told apart: trees never seen, of no special species, share their answers."""
        key = (who, group)
        found = self._knowns.get(key)
        if found is None:
            found = self._knowns[key] = self._known(who, group)
        return found

    def _known(self, who: Who, group: str) -> Who:
        if not who.tag and not who.species:
            return who
        species = self._habits.accepted(who.species)
        if who.tag in self.sightings.tags:
            return Who(who.tag, species)
        apart = species in self.sightings.species or (group and self._habits.tells_apart(group, species))
        return Who("", species) if apart else NOBODY

    def own_names(self, who: Who, group: str, season: int) -> frozenset[str]:
        """The marks of a season that may be others than those of the tree's kin: for what was seen on it in that season, or of a
        mark that only the log tells."""
        if not who.tag:
            return _NONE
        names, key = self._of_tree(who.tag).names, (group, season)
        found = names.get(key)
        if found is None:
            told = frozenset(self._told_by_tree(who, group, season))
            found = names[key] = self._sets.setdefault(told, told)
        return found

    def _told_by_tree(self, who: Who, group: str, season: int) -> Iterator[str]:
        for name in self.sightings.names_on(who.tag, season):
            yield from kin_of(name)
        for name in self.sightings.names_on(who.tag):
            key = (group, who.species, name, season)
            if key not in self._log_alone:
                kin = self.mark(group, name, season, Who("", who.species))
                self._log_alone[key] = isinstance(kin, Absent) or kin.how.code is Found.REMEMBERED
            if self._log_alone[key]:
                yield from kin_of(name)

    def accepted(self, species: str) -> str:
        """A species' accepted name; as given where it is not known."""
        return self._habits.accepted(species)

    def case(self, group: str, species: str, season: int) -> Case:
        """Where a tree belongs in the estimator; one without a species is its group's."""
        return Case(self._place, self._habits.accepted(species) or group, season)

    def computed(self, group: str, species: str, name: str, season: int) -> date | None:
        """A mark's day by this place's warmth or mean alone, before anything was seen; None where nothing gives it."""
        key = (group, species, name, season)
        if key not in self._computed_days:
            self._computed_days[key] = self._computed_day(group, species, name, season)
        return self._computed_days[key]

    def _computed_day(self, group: str, species: str, name: str, season: int) -> date | None:
        if name == MarkName.LEAF_FALL:
            found = self._autumn(group, self._habits.accepted(species), season)
            return found.fall if isinstance(found, Autumn) else None
        if self.warmth is None or group not in self._habits.groups:
            return None
        if name == MarkName.FLOWER_OVER:
            flower = self.computed(group, species, MarkName.FLOWER, season)
            return flower and flower + timedelta(days=FLOWERING_DAYS)
        if name not in _SPRING:
            return None
        return computed_day(self.warmth, self._habits.of(group, species), name, season)

    def _mark(self, group: str, name: str, season: int, who: Who) -> Known:
        """Seen on the tree itself; else the grower's own date; else what the place's climate gives, and what was seen before."""
        own = self.sightings.on_tree(who.tag, name, season)
        if own is not None:
            return Mark(name, own, round(SEEN_BAND), because(Found.SEEN_ON_TREE))
        found = self._own(group, name, season) or self._computed(group, name, season, who)
        return (self._remembered(group, name, season, who) or found) if isinstance(found, Absent) else found

    def _own(self, group: str, name: str, season: int) -> Mark | None:
        """The grower's own date: as sure as any mark of which nothing was seen."""
        given = self._own_dates.get(group, {})
        if name not in given:
            return None
        day = nearest_to_midsummer(given[name], season, self._calendar.southern)
        band = Estimator(()).shift(name, Case("", "", season)).band
        return Mark(name, day, round(band), because(Found.OWN_DATE))

    def _computed(self, group: str, name: str, season: int, who: Who) -> Known:
        if name in _FROSTS:
            return self._frosts.mark(MarkName(name), season)
        way = self._own_ways.get(name)
        return way(group, season, who) if way else self._by_warmth(group, name, season, who)

    def _midsummer(self, _group: str, season: int, _who: Who) -> Known:
        return Mark(MarkName.MIDSUMMER, self._calendar.midsummer(season), 0, because(Found.LONGEST_DAY))

    def _midwinter(self, _group: str, season: int, _who: Who) -> Known:
        day = midwinter_before(season, self._calendar.southern)
        return Mark(MarkName.MIDWINTER, day, 0, because(Found.SHORTEST_DAY))

    def _by_warmth(self, group: str, name: str, season: int, who: Who) -> Known:
        habit = self._habits.of(group, who.species)
        if self.warmth is None:
            return Absent(
                name,
                because(Found.NO_NORMALS) if habit.sums else because(Found.FOLLOWS_WARMTH, group=group, mark=name),
            )
        found = spring_mark(
            self.warmth,
            self.estimator,
            habit,
            name,
            self.case(group, who.species, season),
            tag=who.tag,
            opened=self.sightings.on_tree(who.tag, MarkName.OPEN, season),
            today=self._not_seen_by,
        )
        return (
            Absent(name, found)
            if isinstance(found, Reason)
            else mark_of(name, found.spread, found.shift.band, found.how)
        )

    def _flower_over(self, group: str, season: int, who: Who) -> Known:
        """What was seen of flowering's end; else four weeks after it begins."""
        name, how = MarkName.FLOWER_OVER, because(Found.AFTER_FLOWERING_BEGAN)
        day = self.computed(group, who.species, name, season)
        if day is not None and self.estimator.logged(name):
            return self._shifted(name, day, how, group, season, who)
        seen = self._remembered(group, name, season, who) if day is None else None
        if seen is not None:
            return seen
        began = self.mark(group, MarkName.FLOWER, season, who)
        return Absent(name, began.why) if isinstance(began, Absent) else began.after(name, FLOWERING_DAYS, how)

    def _shifted(self, name: str, day: date, how: Reason, group: str, season: int, who: Who) -> Mark:
        """A computed day with what was seen of its family."""
        case = self.case(group, who.species, season)
        shift = self.estimator.shift(name, case, who.tag)
        waits = self.estimator.logged(name, who.tag, case.species)
        spread = spread_of(day, shift, self._not_seen_by if waits else None)
        return mark_of(name, spread, shift.band, chain(how, shift, spread))

    def _autumn(self, group: str, species: str, season: int) -> Autumn | Reason:
        if group and self._habits.keeps_leaves(group):
            return because(Found.KEEPS_LEAVES, group=group)
        if self.warmth is None:
            return because(Found.NO_NORMALS)
        found = autumn(self.warmth.climate, self.warmth.latitude, season, species)
        return found or because(Found.NO_AUTUMN)

    def _leaf_colour(self, group: str, season: int, who: Who) -> Known:
        name, found = MarkName.LEAF_COLOUR, self._autumn(group, who.species, season)
        if isinstance(found, Reason):
            return Absent(name, found)
        return Mark(name, found.colour, self._autumn_band(found), because(Found.YEARS_MEAN, guessed=self._guessed))

    def _leaf_fall(self, group: str, season: int, who: Who) -> Known:
        name, found = MarkName.LEAF_FALL, self._autumn(group, who.species, season)
        if isinstance(found, Reason):
            return Absent(name, found)
        how = because(Found.AFTER_COLOUR, how=because(Found.YEARS_MEAN, guessed=self._guessed))
        if not self.estimator.logged(name):
            return Mark(name, found.fall, self._autumn_band(found), how)
        return self._shifted(name, found.fall, how, group, season, who)

    @property
    def _guessed(self) -> str:
        return self.warmth.guessed if self.warmth else ""

    def _autumn_band(self, found: Autumn) -> int:
        return round(guessed_band(found.band) if self._guessed else found.band)

    def _remembered(self, group: str, name: str, season: int, who: Who) -> Mark | None:
        """A mark that nothing gives but that was seen before: the mean day of those years, on the tree, its species or its group."""
        log = self.sightings
        seen = (
            (log.on(name, tag=who.tag) if who.tag else ())
            or (log.on(name, species=who.species) if who.species else ())
            or (() if who.species else log.on(name, group=group))
        )
        if not seen:
            return None
        mean, band = remembered(_by_year(seen, self._calendar))
        day = self._calendar.midsummer(season) + timedelta(days=round(mean))
        years = len({s.season for s in seen})
        return Mark(name, day, round(band), because(Found.REMEMBERED, seasons=years))


def _by_year(seen: Iterable[Sighting], calendar: Calendar) -> list[float]:
    """Days from midsummer, one a season: the mean of what was seen in it."""
    by_year: dict[int, list[int]] = {}
    for one in seen:
        by_year.setdefault(one.season, []).append((one.day - calendar.midsummer(one.season)).days)
    return [fmean(days) for _, days in sorted(by_year.items())]
