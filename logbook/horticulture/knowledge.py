"""What growers know, read from the YAML files beside this module into frozen values.

Knows groups, sets, species, works and cautions; decides nothing. Everything in the files is common practice with
no published source unless a line names one, and a grower may override it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from functools import cached_property
from types import MappingProxyType

from ..collection.model import Settings
from ..diagnostics import Problem
from ..values import dataclass
from .aftercare import AfterCare, FeedingPause
from .forbids import Forbids
from .group import Group
from .overrides import own_groups, own_works
from .pests import Pest
from .species import Species
from .species_advice import advice, poison, poison_words
from .species_names import named_in
from .species_register import Genus, Known, SpeciesRegister, possible
from .window_syntax import MARKS
from .work import Row, Thing, Work

DAYS_A_WEEK = 7
NO_OWN: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class WireRule:
    """How a group's wire is looked after: weeks to the first look, growing seasons it may stay."""

    first_check_weeks: int
    seasons: int


@dataclass(frozen=True)
class Knowledge:
    """Everything the project knows of the trade, as its tables and the grower's own settings give it."""

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
    hard_works: Mapping[str, int] = field(default_factory=dict)
    forbids: Forbids = field(default_factory=Forbids)
    aftercare: tuple[AfterCare, ...] = ()
    feeding_pauses: tuple[FeedingPause, ...] = ()
    pests: tuple[Pest, ...] = ()
    root_shares: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def _rows(self) -> dict[tuple[str, str], tuple[tuple[Work, Row], ...]]:
        return {}

    @cached_property
    def _doing(self) -> dict[tuple[Thing | None, Thing | None, Thing | None], tuple[Work, ...]]:
        return {}

    @cached_property
    def _acting(self) -> dict[str, tuple[Work, ...]]:
        return {}

    def rows_for(self, group: str, species: str) -> tuple[tuple[Work, Row], ...]:
        """The works that have a row for a tree of a group and a species' name, in the order of works.yaml."""
        if (group, species) not in self._rows:
            found = ((w, self.row_for(w, group, species)) for w in self.works.values())
            self._rows[group, species] = tuple((work, row) for work, row in found if row is not None)
        return self._rows[group, species]

    def row_for(self, work: Work, group: str, species: str) -> Row | None:
        """A work's row for a tree of a group and a species' name, which may be empty or unknown."""
        return work.row_for(group, self.species_of(species), self.genus_of(species))

    def pests_of(self, group: str, species: str) -> tuple[Pest, ...]:
        """What trees of a group and a species' name get, in the order of pests.yaml."""
        genus = self.genus_of(species)
        return tuple(pest for pest in self.pests if pest.is_on(group, genus))

    def root_share(self, group: str, species: str) -> str:
        """How much root one repotting of a strong tree may take, as a clause: its species' answer, else its group's."""
        known = self.species_of(species)
        return self.root_shares[known.root_pruning if known else self.groups[group].roots]

    def shade_above(self, group: str, species: str) -> float | None:
        """The mean daily maximum (°C) from which midday shade is usual: its species' answer, else its group's."""
        known = self.species_of(species)
        return known.shade_above_c if known else self.groups[group].shade

    def weeks_after(self, work: Work) -> tuple[int, int]:
        """Whole weeks without frost, and without feeding, that a finished work asks for; 0 for none."""
        frost = (line.days for line in self.aftercare if line.frost_free and line.after.was(work, "", ""))
        feeding = (pause.days for pause in self.feeding_pauses if pause.after.was(work, "", ""))
        return max(frost, default=0) // DAYS_A_WEEK, max(feeding, default=0) // DAYS_A_WEEK

    def active_night(self, species: str) -> float | None:
        """The mean night minimum (°C) from which a species grows where no winter gives it a calendar; None: its group's."""
        known = self.species_of(species)
        return known.active_night_c if known else None

    def groups_of_before(self, name: str) -> tuple[str, ...]:
        """The groups that were one group of this name before, in the order of groups.yaml."""
        return tuple(group.name for group in self.groups.values() if group.formerly == name)

    def group_now(self, name: str) -> str:
        """The group a tree is worked as whose file has this name: the first of those that it became, or itself."""
        return name if name in self.groups else next(iter(self.groups_of_before(name)), name)

    def doing(
        self, *, puts: Thing | None = None, looks: Thing | None = None, takes: Thing | None = None
    ) -> tuple[Work, ...]:
        """The works that put such a thing on a tree, look at it, or take it off."""
        key = (puts, looks, takes)
        if key not in self._doing:
            found = (w for w in self.works.values() if puts in w.puts or looks in w.looks or takes in w.takes)
            self._doing[key] = tuple(found)
        return self._doing[key]

    def acting(self, act: str) -> tuple[Work, ...]:
        """The works that act so, as conditions of others call it."""
        if act not in self._acting:
            self._acting[act] = tuple(w for w in self.works.values() if act in w.acts)
        return self._acting[act]

    @property
    def words(self) -> Mapping[str, tuple[str, ...]]:
        """The word lists a record is checked against."""
        return {
            "works": tuple(self.works),
            "stages": self.stages,
            "sightings": self.sightings,
            "groups": tuple(self.groups),
            "groups, formerly": tuple(dict.fromkeys(g.formerly for g in self.groups.values() if g.formerly)),
            "marks": MARKS,
            "groups or sets": tuple(self.sets),
            "cautions": tuple(self.cautions),
            "rules": tuple(
                sorted({rule for w in self.works.values() for r in w.rows for rule in (r.rule, r.also_rule) if rule})
            ),
        }

    @property
    def renamed(self) -> Mapping[str, Mapping[str, str]]:
        """Works by the names they had before."""
        return {"works": {before: w.name for w in self.works.values() for before in w.was}}

    def species_of(self, species: str) -> Species | None:
        """What is known of a name: its species, or the careful values of its genus; None where it must be asked."""
        found = self.register.find(species)
        return found.species if isinstance(found, Known | Genus) else None

    def group_of(self, species: str, own: Mapping[str, str] = NO_OWN) -> str:
        """The growth group of a name, the grower's own species first; empty where it is unknown or could be several."""
        mine = named_in(species, own)
        if mine:
            return self.group_now(own[mine])
        found = self.species_of(species)
        return found.group if found else ""

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
        if not settings.groups and not settings.works:
            return self, []
        works, problems = own_works(self.works, self.sets, settings.works, self.words)
        return replace(self, groups=own_groups(self.groups, settings.groups), works=works), problems
