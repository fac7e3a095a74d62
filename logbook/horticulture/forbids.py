"""What finished works forbid, and the states in which a tree is left alone: the table of forbids.yaml as frozen values.

Decides nothing about a tree; `planning.condition` asks it. Common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from enum import StrEnum

from ..values import dataclass
from .work import HEAVY, Kind, Work


@dataclass(frozen=True, slots=True)
class Match:
    """Which works a line speaks of: by kind, by what they act as; `heavy` and `hard` name those that count only so."""

    kinds: frozenset[Kind] = frozenset()
    acts: frozenset[str] = frozenset()
    heavy: frozenset[str] = frozenset()
    hard: frozenset[str] = frozenset()
    hard_roots: bool = False
    others: bool = False

    def was(self, work: Work, force: str, roots: str) -> bool:
        """Whether a finished turn is meant; roots of which nothing is said count as hard."""
        if self.hard_roots and roots not in ("", "hard"):
            return False
        if work.kind_of_turn(force) in self.kinds or self.acts.intersection(work.acts):
            return True
        return force == HEAVY and bool(self.heavy.intersection((work.kind, *work.acts)))

    def forbids(self, work: Work) -> bool:
        """Whether a work that may come is meant, however lightly it is done."""
        return (
            work.kind_of_turn("") in self.kinds or bool(self.acts.intersection(work.acts)) or self._only_heavy(work)
        )

    def _only_heavy(self, work: Work) -> bool:
        """Works that are never light count as heavy ones."""
        return work.light_kind is None and bool(self.heavy.intersection((work.kind, *work.acts)))

    def forbids_heavy(self, work: Work) -> bool:
        """Whether only its heavy turns, or hard roots, are meant."""
        heavy = work.light_kind is not None and bool(self.heavy.intersection((work.kind, *work.acts)))
        return heavy or work.kind in self.hard


@dataclass(frozen=True, slots=True)
class Until:
    """When a line ends: at the end of so many growing seasons, after months or growing weeks, or when shoots hardened."""

    seasons: int = 0
    months: int = 0
    weeks: int = 0
    hardened: bool = False


@dataclass(frozen=True, slots=True)
class Forbid:
    """One line: after which works, which others wait, until when; for trees of `groups` (all where empty)."""

    after: Match
    works: Match
    until: Until
    groups: frozenset[str] = frozenset()


class State(StrEnum):
    """Why a tree is left alone."""

    RESCUED = "rescued"
    LIFTED = "lifted"
    LIFTED_CONIFER = "lifted conifer"
    TROUBLE = "trouble"
    LAYERED = "layered"
    RESTING = "resting"


@dataclass(frozen=True, slots=True)
class HoldRule:
    """The kinds of work that wait in a state, for how many growing seasons at least, and whether strength must be proven."""

    kinds: frozenset[Kind]
    seasons: int = 0
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Separating:
    """When a layer or graft on trees of these groups may be separated: growing weeks, or whole growing seasons."""

    groups: frozenset[str]
    until: Until


@dataclass(frozen=True, slots=True)
class Forbids:
    """The whole table."""

    lines: tuple[Forbid, ...] = ()
    holds: Mapping[State, HoldRule] = field(default_factory=dict)
    separating: tuple[Separating, ...] = ()
    vigour_months: int = 15
