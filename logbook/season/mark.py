"""A day of the season, with its band and its reason; or that there is none, and why."""

from __future__ import annotations

from datetime import date, timedelta

from ..values import dataclass
from .estimator import Spread
from .reasons import Reason


@dataclass(frozen=True, slots=True)
class Mark:
    """A day of the season, its 80 % band (± days) and where it comes from.

    `early` and `late` are the ends of a band that is not even about the day; of a band with `or_none` an end that is None says that
    the mark does not come in one year of ten or more.
    """

    name: str
    day: date
    band: int
    how: Reason
    early: date | None = None
    late: date | None = None
    or_none: bool = False

    def after(self, name: str, days: int, how: Reason) -> Mark:
        """The mark that follows this one by so many days."""
        by = timedelta(days=days)
        early, late = (None if end is None else end + by for end in (self.early, self.late))
        return Mark(name, self.day + by, self.band, how, early, late, self.or_none)

    @property
    def is_even(self) -> bool:
        """Whether the band reaches as far to either side."""
        return not self.or_none and self.early is None and self.late is None


@dataclass(frozen=True, slots=True)
class Absent:
    """A mark this site or this record does not have, and why."""

    name: str
    why: Reason


Known = Mark | Absent


def mark_between(name: str, day: date, early: date | None, late: date | None, how: Reason) -> Mark:
    """A mark whose band ends on these days; an end that is None does not exist in every year."""
    reach = [abs((end - day).days) for end in (early, late) if end is not None]
    band = max(reach, default=0)
    if len(reach) == 2 and reach[0] == reach[1]:
        return Mark(name, day, band, how)
    return Mark(name, day, band, how, early, late, len(reach) < 2)


def mark_of(name: str, spread: Spread, band: float, how: Reason) -> Mark:
    """A mark by its chances; `band` (days) is that of a spread which is even."""
    if spread.not_seen:
        return mark_between(name, spread.middle, spread.early, spread.late, how)
    return Mark(name, spread.middle, round(band), how)
