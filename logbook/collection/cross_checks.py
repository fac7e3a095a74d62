"""What is wrong between files, or between the parts of one: a tag that two claim, a branch that stands twice, an entry behind a tree's end."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import chain
from pathlib import Path

from ..diagnostics import Problem
from .model import Tree, tag_key

_COPY = re.compile(r"conflict|copy|\(\d+\)", re.IGNORECASE)


def tag_clashes(trees: list[Tree]) -> tuple[list[Problem], dict[str, frozenset[str]]]:
    """Two files, one tag: both wait, since nobody can say which the pot belongs to."""
    owners: dict[str, list[Tree]] = {}
    for tree in trees:
        owners.setdefault(tag_key(tree.tag), []).append(tree)
    clashing = [same for same in owners.values() if len(same) > 1]
    problems = [problem for same in clashing for problem in _shared_tag(same)]
    problems += [problem for tree in trees for problem in _reused_numbers(tree, owners)]
    return problems, {tag_key(same[0].tag): frozenset(tree.path for tree in same) for same in clashing}


def _shared_tag(same: list[Tree]) -> Iterator[Problem]:
    """The faults of files with one tag: one for each file behind the first."""
    for tree in same[1:]:
        yield Problem(f"the tag '{tree.tag}' belongs to {same[0].path} too", tree.place, _clash_hint(same))


def _reused_numbers(tree: Tree, owners: Mapping[str, list[Tree]]) -> Iterator[Problem]:
    """The faults of a tree's older numbers that are another tree's tag now."""
    for old in tree.also:
        for other in owners.get(tag_key(old), ()):
            if other is not tree:
                yield Problem(
                    f"'{old}' is an older number of this tree, and the tag of {other.path}",
                    tree.place,
                    "a tag is never used again: give one of them another",
                )


def _clash_hint(same: list[Tree]) -> str:
    """A copy that a syncing program leaves beside a file is another matter than a tag given twice."""
    names = [Path(tree.path).stem for tree in same]
    plain = min(names, key=len)
    copies = [n for n in names if n != plain and (n.startswith(plain) or _COPY.search(n))]
    if copies:
        return (
            f"'{copies[0]}' looks like a copy left by a syncing program: compare the two, keep one, delete the other"
        )
    return "a tag is never used again: give one of the trees another"


def cross_checks(folder: Path, trees: list[Tree]) -> list[Problem]:
    """What is wrong between the parts of a tree's file, tree by tree: branches first, then the log."""
    root = folder.resolve()
    return [problem for tree in trees for problem in chain(_branch_checks(tree), _log_checks(tree, root))]


def _branch_checks(tree: Tree) -> Iterator[Problem]:
    seen: set[str] = set()
    for branch in tree.branches:
        if branch.id in seen:
            yield Problem(
                f"the branch '{branch.id}' stands in the table twice",
                branch.place,
                "branch numbers are never used again: take the next free one",
            )
        seen.add(branch.id)


def _log_checks(tree: Tree, root: Path) -> Iterator[Problem]:
    left = tree.ended.date.latest if tree.ended else None
    for entry in tree.log:
        if entry.photo and not (root / entry.photo).resolve().is_relative_to(root):
            yield Problem(
                f"the photo '{entry.photo}' lies outside the collection",
                tree.place_of(entry),
                "copy it into photos/ and name it from there",
            )
        if left is not None and entry.date.earliest > left and not entry.note:
            yield Problem(
                "this entry is later than the day the tree left the collection",
                tree.place_of(entry),
                "correct one of the two dates",
                "warning",
            )
