"""How fast branches of a tree thicken, corrected by what the grower found under the wire."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from ...collection.model import Tree
from ...horticulture.knowledge import Knowledge
from ...season.marks import SiteYear
from ..rules.wire_bite import bite_ratio, learned_factor, thickened_mm, yearly_thickening
from ..tree_state import State, effective, wires_on


@dataclass(frozen=True, slots=True)
class Thickening:
    """mm a year, and how many looks at wire corrected the default."""

    mm_a_year: float
    looks: int = 0
    factor: float = 1.0

    @property
    def why(self) -> str:
        if not self.looks or abs(self.factor - 1) < 0.05:
            return ""
        looks = f"{self.looks} look" + ("s" if self.looks > 1 else "")
        return f"thickening taken {self.factor:.1f} times the usual, from {looks} at wire in your log"


@dataclass(frozen=True, slots=True)
class _Look:
    tag: str
    ratio: float


def thickening_of(tree: Tree, state: State, site: SiteYear, knowledge: Knowledge, group: str) -> Thickening:
    """A small branch's yearly thickening for this tree: by group, stage and rest, corrected by looks at wire."""
    plain = _plain(knowledge, group, "resting" if state.resting else state.stage)
    looks: tuple[_Look, ...] = site.kept(("looks", group), lambda: tuple(_looks(site, knowledge, group)))
    if not looks:
        return Thickening(plain)
    own = [look.ratio for look in looks if look.tag == tree.tag]
    factor = learned_factor([look.ratio for look in looks], own)
    return Thickening(plain * factor, len(looks), factor)


def _plain(knowledge: Knowledge, group: str, stage: str) -> float:
    return yearly_thickening(knowledge.groups[group].thickening, knowledge.thickening_factor.get(stage, 1.0))


def _looks(site: SiteYear, knowledge: Knowledge, group: str) -> Iterator[_Look]:
    """Every look at wire in the garden that says how far it had bitten, on trees of a group."""
    for tree in site.trees:
        if site.group_of(tree) != group or not any(entry.bite for entry in tree.log):
            continue
        entries = effective(tree.log, date.max)
        stage = ""
        for index, entry in enumerate(entries):
            stage = entry.stage or (entry.found.stage if entry.found and entry.found.stage else stage)
            if not entry.bite or not entry.date.is_day:
                continue
            for wire in wires_on(entries[:index]):
                if entry.branches and wire.branches and not set(entry.branches) & set(wire.branches):
                    continue
                mm = thickened_mm(site, wire.on.latest, entry.date.earliest, _plain(knowledge, group, stage))
                if mm is not None:
                    yield _Look(tree.tag, bite_ratio(mm, entry.bite))
