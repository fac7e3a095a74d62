"""The frost marks of a site: dates by risk from the average year and its scatter, or the grower's own."""

from __future__ import annotations

from datetime import date, timedelta

from ..collection.few_normals import guessed_band
from ..collection.model import Site
from ..horticulture.window_syntax import CAREFUL_FROSTS, MarkName
from .climate import Climate
from .frost_risk import FrostDates as Chances
from .frost_risk import first_frosts, last_frosts
from .mark import Absent, Known, Mark, mark_between
from .places import WHOLE_YEAR, YearDay, is_within
from .reasons import Found, because
from .solar import midsummer, midwinter_before, nearest_to_midsummer

# days from the even date to that of one year in ten, where no normals say; common practice, no source
OWN_DATE_MARGIN_DAYS = 14
HALF_YEAR = 180
_EVEN = {MarkName.LAST_FROST_10: MarkName.LAST_FROST, MarkName.FIRST_FROST_10: MarkName.FIRST_FROST}


class FrostDates:
    """The frost marks of a site: the even date and the careful one, spring and autumn, by season."""

    def __init__(
        self, site: Site | None, climate: Climate | None, sheltered: tuple[YearDay, YearDay] | None = None
    ) -> None:
        """`sheltered`: the part of the year in which no frost reaches the place, whatever its normals say."""
        self._site = site
        self._climate = climate
        self._southern = bool(site and site.southern)
        self._sheltered = sheltered
        self._chances: dict[tuple[MarkName, int], Chances] = {}

    def mark(self, name: MarkName, season: int) -> Known:
        """The 50 % date between those of 10 and 90 %, or the careful date alone; the grower's own date is the 50 % one."""
        if self._sheltered == WHOLE_YEAR:
            return Absent(name, because(Found.FROST_FREE))
        even = _EVEN.get(name, name)
        own = self._own(even)
        if own:
            return self._from_own(name, even, nearest_to_midsummer(own, season, self._southern), season)
        if self._climate is None:
            return Absent(name, because(Found.NO_NORMALS_NO_FROST))
        return self._from_chances(name, even, self._computed(self._climate, even, season), self._climate)

    def _from_chances(self, name: MarkName, even: MarkName, chances: Chances, climate: Climate) -> Known:
        careful = name in CAREFUL_FROSTS
        tail = chances.nine_tenths if even is MarkName.LAST_FROST else chances.tenth
        day = tail if careful else chances.half
        if day is None:
            return Absent(name, because(Found.MOSTLY_NO_FROST))
        if careful:
            return Mark(name, day, 0, because(Found.FROST_TENTH))
        rough = climate.normals.coldest_night is None
        how = because(Found.FROST_HALF_ROUGH if rough else Found.FROST_HALF)
        return mark_between(name, day, chances.tenth, chances.nine_tenths, how)

    def _own(self, even: MarkName) -> tuple[int, int] | None:
        if self._site is None:
            return None
        return self._site.last_frost if even is MarkName.LAST_FROST else self._site.first_frost

    def _from_own(self, name: MarkName, even: MarkName, day: date, season: int) -> Mark:
        """The grower's date, with the computed distances to one year in ten on either side."""
        early, late = -OWN_DATE_MARGIN_DAYS, OWN_DATE_MARGIN_DAYS
        chances = self._computed(self._climate, even, season) if self._climate else Chances(None, None, None)
        if chances.half is not None:
            early = (chances.tenth - chances.half).days if chances.tenth else early
            late = (chances.nine_tenths - chances.half).days if chances.nine_tenths else late
        first, last = day + timedelta(days=early), day + timedelta(days=late)
        if name in CAREFUL_FROSTS:
            careful = last if even is MarkName.LAST_FROST else first
            return Mark(name, careful, 0, because(Found.FROM_OWN_FROST))
        return mark_between(name, day, first, last, because(Found.OWN_FROST))

    def _computed(self, climate: Climate, even: MarkName, season: int) -> Chances:
        key = (even, season)
        if key not in self._chances:
            summer = midsummer(season, self._southern)
            if even is MarkName.LAST_FROST:
                found = last_frosts(climate, self._bare(midwinter_before(season, self._southern), 1), summer)
            else:
                winter = midwinter_before(season + 1, self._southern)
                found = first_frosts(climate, summer, self._bare(winter, -1))
            self._chances[key] = _guessed(found) if climate.normals.guessed else found
        return self._chances[key]

    def _bare(self, winter: date, step: int) -> date:
        """From midwinter towards summer, the first day on which frost reaches the place."""
        day = winter
        while (
            self._sheltered is not None and is_within(day, self._sheltered) and abs((day - winter).days) < HALF_YEAR
        ):
            day += timedelta(days=step)
        return day


def _guessed(found: Chances) -> Chances:
    """Chances from guessed normals: their ends lie further out."""
    if found.half is None:
        return found
    ends = []
    for end in (found.tenth, found.nine_tenths):
        off = (end - found.half).days if end else 0
        away = round(guessed_band(abs(off)))
        ends.append(None if end is None else found.half + timedelta(days=away if off > 0 else -away))
    return Chances(ends[0], found.half, ends[1])
