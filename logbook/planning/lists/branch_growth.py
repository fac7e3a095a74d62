"""How fast branches of a tree thicken, corrected by what the grower found under the wire."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from ...collection.model import Tree
from ...horticulture.knowledge import Knowledge
from ...season.cache import Slot
from ...values import dataclass
from ..garden import Garden
from ..rules.wire_bite import bite_ratio, learned_factor, thickened_mm, yearly_thickening
from ..tree_state import State, effective
from ..wires import wires_on

WORTH_TELLING = 0.05


@dataclass(frozen=True, slots=True)
class Thickening:
    """mm a year, and how many looks at wire corrected the default."""

    mm_a_year: float
    looks: int = 0
    factor: float = 1.0

    @property
    def told(self) -> bool:
        """Whether the correction is worth a word."""
        return bool(self.looks) and abs(self.factor - 1) >= WORTH_TELLING


@dataclass(frozen=True, slots=True)
class _Look:
    tag: str
    ratio: float


_BITTEN: Slot[None, list[Tree]] = Slot("trees on which wire was looked at")
_LOOKS: Slot[str, tuple[_Look, ...]] = Slot("looks at wire by group")


def thickening_of(tree: Tree, state: State, garden: Garden, group: str) -> Thickening:
    """A small branch's yearly thickening for this tree: by group, stage and rest, corrected by looks at wire."""
    plain = _plain(garden.knowledge, group, "resting" if state.resting else state.stage)
    looks = garden.site.cache.get(_LOOKS, group, lambda: tuple(_looks(garden, group)))
    if not looks:
        return Thickening(plain)
    own = [look.ratio for look in looks if look.tag == tree.tag]
    factor = learned_factor([look.ratio for look in looks], own)
    return Thickening(plain * factor, len(looks), factor)


def _plain(knowledge: Knowledge, group: str, stage: str) -> float:
    return yearly_thickening(knowledge.groups[group].thickening, knowledge.thickening_factor.get(stage, 1.0))


def _looks(garden: Garden, group: str) -> Iterator[_Look]:
    """Every look at wire in the garden that says how far it had bitten, on trees of a group."""
    bitten = garden.site.cache.get(_BITTEN, None, lambda: [t for t in garden.trees if any(e.bite for e in t.log)])
    for tree in bitten:
        if garden.group_of(tree) == group:
            yield from _looks_at(tree, garden, group)


def _looks_at(tree: Tree, garden: Garden, group: str) -> Iterator[_Look]:
    entries = effective(tree.log, date.max, garden.knowledge)
    stage, since = "", tree.came_over or date.min
    for index, entry in enumerate(entries):
        stage = entry.stage or (entry.found.stage if entry.found and entry.found.stage else stage)
        if not entry.bite or not entry.date.is_day or entry.date.earliest < since:
            continue
        for wire in wires_on(entries[:index], garden.knowledge, tree):
            if entry.branches and wire.branches and not set(entry.branches) & set(wire.branches):
                continue
            yearly = _plain(garden.knowledge, group, stage)
            mm = thickened_mm(garden.site, wire.on.latest, entry.date.earliest, yearly)
            if mm is not None:
                yield _Look(tree.tag, bite_ratio(mm, entry.bite))
