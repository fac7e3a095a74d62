"""What growers know, read from the YAML files beside this module into frozen values.

Knows groups, sets, species, works and cautions; decides nothing. Everything in the files is common practice with
no published source unless a line names one, and a grower may override it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from ..collection.model import Settings
from ..diagnostics import Problem, nearest
from .window_syntax import MARKS
from .work import Row, Thing, Work


@dataclass(frozen=True, slots=True)
class Group:
    """Trees that keep one calendar: degree-days of marks, °C the roots stand, mm a branch thickens in a year."""

    name: str
    marks: Mapping[str, float]
    root_limit: float
    thickening: float
    wire: str
    chill: bool


@dataclass(frozen=True, slots=True)
class WireRule:
    first_check_weeks: int
    seasons: int


@dataclass(frozen=True)
class Knowledge:
    groups: Mapping[str, Group]
    sets: Mapping[str, frozenset[str]]
    works: Mapping[str, Work]
    species: Mapping[str, str]
    poisonous: frozenset[str]
    stages: tuple[str, ...]
    ages: Mapping[str, tuple[str, ...]]
    sightings: tuple[str, ...]
    thickening_factor: Mapping[str, float]
    wire_rules: Mapping[str, WireRule]
    cautions: Mapping[str, str]
    hard_works: Mapping[str, int] = field(default_factory=dict)

    @cached_property
    def _rows(self) -> dict[tuple[str, str], tuple[tuple[Work, Row], ...]]:
        return {}

    def rows(self, group: str, genus: str) -> tuple[tuple[Work, Row], ...]:
        """The works that have a row for a group (and genus), in the order of works.yaml."""
        if (group, genus) not in self._rows:
            self._rows[group, genus] = tuple((w, row) for w in self.works.values() if (row := w.row(group, genus)))
        return self._rows[group, genus]

    def doing(
        self, *, puts: Thing | None = None, looks: Thing | None = None, takes: Thing | None = None
    ) -> tuple[Work, ...]:
        """The works that put such a thing on a tree, look at it, or take it off."""
        return tuple(w for w in self.works.values() if puts in w.puts or looks in w.looks or takes in w.takes)

    def acting(self, act: str) -> tuple[Work, ...]:
        """The works that act so, as conditions of others call it."""
        return tuple(w for w in self.works.values() if act in w.acts)

    @property
    def words(self) -> Mapping[str, tuple[str, ...]]:
        """The word lists a record is checked against."""
        return {
            "works": tuple(self.works),
            "stages": self.stages,
            "sightings": self.sightings,
            "groups": tuple(self.groups),
            "marks": MARKS,
        }

    def group_of(self, species: str) -> str:
        """The growth group of a botanical name, or an empty string."""
        return self.species.get(species_key(species), "")

    def is_poisonous(self, species: str) -> bool:
        return species_key(species) in self.poisonous

    def species_advice(self, species: str, own: Mapping[str, str]) -> str:
        """An empty string for a known species, else what to do about it."""
        key = species_key(species)
        if key in self.species or key in {species_key(s) for s in own}:
            return ""
        close = nearest(key, self.species, 0.88)
        if close:
            return f"did you mean '{close[:1].upper()}{close[1:]}'? otherwise add group: (how it grows)"
        kin = {g for s, g in self.species.items() if s.split()[0] == key.split(" ")[0]}
        if len(kin) == 1:
            group = kin.pop()
            return f"other {key.split(' ')[0].capitalize()} grow as '{group}': add group: {group}"
        return "add group: (how it grows), or list it under species: in collection.yaml"

    def own(self, settings: Settings) -> tuple[Knowledge, list[Problem]]:
        """This knowledge with a collection's overrides laid over it, and their faults."""
        from .overrides import with_overrides  # which is built on this module

        return with_overrides(self, settings)


def species_key(species: str) -> str:
    """Genus and species in lower case: cultivar, author, variety and the hybrid sign put away."""
    bare = re.sub(r"['‘’\"].*", "", species).replace("×", " ")
    words = [w for w in bare.casefold().split() if w != "x"]
    return " ".join(words[:2])
