"""A day of the season, with its band and its reason; or that there is none, and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from .reasons import Reason

BAND_AUTUMN = 11
BAND_FROST = 12
BAND_OWN_DATE = 21


@dataclass(frozen=True, slots=True)
class Mark:
    """A day of the season with its 80 % band (± days) and where it comes from."""

    name: str
    day: date
    band: int
    how: Reason

    def after(self, name: str, days: int, how: Reason) -> Mark:
        """The mark that follows this one by so many days."""
        return Mark(name, self.day + timedelta(days=days), self.band, how)


@dataclass(frozen=True, slots=True)
class Absent:
    """A mark this site or this record does not have, and why."""

    name: str
    why: Reason


Known = Mark | Absent
