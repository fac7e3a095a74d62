"""What a tree's species and group say of its spring, the grower's own numbers first; kept, since trees share them."""

from __future__ import annotations

from collections.abc import Mapping

from ..horticulture.group import Group
from ..horticulture.knowledge import Knowledge
from ..horticulture.overrides import MARK_KEYS
from ..horticulture.species import CHILL, Species
from .autumn import holds_leaves
from .spring import Habit
from .warmth_sums import hardened_gap, sums_of

CHILLED, UNCHILLED = CHILL[0], CHILL[-1]


class Habits:
    """Habits by group and species. A species' own figures hold where the tree is grown as its own group."""

    def __init__(self, knowledge: Knowledge, own: Mapping[str, Mapping[str, float]]) -> None:
        """`own`: the grower's numbers by group, which stand in `knowledge` already."""
        self._knowledge, self._own = knowledge, own
        self._habits: dict[tuple[str, str], Habit] = {}
        self._names: dict[str, str] = {}

    @property
    def groups(self) -> Mapping[str, Group]:
        """The growth groups by name."""
        return self._knowledge.groups

    def accepted(self, species: str) -> str:
        """A species' accepted name; as given where it is not known."""
        if species not in self._names:
            found = self._knowledge.species_of(species) if species else None
            self._names[species] = found.name if found else species
        return self._names[species]

    def of(self, group: str, species: str = "") -> Habit:
        """The habit of a species grown as a group."""
        key = (group, species)
        if key not in self._habits:
            self._habits[key] = self._made(group, species)
        return self._habits[key]

    def tells_apart(self, group: str, species: str) -> bool:
        """Whether a species has another spring than its group, or another autumn."""
        return self.of(group, species) != self.of(group) or holds_leaves(species)

    def keeps_leaves(self, group: str) -> bool:
        """Whether trees of a group have no leaf fall."""
        return group not in self._knowledge.sets["deciduous"]

    def _made(self, group: str, species: str) -> Habit:
        kind = self._knowledge.groups[group]
        known = self._knowledge.species_of(species) if species else None
        mine = known if known is not None and known.group == group else None
        return Habit(
            self._sums(group, mine),
            hardened_gap(kind.marks),
            mine.chill if mine else CHILLED if kind.chill else UNCHILLED,
            group,
        )

    def _sums(self, group: str, species: Species | None) -> dict[str, float]:
        kind = self._knowledge.groups[group]
        of_group = sums_of(kind.marks)
        if species is None or not kind.marks:
            return of_group
        said = {"swell": species.swell, "open": species.open}
        found = sums_of(kind.marks, species.name, {mark: s for mark, s in said.items() if s is not None})
        # the grower's own number for the group outranks what is known of the species
        given = {**self._own.get(kind.formerly, {}), **self._own.get(group, {})}
        return {
            mark: of_group[mark] if mark in given and mark in of_group else found[mark]
            for mark in MARK_KEYS
            if mark in found
        }
