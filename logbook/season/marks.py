"""The season's marks at this site: when buds swell, leaves open, growth ends.

Every mark says how it was found and carries an 80 % band in days. What a site can't have (frost in the tropics, a
chilled winter on a warm coast) is `Absent`, with its reason; nothing is guessed.

Defaults are common practice checked against Harvard Forest hf003 (J. O'Keefe, CC BY); see horticulture/groups.yaml.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date, timedelta

from ..collection.model import MonthMean, Normals
from ..horticulture.group import Group
from ..horticulture.window_syntax import MarkName
from .calendar import Calendar, days_between
from .climate import YEAR_DAYS, Climate, day_index
from .frost import FrostDates
from .learning import FAR_DAYS, NOBODY, Lessons, Offset, Sighting, Who, residuals
from .mark import BAND_OWN_DATE, Absent, Known, Mark
from .reasons import Found, because
from .solar import midwinter_before, nearest_to_midsummer

BAND_COMPUTED = 15
BAND_MILD_WINTER = 21
BAND_SEEN = 3
BAND_SEEN_BY_KIN = 6
BAND_THIS_YEAR = 8
MILD_WINTER = 5.0
NO_CHILL = 12.0
FLOWERING_DAYS = 28
LEAF_FALL_DAYS = 14
_FROSTS = frozenset(
    (MarkName.LAST_FROST, MarkName.FIRST_FROST, MarkName.LAST_FROST_10, MarkName.FIRST_FROST_10),
)
_NOT_LEARNED = _FROSTS | {MarkName.MIDSUMMER, MarkName.MIDWINTER, MarkName.GROWTH_END}
OwnMarks = Mapping[str, Mapping[str, tuple[int, int]]]
YearMonth = tuple[int, int]


class Marks:
    """The marks of one site, for any season and growth group; answers are kept."""

    def __init__(
        self,
        calendar: Calendar,
        frosts: FrostDates,
        groups: Mapping[str, Group],
        keeps_leaves: Callable[[str], bool],
        own: OwnMarks,
        months: Mapping[YearMonth, Climate],
        sightings: Iterable[Sighting] = (),
    ) -> None:
        """`keeps_leaves` says of a group whether it has no leaf fall; `own` are the grower's own dates by group;
        `months` the climates of months typed in; `sightings` what was seen in the garden."""
        self._calendar, self._frosts, self._groups = calendar, frosts, groups
        self._keeps_leaves, self._own_dates, self._months = keeps_leaves, own, months
        self._cached: dict[tuple[str, str, int, Who], Known] = {}
        self._plain: dict[tuple[str, str, int], Known] = {}
        seen = sorted(sightings, key=lambda s: (s.day, s.tag))
        self.sightings = tuple(s for s in seen if not self._is_far(s))
        self._seen_tags = frozenset(s.tag for s in self.sightings)
        self._seen_species = frozenset(s.species for s in self.sightings)
        self._in_season: dict[tuple[str, int, str], list[Sighting]] = {}
        for one in self.sightings:
            self._in_season.setdefault((one.mark, one.season, one.group), []).append(one)
        self._lessons = Lessons(residuals(self.sightings, self._plain_day))

    def mark(self, group: str, name: str, season: int, who: Who = NOBODY) -> Known:
        """A mark of a growth group in a season, corrected by what was seen in this garden, group, species and tree."""
        who = self.known(who)
        key = (group, name, season, who)
        if key not in self._cached:
            self._cached[key] = self._corrected(group, name, season, who)
        return self._cached[key]

    def known(self, who: Who) -> Who:
        """As much of a tree's identity as the log can tell apart: trees never seen share their answers."""
        if who.tag in self._seen_tags:
            return who
        return Who("", who.species) if who.species in self._seen_species else NOBODY

    def ahead(self, season: int) -> tuple[float, int]:
        """Days this garden runs behind (+) or ahead (-) of what is computed in a season, and from how many signs seen."""
        here = [s for s in self.sightings if s.season == season]
        shifts = [(s.day - day).days for s in here if (day := self._plain_day(s.group, s.mark, season)) is not None]
        return (sum(shifts) / len(shifts), len(shifts)) if shifts else (0.0, 0)

    def _is_far(self, seen: Sighting) -> bool:
        """A sighting two months from anything the site's climate allows is a slip, and teaches nothing."""
        day = self._plain_day(seen.group, seen.mark, seen.season)
        return day is not None and abs((seen.day - day).days) > FAR_DAYS

    def _plain_day(self, group: str, name: str, season: int) -> date | None:
        found = self.unlearned(group, name, season)
        return found.day if isinstance(found, Mark) else None

    def unlearned(self, group: str, name: str, season: int) -> Known:
        """The mark before any learning: the grower's own date, else what the site's climate gives."""
        key = (group, name, season)
        if key not in self._plain:
            self._plain[key] = self._own(group, name, season) or self._computed(group, name, season)
        return self._plain[key]

    def _corrected(self, group: str, name: str, season: int, who: Who) -> Known:
        """Seen this season on the tree itself, or on its kin; else computed and shifted by what earlier seasons taught."""
        seen = self._seen_this_season(group, name, season, who)
        if seen is not None:
            return seen
        plain = self.unlearned(group, name, season)
        if isinstance(plain, Absent):
            return self._remembered(group, name, season, who) or plain
        offset = self._lessons.offset(name, group, who) if name not in _NOT_LEARNED else Offset()
        if not offset.years or plain.how.code is Found.OWN_DATE:
            return plain
        moved = round(offset.days)
        how = because(Found.MOVED, how=plain.how, days=moved, seasons=offset.years)
        return Mark(name, plain.day + timedelta(days=moved), offset.band(plain.band), how)

    def _seen_this_season(self, group: str, name: str, season: int, who: Who) -> Mark | None:
        here = self._in_season.get((name, season, group), [])
        own = [s for s in here if who.tag and s.tag == who.tag]
        if own:
            return Mark(name, own[-1].day, BAND_SEEN, because(Found.SEEN_ON_TREE))
        kin = [s for s in here if not who.species or s.species == who.species] or here
        if not kin:
            return None
        first = min(s.day for s in kin)
        mean = first + timedelta(days=round(sum((s.day - first).days for s in kin) / len(kin)))
        how = because(Found.SEEN_ON_KIN, tags=tuple(sorted({s.tag for s in kin})[:3]))
        return Mark(name, mean, BAND_SEEN_BY_KIN, how)

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
        summer = self._calendar.midsummer
        shift = round(sum((s.day - summer(s.season)).days for s in seen) / len(seen))
        return Mark(name, summer(season) + timedelta(days=shift), BAND_COMPUTED, because(Found.REMEMBERED))

    def _own(self, group: str, name: str, season: int) -> Mark | None:
        given = self._own_dates.get(group, {})
        if name not in given:
            return None
        day = nearest_to_midsummer(given[name], season, self._calendar.southern)
        return Mark(name, day, BAND_OWN_DATE, because(Found.OWN_DATE))

    def _computed(self, group: str, name: str, season: int) -> Known:
        if name in (MarkName.MIDSUMMER, MarkName.MIDWINTER):
            return self._of_the_sun(name, season)
        if name == MarkName.GROWTH_END:
            return self._calendar.growth_end(season)
        if name == MarkName.LEAF_FALL:
            return self._leaf_fall(group, season)
        if name == MarkName.FLOWER_OVER:
            began = self.unlearned(group, MarkName.FLOWER, season)
            return _following(began, name, FLOWERING_DAYS, Found.AFTER_FLOWERING_BEGAN)
        if name in _FROSTS:
            return self._frosts.mark(MarkName(name), season)
        return self._thermal(self._groups[group], name, season)

    def _of_the_sun(self, name: str, season: int) -> Mark:
        """The longest day, or the shortest before it: to the day, without a band."""
        if name == MarkName.MIDSUMMER:
            return Mark(name, self._calendar.midsummer(season), 0, because(Found.LONGEST_DAY))
        day = midwinter_before(season, self._calendar.southern)
        return Mark(name, day, 0, because(Found.SHORTEST_DAY))

    def _leaf_fall(self, group: str, season: int) -> Known:
        name = MarkName.LEAF_FALL
        if group and self._keeps_leaves(group):
            return Absent(name, because(Found.KEEPS_LEAVES, group=group))
        ends = self.unlearned(group, MarkName.GROWTH_END, season)
        return _following(ends, name, LEAF_FALL_DAYS, Found.AFTER_GROWTH)

    def _thermal(self, group: Group, name: str, season: int) -> Known:
        climate = self._calendar.climate
        if name not in group.marks:
            code = Found.GROWS_IN_PUSHES if group.marks else Found.FOLLOWS_WARMTH
            return Absent(name, because(code, group=group.name, mark=name))
        if climate is None:
            return Absent(name, because(Found.NO_NORMALS))
        if group.chill and climate.coldest_month > NO_CHILL:
            return Absent(name, because(Found.WINTER_TOO_WARM))
        mild = max(0.0, climate.coldest_month - MILD_WINTER)
        first = date(season, 9 if self._calendar.southern else 3, 1)
        start = first - timedelta(days=round(min(30.0, 3.5 * mild)))
        day = self._first_reaching(climate, start, group.marks[name])
        if day is None:
            return Absent(name, because(Found.SUMMER_TOO_COOL))
        typed = self._year_is_typed(start, day)
        how = because(Found.WARMTH, sum=group.marks[name], start=start, typed=int(typed))
        band = BAND_MILD_WINTER if mild else BAND_COMPUTED
        return Mark(name, day, min(band, BAND_THIS_YEAR) if typed else band, how)

    def _first_reaching(self, climate: Climate, start: date, total: float) -> date | None:
        """As Climate.first_reaching, with the months that were typed in standing in for their normals."""
        if not self._months:
            return climate.first_reaching(start, 0.0, total)
        so_far, day = 0.0, start
        for _ in range(YEAR_DAYS):
            of_month = self._months.get((day.year, day.month), climate)
            so_far += of_month.degree_days(0.0)[day_index(day)]
            if so_far >= total:
                return day
            day += timedelta(days=1)
        return None

    def _year_is_typed(self, start: date, day: date) -> bool:
        """Whether months typed in cover the whole months between the start and the mark."""
        if not self._months:
            return False
        months = [(d.year, d.month) for d in days_between(start, day)]
        return bool(months) and all(m in self._months for m in months[: max(1, len(months) - 31)])


def _following(mark: Known, name: str, days: int, code: Found) -> Known:
    if isinstance(mark, Absent):
        return Absent(name, mark.why)
    return mark.after(name, days, because(code))


def typed_months(normals: Normals | None, months: Mapping[str, MonthMean]) -> dict[YearMonth, Climate]:
    """For each month typed in (`2027-03`), a climate whose normals hold that year's months instead."""
    if normals is None or not months:
        return {}
    by_year: dict[int, dict[int, tuple[float, float]]] = {}
    for key, means in months.items():
        by_year.setdefault(int(key[:4]), {})[int(key[5:])] = (means.tmin, means.tmax)
    climates: dict[YearMonth, Climate] = {}
    for year, given in by_year.items():
        tmin = tuple(given.get(m + 1, (low, 0))[0] for m, low in enumerate(normals.tmin))
        tmax = tuple(given.get(m + 1, (0, high))[1] for m, high in enumerate(normals.tmax))
        climate = Climate(Normals(tmin, tmax, normals.years, normals.coldest_night))
        climates |= {(year, month): climate for month in given}
    return climates
