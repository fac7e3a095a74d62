"""What a work is: one frozen record with every trait the program needs, shipped and the grower's own alike.

Decides nothing. The records are read from works.yaml (see there for what each key means) and from a collection's own
`works:`; no other module writes a work's name down.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from enum import StrEnum

from ..values import dataclass
from .species import NEW_WOOD, OLD_WOOD, Species
from .window_syntax import Window


class Kind(StrEnum):
    """What rules speak of: the part of the tree a work asks something of."""

    ROOTS = "roots"
    FLUSH = "flush"
    WOOD = "wood"
    WIRE = "wire"
    THIN = "thin"
    CARE = "care"


class Hard(StrEnum):
    """Whether a work counts among the hard ones of a season: never, always, or only with `force: heavy`."""

    NEVER = ""
    ALWAYS = "true"
    HEAVY = "heavy"


class OnSheet(StrEnum):
    """How a sheet shows a work: with a box to tick, told without one, or not at all."""

    OFFERED = "offered"
    LATER = "later"
    NEVER = "never"


class Thing(StrEnum):
    """What works put on a tree, look at, and take off again."""

    WIRE = "wire"
    LAYER = "layer"
    GRAFT = "graft"
    PASTE = "paste"
    GUYS = "guys"
    BRANCH = "branch"
    ROOTS = "roots"
    TREE = "tree"


class Offer(StrEnum):
    """When a row is offered: always, when it was meant, when a branch's time has come, when what it takes off was put on."""

    ALWAYS = ""
    INTENDED = "intended"
    SACRIFICE = "sacrifice"
    MADE = "made"


class Trait(StrEnum):
    """What a row may ask of the species; none holds where the species is not known."""

    BLEEDS = "bleeds"
    OLD_WOOD = "old wood"
    NEW_WOOD = "new wood"
    FRUIT_KEPT = "fruit kept"
    BACKBUDS = "backbuds"
    DEFOLIATION = "bears defoliation"
    PARTIAL_DEFOLIATION = "bears it in part"
    NO_DEFOLIATION = "bears no defoliation"

    def holds(self, species: Species | None) -> bool:
        """Whether it is said of a species. Trees that flower on old wood lose no leaves: their buds hang on them."""
        if species is None:
            return False
        leaves_may_go = species.flowers_on != OLD_WOOD
        partly = leaves_may_go and species.full_defoliation != "no"
        return {
            Trait.BLEEDS: species.bleeds,
            Trait.OLD_WOOD: species.flowers_on == OLD_WOOD,
            Trait.NEW_WOOD: species.flowers_on == NEW_WOOD,
            Trait.FRUIT_KEPT: species.fruit_kept,
            Trait.BACKBUDS: species.backbuds,
            Trait.DEFOLIATION: leaves_may_go and species.full_defoliation == "yes",
            Trait.PARTIAL_DEFOLIATION: partly,
            Trait.NO_DEFOLIATION: not partly,
        }[self]


class Within(StrEnum):
    """Spans of a condition that are no number of months."""

    SEASON = "season"
    LAST_SEASON = "last season"


POT = "pot"
HEAVY = "heavy"
SEPARATING = "separating"


@dataclass(frozen=True, slots=True)
class Unless:
    """What forbids a work: rest, or a work that acts so, done within this season, the last two, or `months`."""

    resting: bool = False
    done: str = ""
    force: str = ""
    within: Within | None = None
    months: int = 0


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
    offered: Offer = Offer.ALWAYS
    optional: bool = False
    growing_days: int = 0
    latest: int = 0
    overridden: bool = False
    genera: frozenset[str] = frozenset()
    also: Window | None = None
    also_rule: str = ""
    also_sign: str = ""
    also_too_late: str = ""
    where: tuple[Trait, ...] = ()
    not_where: tuple[Trait, ...] = ()
    how: str = ""

    def fits(self, group: str, species: Species | None, genus: str) -> bool:
        """Whether it is the row of such a tree; the first of a work that fits is the one."""
        if group not in self.groups or (self.genera and genus not in self.genera):
            return False
        return all(t.holds(species) for t in self.where) and not any(t.holds(species) for t in self.not_where)

    @property
    def is_for_some(self) -> bool:
        """Whether it is only for some trees of its groups, by genus or by what their species is like."""
        return bool(self.genera or self.where or self.not_where)

    def signs(self, second: bool = False) -> tuple[str, str]:
        """Its sign and what shows that it is too late; those of its second chance in the season where they differ."""
        first = (self.sign, self.too_late)
        return (self.also_sign or self.sign, self.also_too_late or self.too_late) if second else first


