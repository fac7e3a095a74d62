"""What was seen in a garden, by tree, mark and season; and the signs that teach nothing, with why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
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

    def __init__(self, every: Iterable[Sighting], accepted: Callable[[str], str] = str) -> None:
        """`accepted` gives a species' accepted name, by which trees are told to be of one."""
        self.every = tuple(sorted(every, key=lambda s: (s.day, s.tag, s.mark)))
        self.tags = frozenset(s.tag for s in self.every)
        self.species = frozenset(accepted(s.species) for s in self.every)
        self._on_tree: dict[tuple[str, str, int], date] = {}
        self._names: dict[tuple[str, int | None], tuple[str, ...]] = {}
        self._of: dict[tuple[str, str, str], list[Sighting]] = {}
        for one in self.every:
            self._on_tree.setdefault((one.tag, one.mark, one.season), one.day)  # a sign is first seen once
            for season in (one.season, None):
                known = self._names.get((one.tag, season), ())
                if one.mark not in known:
                    self._names[one.tag, season] = (*known, one.mark)
            for kind, name in (("tag", one.tag), ("species", accepted(one.species)), ("group", one.group)):
                self._of.setdefault((kind, name, one.mark), []).append(one)

    def on_tree(self, tag: str, mark: str, season: int) -> date | None:
        """The day a sign was first seen on a tree in a season."""
        return self._on_tree.get((tag, mark, season)) if tag else None

    def names_on(self, tag: str, season: int | None = None) -> tuple[str, ...]:
        """The marks seen on a tree in a season; in any of them where none is given."""
        return self._names.get((tag, season), ())

    def on(self, mark: str, *, tag: str = "", species: str = "", group: str = "") -> Sequence[Sighting]:
        """All sightings of a mark on a tree, or on those of a species by its accepted name, or of a group."""
        kind, name = ("tag", tag) if tag else ("species", species) if species else ("group", group)
        return self._of.get((kind, name, mark), ())
