"""What was seen corrects what was computed: offsets pooled garden → group → species → tree, shrunk by how much is known.

A residual is a sighting's day minus the computed mark's. Sightings of one year count once at each level, since a late
spring is late for all. Shrinkage n/(n+λ): λ = 1 for garden, group and species, 6 for one tree within its species (between
trees of one species 2.0 d standard deviation, between species 10.5 d, between years 5.6 d: Harvard Forest hf003, J. O'Keefe, CC BY).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

LAMBDA = {"garden": 1.0, "group": 1.0, "species": 1.0, "tree": 6.0}
BAND_ONE_YEAR = 12
BAND_LEARNED = 10
SPRING = frozenset(("swell", "open", "hardened"))
FLOWERING = frozenset(("flower", "flower over"))
FAR_DAYS = 60


class Seen(NamedTuple):
    """A sign seen on a tree: which mark, on what day."""

    tag: str
    species: str
    group: str
    mark: str
    day: date


class Sighting(NamedTuple):
    """A sign seen, with the season it belongs to."""

    tag: str
    species: str
    group: str
    mark: str
    day: date
    season: int


class Who(NamedTuple):
    """The tree a mark is asked for; empty words ask for the group alone. A tuple, since it is part of many keys."""

    tag: str = ""
    species: str = ""


NOBODY = Who()


@dataclass(frozen=True, slots=True)
class Offset:
    """Days to add to a computed mark, from how many logged years."""

    days: float = 0.0
    years: int = 0

    def band(self, plain: int) -> int:
        """The honest 80 % band: narrower once springs were logged."""
        return plain if not self.years else min(plain, BAND_ONE_YEAR if self.years == 1 else BAND_LEARNED)


Residual = tuple[Sighting, float]


def residuals(sightings: Iterable[Sighting], computed: Callable[[str, str, int], date | None]) -> list[Residual]:
    """Seen minus computed, days, for every sighting whose mark can be computed."""
    found: list[Residual] = []
    for seen in sightings:
        day = computed(seen.group, seen.mark, seen.season)
        if day is not None:
            found.append((seen, float((seen.day - day).days)))
    return found


class Lessons:
    """Offsets at every level, worked out once and kept. The spring's marks teach each other, and so do those of flowering."""

    def __init__(self, known: Iterable[Residual]) -> None:
        self._by: dict[tuple[str, ...], list[Residual]] = {}
        self._kept: dict[tuple[str, ...], float] = {}
        for seen, rest in known:
            family = _family(seen.mark)
            for key in (
                (family,),
                (family, seen.group),
                (family, seen.group, seen.species),
                (family, "tag", seen.tag),
            ):
                self._by.setdefault(key, []).append((seen, rest))
        self._years = {key[0]: len({s.season for s, _ in rows}) for key, rows in self._by.items() if len(key) == 1}

    def offset(self, mark: str, group: str, who: Who) -> Offset:
        """The offset of a mark for a group, species and tree."""
        family = _family(mark)
        total = self._shrunk((family,), 0.0, "garden")
        total = self._shrunk((family, group), total, "group")
        if who.species:
            total = self._shrunk((family, group, who.species), total, "species")
        if who.tag:
            total = self._shrunk((family, "tag", who.tag), total, "tree")
        return Offset(total, self._years.get(family, 0))

    def _shrunk(self, key: tuple[str, ...], above: float, level: str) -> float:
        """The level above, moved by what this level's years say beyond it."""
        if key not in self._by:
            return above
        if key not in self._kept:
            by_year: dict[int, list[float]] = {}
            for seen, rest in self._by[key]:
                by_year.setdefault(seen.season, []).append(rest - above)
            means = [sum(rests) / len(rests) for rests in by_year.values()]
            self._kept[key] = above + sum(means) / (len(means) + LAMBDA[level])
        return self._kept[key]


def _family(mark: str) -> str:
    return "spring" if mark in SPRING else "flowering" if mark in FLOWERING else mark
