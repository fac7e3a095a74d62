"""A tree as its log tells it: what notes said of its place, aim, front, style, targets and branches stands over its file's own keys."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TypeVar

from .fields import Branch, Entry, Targets, Tree

Told = TypeVar("Told", Branch, Targets)
BENCH = "bench"
PLAIN = (BENCH, "aim", "front", "style")
UNDECIDED = "undecided"  # what a branch is for where nobody says


def as_logged(tree: Tree, digest: str = "") -> Tree:
    """The tree, read from a file of this hash, with what its entries tell of it, in the order of their days; `first_bench` keeps where it stood before."""
    telling = [
        entry for entry in tree.log if entry.targets or entry.placed or any(getattr(entry, key) for key in PLAIN)
    ]
    tree = replace(tree, first_bench=tree.bench, digest=digest)
    since = tree.came_over if telling else None
    for entry in sorted(telling, key=lambda entry: entry.date.earliest):
        tree = _told(tree, entry, here=since is None or entry.date.earliest >= since)
    return tree


def _told(tree: Tree, entry: Entry, *, here: bool) -> Tree:
    """What an entry of another garden says of a bench is no bench here."""
    said = {key: value for key in PLAIN if (value := getattr(entry, key)) and (here or key != BENCH)}
    targets = _over(tree.targets, entry.targets) if entry.targets else tree.targets
    return replace(tree, **said, targets=targets, branches=_placed(tree.branches, entry.placed))


def _placed(table: tuple[Branch, ...], told: tuple[Branch, ...]) -> tuple[Branch, ...]:
    """The branch table with what was told of some: a known one is told more of, a new one stands last."""
    by_id = {branch.id: branch for branch in table}
    for branch in told:
        before = by_id.get(branch.id)
        by_id[branch.id] = branch if before is None else _over(before, branch)
    return tuple(by_id.values())


def _over(before: Told, told: Told) -> Told:
    """What was told, over what stood before; what was not told stays."""
    given = {
        field.name: value
        for field in fields(told)
        if (value := getattr(told, field.name)) not in (None, "", UNDECIDED) and field.name != "place"
    }
    return replace(before, **given)
