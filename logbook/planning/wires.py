"""Wire that is on a tree, by its log: what was put on, looked at and taken off, branch by branch."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from ..collection.dates import When
from ..collection.model import Entry, Tree
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Thing, Work
from ..values import dataclass

BITES = ("starting", "cut")


@dataclass(frozen=True, slots=True)
class WireOn:
    """Wire that is on the tree; no `branches` means the entry did not say which: then its `note` may."""

    on: When
    branches: tuple[str, ...] = ()
    metal: str = ""
    sizes: tuple[float, ...] = ()
    keep: bool = False
    looked: date | None = None
    bite: str = ""
    note: str = ""

    @property
    def bites(self) -> bool:
        """Whether the last look found it biting."""
        return self.bite in BITES


def wires_on(entries: Iterable[Entry], knowledge: Knowledge, tree: Tree) -> tuple[WireOn, ...]:
    """Wire still on a tree after these entries of its log, which stand in order.

    Wire of no named branch comes off where all branches of the tree's table are named as cleared at once.
    """
    wires: list[WireOn] = []
    table = frozenset(branch.id for branch in tree.branches)
    for entry in entries:
        if entry.work or entry.found:  # no other speaks of wire
            wires = _wires_after(wires, entry, knowledge.works.get(entry.work), table)
    return tuple(wires)


def _wires_after(wires: list[WireOn], entry: Entry, work: Work | None, known: frozenset[str]) -> list[WireOn]:
    """The wires that were on before an entry, as it leaves them."""
    if work is None:
        return [*wires, *_wires_found(entry)]
    if Thing.WIRE in work.puts:
        return [*wires, WireOn(entry.date, entry.branches, entry.metal, entry.wire, entry.keep, note=entry.note)]
    if Thing.WIRE in work.looks:
        return [_looked_at(w, entry) if _concerns(entry, w) else w for w in wires]
    if Thing.WIRE in work.takes:
        return [] if known and known <= set(entry.branches) else _off(wires, entry.branches)
    with_its_branch = Thing.BRANCH in work.takes and entry.branches
    return _off(wires, entry.branches) if with_its_branch else wires


def _wires_found(entry: Entry) -> list[WireOn]:
    """What a tree that was just taken over came with."""
    return [WireOn(entry.found.wired)] if entry.found and entry.found.wired else []


def _concerns(entry: Entry, wire: WireOn) -> bool:
    return not entry.branches or not wire.branches or bool(set(entry.branches) & set(wire.branches))


def _looked_at(wire: WireOn, entry: Entry) -> WireOn:
    looked = entry.date.latest
    return WireOn(wire.on, wire.branches, wire.metal, wire.sizes, wire.keep, looked, entry.bite, wire.note)


def _off(wires: Iterable[WireOn], branches: tuple[str, ...]) -> list[WireOn]:
    """The wires that stay when it comes off these branches; none named means all."""
    gone = frozenset(branches)
    if not gone:
        return []
    return [left for w in wires if (left := w if gone.isdisjoint(w.branches) else _without(w, gone))]


def _without(wire: WireOn, gone: frozenset[str]) -> WireOn | None:
    """The wire that is left on other branches than these."""
    left = tuple(b for b in wire.branches if b not in gone)
    return replace(wire, branches=left) if left else None
