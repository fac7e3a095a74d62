"""What was seen in a garden, by tree, mark and season; and the signs that teach nothing, with why."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import NamedTuple


class Sighting(NamedTuple):
    """A sign seen, with the season it belongs to and the place it was seen in."""

    tag: str
    species: str
    group: str
    mark: str
    day: date
    season: int
    place: str = ""
    by: str = ""


class Sightings:
    """Sightings that count, in the order of their days."""

    def __init__(self, every: Iterable[Sighting]) -> None:
        self.every = tuple(sorted(every, key=lambda s: (s.day, s.tag, s.mark)))
        self.tags = frozenset(s.tag for s in self.every)
        self.species = frozenset(s.species for s in self.every)
        self._on_tree: dict[tuple[str, str, int], date] = {}
        self._of_mark: dict[str, list[Sighting]] = {}
        for one in self.every:
            self._on_tree.setdefault((one.tag, one.mark, one.season), one.day)  # a sign is first seen once
            self._of_mark.setdefault(one.mark, []).append(one)

    def on_tree(self, tag: str, mark: str, season: int) -> date | None:
        """The day a sign was first seen on a tree in a season."""
        return self._on_tree.get((tag, mark, season)) if tag else None

    def of_mark(self, mark: str) -> list[Sighting]:
        """All sightings of a mark."""
        return self._of_mark.get(mark, [])

    def in_season(self, season: int) -> list[Sighting]:
        """All sightings of a season."""
        return [s for s in self.every if s.season == season]
