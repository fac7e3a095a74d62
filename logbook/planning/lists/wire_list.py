"""What wire a session needs: for each branch the size, the length to cut and the turns, and the totals by size."""

from __future__ import annotations

from collections.abc import Iterable

from ...collection.model import Branch, Tree
from ...formulas.wire_gauge import Choice, Size, choose, helix_turns, length_to_cut_mm
from ...values import dataclass
from ..tree_state import State

TIP_SHARE = 0.5  # a branch's tip against its base, where nothing is known; common practice, no source
WIRED_ROLES = ("keep", "undecided")


@dataclass(frozen=True, slots=True)
class Laid:
    """Wire for one branch; no length where the branch's own is not on record. `cut_mm` is for each of the wires."""

    branch: Branch
    choice: Choice | None
    cut_mm: float | None = None
    turns: float | None = None


@dataclass(frozen=True, slots=True)
class Total:
    """All the wire of one size that is needed, m."""

    size: Size
    metres: float

    @property
    def grams(self) -> float:
        """Its weight, g."""
        return self.metres * self.size.grams_a_metre


def wire_for(tree: Tree, state: State, metal: str) -> list[Laid]:
    """Branches that stay or may stay, have a diameter on record and no wire on them."""
    wired = {b for wire in state.wires for b in wire.branches}
    rows = []
    for branch in tree.branches:
        if branch.role in WIRED_ROLES and branch.diameter and branch.id not in wired | state.removed:
            rows.append(laid_on(branch, metal))
    return rows


def laid_on(branch: Branch, metal: str) -> Laid:
    """The wire for one branch; its tip is taken as half its base."""
    assert branch.diameter is not None
    choice = choose(branch.diameter, metal)
    if choice is None or not branch.length:
        return Laid(branch, choice)
    base, tip, wire = branch.diameter, branch.diameter * TIP_SHARE, choice.size.mm
    cut = length_to_cut_mm(branch.length, base, tip, wire)
    return Laid(branch, choice, cut, helix_turns(branch.length, base, tip, wire))


def totals(rows: Iterable[Laid]) -> list[Total]:
    """Metres of each size, thick to thin, of the rows whose length is known."""
    metres: dict[Size, float] = {}
    for row in rows:
        if row.choice and row.cut_mm:
            metres[row.choice.size] = metres.get(row.choice.size, 0.0) + row.cut_mm * row.choice.count / 1000
    return [Total(size, metres[size]) for size in sorted(metres, key=lambda s: -s.mm)]
