"""The collection in memory: frozen values, lengths in mm, temperatures in °C, dates as spans.

Holds what the files say and nothing derived from it; what a file may say is declared in `fields`. What is on a tree today
(wire, pot, stage, rest) follows from its log and is worked out in `logbook.planning.tree_state`.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import field
from datetime import date
from functools import lru_cache

from ..diagnostics import Problem
from ..values import dataclass
from .fields import (
    NOWHERE,
    Branch,
    Ended,
    Entry,
    Found,
    Frost,
    Intention,
    MonthMean,
    Months,
    Normals,
    Origin,
    Pot,
    Settings,
    Site,
    StandingPlace,
    Targets,
    Tree,
    TrunkTarget,
)
from .weather_file import Extremes

__all__ = [
    "NOWHERE",
    "Branch",
    "Collection",
    "Ended",
    "Entry",
    "Found",
    "Frost",
    "Intention",
    "MonthMean",
    "Months",
    "Normals",
    "Origin",
    "Pot",
    "Settings",
    "Site",
    "StandingPlace",
    "Targets",
    "Tree",
    "TrunkTarget",
    "tag_key",
]


@dataclass(frozen=True, slots=True)
class Collection:
    """A folder, read. `trees` holds the sound files only; `problems` every fault of every file; `weather` the days known, °C; `claimed` the
    files of each tag that several claim, by its folded form; `teaching` what other files tell of the spring, each as a tree with that alone.
    """

    folder: str
    settings: Settings
    trees: tuple[Tree, ...]
    problems: tuple[Problem, ...] = ()
    files: int = 0
    characters: frozenset[str] = frozenset()  # those beyond ASCII that the files hold
    weather: Mapping[date, Extremes] = field(default_factory=dict)
    claimed: Mapping[str, frozenset[str]] = field(default_factory=dict)
    teaching: tuple[Tree, ...] = ()

    def tree(self, tag: str) -> Tree | None:
        """The tree of a tag, or of a number it had before (`also`); case does not matter."""
        wanted = tag_key(tag)
        for tree in self.trees:
            if tag_key(tree.tag) == wanted:
                return tree
        return next((t for t in self.trees if wanted in map(tag_key, t.also)), None)

    @property
    def living(self) -> tuple[Tree, ...]:
        """The trees that have not left the collection."""
        return tuple(t for t in self.trees if t.ended is None)


@lru_cache(maxsize=1 << 16)
def tag_key(tag: str) -> str:
    """What makes two tags the same: neither case nor Unicode form counts."""
    return unicodedata.normalize("NFKC", tag).casefold()