@dataclass(frozen=True, slots=True)
class Recovery:
    """How long after a hard work the next may come, by its roots or force: seasons, growing weeks or calendar months."""

    roots: str = ""
    force: str = ""
    seasons: int = 0
    weeks: int = 0
    months: int = 0


@dataclass(frozen=True, slots=True)
class Turns:
    """A work done in several turns that are one: all `within` so many days, each `apart` days from the last."""

    within: int
    apart: int


@dataclass(frozen=True, slots=True)
class Work:
    """A work. `minutes` are for a tree of middling size; `once_days` 0 where a second turn soon is nothing odd, `one_hand_days` where another hand's is not.

    `not_stages`: in which it is offered only where it was meant. `outdoors`: not for a tree kept indoors. `minded`: whoever looks after the tree in the grower's
    absence has to see to it. `mark` are two letters that stand for it on paper, empty for a work of the grower's own
    without them; `was` are names it had before, by which older files still call it.
    """

    name: str
    typed: tuple[str, ...]
    rows: tuple[Row, ...] = ()
    kind: Kind = Kind.CARE
    acts: tuple[str, ...] = ()
    done: str = ""
    minutes: int = 20
    hard: Hard = Hard.NEVER
    recovery: tuple[Recovery, ...] = ()
    always_allowed: bool = False
    details: tuple[str, ...] = ()
    caution: str = ""
    sheet: OnSheet = OnSheet.OFFERED
    urgent: bool = False
    puts: tuple[Thing, ...] = ()
    looks: tuple[Thing, ...] = ()
    takes: tuple[Thing, ...] = ()
    into: str = ""
    begins: str = ""
    counts_from: str = ""
    builds: bool = False
    once_days: int = 0
    one_hand_days: int = 0
    changes_growth: bool = False
    light_kind: Kind | None = None
    wants_strength: bool = False
    wants_strength_of: frozenset[str] = frozenset()
    only_on: frozenset[str] = frozenset()
    short: str = ""
    mark: str = ""
    turns: Turns | None = None
    minded: bool = False
    not_stages: tuple[str, ...] = ()
    outdoors: bool = False
    was: tuple[str, ...] = ()

    def row_for(self, group: str, species: Species | None, genus: str = "") -> Row | None:
        """The row for a tree of this group, species and genus (lower case): the first that fits."""
        return next((r for r in self.rows if r.fits(group, species, genus)), None)

    def row(self, group: str, genus: str = "") -> Row | None:
        """The row for a tree of which only the group, or the genus too, is known."""
        return self.row_for(group, None, genus)

    @property
    def is_look_over(self) -> bool:
        """The walk round a tree, which closes a visit."""
        return Thing.TREE in self.looks

    @property
    def is_upkeep(self) -> bool:
        """Work that no sheet offers to tick."""
        return self.sheet is not OnSheet.OFFERED

    @property
    def is_exempt(self) -> bool:
        """Whether nothing that was done before forbids it."""
        return self.always_allowed or SEPARATING in self.acts

    @property
    def into_pot(self) -> bool:
        """Whether it puts the tree into a pot."""
        return self.into == POT

    def kind_of_turn(self, force: str) -> Kind:
        """What a turn of this force asks something of: light pruning is thinning, light bending is wire."""
        return self.kind if force == HEAVY or self.light_kind is None else self.light_kind

    def past(self, force: str = "") -> str:
        """The work as something done: `repotted`, `pruned hard`."""
        return f"{self.done or self.name} {'hard' if force == HEAVY else ''}".strip()

    def was_hard(self, force: str) -> bool:
        """Whether a turn of this force counted as hard."""
        return self.hard is Hard.ALWAYS or (self.hard is Hard.HEAVY and force == HEAVY)
