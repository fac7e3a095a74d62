"""What growers know, read from the YAML files beside this module into frozen values.

Knows groups, sets, species, works and cautions; decides nothing. Everything in the files is common practice with
no published source unless a line names one, and a grower may override it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from ..collection.model import Settings
from ..diagnostics import Problem
from .species import Species, worked_as
from .species_advice import advice, poison, poison_words
from .species_names import named_in
from .species_register import Genus, Known, SpeciesRegister, possible
from .window_syntax import MARKS, Window

NO_OWN: Mapping[str, str] = MappingProxyType({})


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


@dataclass(frozen=True, slots=True)
class Unless:
    """What forbids a work: `resting`, or another work done `within` a span (`season`, `9 months`, `last season`)."""

    resting: bool = False
    roots_excuse: bool = False
    done: str = ""
    force: str = ""
    within: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a work: for whom, when, how often, on what condition, by which sign."""

    groups: frozenset[str]
    sign: str
    too_late: str
    window: Window | None = None
    rule: str = ""
    every: Mapping[str, float] = field(default_factory=dict)
    vigour: int = 0
    stages: tuple[str, ...] = ()
    unless: tuple[Unless, ...] = ()
    offered: str = ""
    optional: bool = False
    growing_days: int = 0
    overridden: bool = False
    genera: frozenset[str] = frozenset()
    also: Window | None = None
    also_rule: str = ""
    made_by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Work:
    """`hard` is "", "always" or "heavy" (hard only with `force: heavy`); `care` is upkeep that no sheet offers to tick."""

    name: str
    typed: tuple[str, ...]
    rows: tuple[Row, ...] = ()
    hard: str = ""
    always_allowed: bool = False
    details: tuple[str, ...] = ()
    caution: str = ""
    care: bool = False

    def row(self, group: str, genus: str = "") -> Row | None:
        """The row for a group; one for a genus of it comes first, and is for that genus alone."""
        return next((r for r in self.rows if group in r.groups and (not r.genera or genus in r.genera)), None)


@dataclass(frozen=True, slots=True)
class Recovery:
    """How long after a hard work the next may come: seasons, growing weeks or calendar months."""

    work: str
    roots: str = ""
    force: str = ""
    seasons: int = 0
    weeks: int = 0
    months: int = 0


@dataclass(frozen=True)
class Knowledge:
    groups: Mapping[str, Group]
    sets: Mapping[str, frozenset[str]]
    works: Mapping[str, Work]
    register: SpeciesRegister
    stages: tuple[str, ...]
    ages: Mapping[str, tuple[str, ...]]
    sightings: tuple[str, ...]
    thickening_factor: Mapping[str, float]
    wire_rules: Mapping[str, WireRule]
    cautions: Mapping[str, str]
    recovery: tuple[Recovery, ...] = ()
    hard_works: Mapping[str, int] = field(default_factory=dict)

    @cached_property
    def _rows(self) -> dict[tuple[str, str], tuple[tuple[Work, Row], ...]]:
        return {}

    def rows(self, group: str, genus: str) -> tuple[tuple[Work, Row], ...]:
        """The works that have a row for a group (and genus), in the order of works.yaml."""
        if (group, genus) not in self._rows:
            self._rows[group, genus] = tuple((w, row) for w in self.works.values() if (row := w.row(group, genus)))
        return self._rows[group, genus]

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

    def species_of(self, species: str) -> Species | None:
        """What is known of a name: its species, or the careful values of its genus; None where it must be asked."""
        found = self.register.find(species)
        return found.species if isinstance(found, Known | Genus) else None

    def group_of(self, species: str, own: Mapping[str, str] = NO_OWN) -> str:
        """The growth group of a name, the grower's own species first; empty where it is unknown or could be several."""
        mine = named_in(species, own)
        if mine:
            return own[mine]
        found = self.species_of(species)
        return worked_as(found.group) if found else ""

    def genus_of(self, species: str) -> str:
        """The accepted genus in lower case, as rows name genera; the first word of a name that is not known."""
        found = self.species_of(species)
        genera = {found.genus} if found else {s.genus for s in possible(self.register.find(species))}
        return genera.pop() if len(genera) == 1 else species.split(" ")[0].casefold()

    def is_poisonous(self, species: str) -> bool:
        """Whether the caution belongs to this name: to any plant it may stand for. False is no promise."""
        return poison(self.register.find(species))[0] == "yes"

    def poison_words(self, species: str) -> str:
        """The caution to print for a name: see `species_advice.poison_words`."""
        return poison_words(self.register.find(species), self.cautions["poison"])

    def species_advice(self, species: str, own: Mapping[str, str]) -> Problem | None:
        """None for a known species or one of the grower's own, else what to do about it: a fault, or a warning."""
        if named_in(species, own):
            return None
        return advice(species, self.register.resolve(species))

    def own(self, settings: Settings) -> tuple[Knowledge, list[Problem]]:
        """This knowledge with a collection's overrides laid over it, and their faults."""
        from .overrides import with_overrides  # which is built on this module

        return with_overrides(self, settings)
