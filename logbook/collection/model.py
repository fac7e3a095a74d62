"""The collection in memory: frozen values, lengths in mm, temperatures in °C, dates as spans.

Holds what the files say and nothing derived from it. What is on a tree today (wire, pot, stage, rest) follows
from its log and is worked out in `logbook.planning.tree_state`.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field

from ..diagnostics import Place, Problem
from .dates import When
from .units import METRIC, Units

NOWHERE = Place("")
Months = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Pot:
    """A container. `inner` is length, width, depth (round: diameter, depth) in mm, `base` the inside bottom; `areas` are cross-sections, mm², from bottom to rim."""

    shape: str
    inner: tuple[float, ...] = ()
    base: tuple[float, ...] = ()
    outer: tuple[float, ...] = ()
    areas: tuple[float, ...] = ()
    material: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """What was known when a tree's record began."""

    stage: str = ""
    repotted: When | None = None
    vigour: int | None = None
    wired: When | None = None


@dataclass(frozen=True, slots=True)
class Intention:
    """What the grower means to do, and by when if that was said."""

    what: str
    by: When | None = None
    work: str = ""
    branches: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a tree's log: one date, and what was done, seen, measured or meant on it."""

    date: When
    work: str = ""
    branches: tuple[str, ...] = ()
    measured: Mapping[str, float] = field(default_factory=dict)
    vigour: int | None = None
    saw: str = ""
    stage: str = ""
    rest: str = ""
    trouble: str = ""
    intend: Intention | None = None
    did: str = ""
    note: str = ""
    photo: str = ""
    minutes: int | None = None
    source: str = ""
    replaces: str = ""
    found: Found | None = None
    pot: Pot | None = None
    mix: Mapping[str, float] = field(default_factory=dict)
    roots: str = ""
    force: str = ""
    metal: str = ""
    wire: tuple[float, ...] = ()
    bite: str = ""
    keep: bool = False
    weighed: Mapping[str, float] = field(default_factory=dict)
    feed: str = ""
    new: tuple[str, ...] = ()
    merged: tuple[str, ...] = ()
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Branch:
    """A row of the branch table; `clock` is the direction seen from above, 6 towards the viewer."""

    id: str
    clock: float | None = None
    height: float | None = None
    role: str = "undecided"
    until: str = ""
    diameter: float | None = None
    length: float | None = None
    note: str = ""
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Origin:
    kind: str = ""
    date: When | None = None
    place: str = ""
    parent: str = ""


@dataclass(frozen=True, slots=True)
class TrunkTarget:
    """Calliper to reach, mm, and the height it is taken at, mm."""

    to: float
    at: float | None = None


@dataclass(frozen=True, slots=True)
class Targets:
    trunk: TrunkTarget | None = None
    height: float | None = None
    crown: float | None = None
    leaf: float | None = None
    tips: int | None = None


@dataclass(frozen=True, slots=True)
class Ended:
    date: When
    how: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Tree:
    """One tree's file. `path` is relative to the collection, `digest` the SHA-256 of the file's bytes."""

    tag: str
    log: tuple[Entry, ...]
    path: str = ""
    digest: str = ""
    name: str = ""
    species: str = ""
    cultivar: str = ""
    group: str = ""
    treat_as: str = ""
    indoors: str = ""
    origin: Origin | None = None
    started: When | None = None
    style: str = ""
    bench: str = ""
    aim: str = ""
    front: str = ""
    targets: Targets = field(default_factory=Targets)
    branches: tuple[Branch, ...] = ()
    count: int = 1
    provenance: str = ""
    value: str = ""
    also: tuple[str, ...] = ()
    ended: Ended | None = None
    place: Place = NOWHERE

    @property
    def full_name(self) -> str:
        """Species and cultivar as printed."""
        cultivar = f" '{self.cultivar}'" if self.cultivar and self.cultivar not in self.species else ""
        return (self.species or self.group) + cultivar


@dataclass(frozen=True, slots=True)
class Normals:
    """Twelve monthly means of the daily minimum and maximum, °C, January first."""

    tmin: Months
    tmax: Months
    years: str = ""
    coldest_night: float | None = None


@dataclass(frozen=True, slots=True)
class Site:
    latitude: float
    longitude: float | None = None
    elevation_m: float | None = None
    normals: Normals | None = None
    last_frost: tuple[int, int] | None = None
    first_frost: tuple[int, int] | None = None

    @property
    def southern(self) -> bool:
        return self.latitude < 0


@dataclass(frozen=True, slots=True)
class MonthMean:
    tmin: float
    tmax: float


@dataclass(frozen=True, slots=True)
class WorkOverride:
    """The grower's own numbers for a work, or a work of their own. Words that the trade must know carry their place."""

    groups: tuple[tuple[str, Place], ...] = ()
    window: tuple[str, Place] | None = None
    every: float | None = None
    vigour: int | None = None
    sign: str = ""
    too_late: str = ""
    typed: tuple[str, ...] = ()
    place: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Settings:
    """`collection.yaml`."""

    title: str
    link: str = ""
    units: Units = METRIC
    site: Site | None = None
    date_order: str = "day-month"
    bench_days: Mapping[str, float] = field(default_factory=dict)
    species: Mapping[str, str] = field(default_factory=dict)
    groups: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    works: Mapping[str, WorkOverride] = field(default_factory=dict)
    marks: Mapping[str, Mapping[str, tuple[int, int]]] = field(default_factory=dict)
    months: Mapping[str, MonthMean] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Collection:
    """A folder, read. `trees` holds the sound files only; `problems` every fault of every file."""

    folder: str
    settings: Settings
    trees: tuple[Tree, ...]
    problems: tuple[Problem, ...] = ()
    files: int = 0
    characters: frozenset[str] = frozenset()  # those beyond ASCII that the files hold

    def tree(self, tag: str) -> Tree | None:
        """The tree of a tag, or of a number it had before (`also`); case does not matter."""
        wanted = tag_key(tag)
        for tree in self.trees:
            if tag_key(tree.tag) == wanted:
                return tree
        return next((t for t in self.trees if wanted in map(tag_key, t.also)), None)

    @property
    def living(self) -> tuple[Tree, ...]:
        return tuple(t for t in self.trees if t.ended is None)


def tag_key(tag: str) -> str:
    """What makes two tags the same: neither case nor Unicode form counts."""
    return unicodedata.normalize("NFKC", tag).casefold()
