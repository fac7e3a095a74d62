"""What was seen corrects what was computed: offsets pooled garden → group → species → tree, shrunk by how much is known.

A residual is a sighting's day minus the computed mark's. Sightings of one year count once at each level, since a late
spring is late for all. Shrinkage n/(n+λ): λ = 1 for garden, group and species, 6 for one tree within its species (between
trees of one species 2.0 d standard deviation, between species 10.5 d, between years 5.6 d: Harvard Forest hf003, J. O'Keefe, CC BY).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

LAMBDA = {"garden": 1.0, "group": 1.0, "species": 1.0, "tree": 6.0}
BAND_ONE_YEAR = 12
BAND_LEARNED = 10
SPRING = frozenset(("swell", "open"))


@dataclass(frozen=True, slots=True)
class Sighting:
    """A sign seen on a tree: which mark, on what day, in which season."""

    tag: str
    species: str
    group: str
    mark: str
    day: date
    season: int


@dataclass(frozen=True, slots=True)
class Who:
    """The tree a mark is asked for; empty words ask for the group alone."""

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


def learned(known: Iterable[Residual], mark: str, group: str, who: Who) -> Offset:
    """The offset of a mark for a group, species and tree. Swell and open teach each other; other marks stand alone."""
    family = SPRING if mark in SPRING else frozenset((mark,))
    mine = [(s, r) for s, r in known if s.mark in family]
    total = 0.0
    for level, belongs in _levels(group, who):
        part = [(s, r - total) for s, r in mine if belongs(s)]
        by_year: dict[int, list[float]] = {}
        for seen, rest in part:
            by_year.setdefault(seen.season, []).append(rest)
        if by_year:
            means = [sum(v) / len(v) for v in by_year.values()]
            total += sum(means) / (len(means) + LAMBDA[level])
    return Offset(total, len({s.season for s, _ in mine}))


def _levels(group: str, who: Who) -> list[tuple[str, Callable[[Sighting], bool]]]:
    levels: list[tuple[str, Callable[[Sighting], bool]]] = [
        ("garden", lambda _s: True),
        ("group", lambda s: s.group == group),
    ]
    if who.species:
        levels.append(("species", lambda s: s.species == who.species))
    if who.tag:
        levels.append(("tree", lambda s: s.tag == who.tag))
    return levels
