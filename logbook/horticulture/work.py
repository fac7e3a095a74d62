"""What a work is: one frozen record with every trait the program needs, shipped and the grower's own alike.

Decides nothing. The records are read from works.yaml (see there for what each key means) and from a collection's own
`works:`; no other module writes a work's name down.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

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
    roots_excuse: bool = False
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
    overridden: bool = False
    genera: frozenset[str] = frozenset()
    also: Window | None = None
    also_rule: str = ""


@dataclass(frozen=True, slots=True)
class Recovery:
    """How long after a hard work the next may come, by its roots or force: seasons, growing weeks or calendar months."""

    roots: str = ""
    force: str = ""
    seasons: int = 0
    weeks: int = 0
    months: int = 0


@dataclass(frozen=True, slots=True)
class Work:
    """A work. `minutes` are for a tree of middling size; `once_days` 0 where a second turn soon is nothing odd."""

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
    counts_from: str = ""
    builds: bool = False
    once_days: int = 0
    changes_growth: bool = False
    light_kind: Kind | None = None
    wants_strength: bool = False
    wants_strength_of: frozenset[str] = frozenset()

    def row(self, group: str, genus: str = "") -> Row | None:
        """The row for a group; one for a genus of it comes first, and is for that genus alone."""
        return next((r for r in self.rows if group in r.groups and (not r.genera or genus in r.genera)), None)

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
