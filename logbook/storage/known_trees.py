"""Which trees' files stood in a collection when it was last written to, so that a folder that is not all there is noticed.

A synced folder may come late or in part, a disk may not be mounted: `trees/` is empty then, and every number in it looks free.
The names are kept in `.journal/known-trees`; without that file nothing is missed.
"""

from __future__ import annotations

import json
from collections.abc import Iterable

from ..diagnostics import counted, listed
from .disk import Disk
from .journal import FOLDER, Journal

PATH = f"{FOLDER}/known-trees"
TREES = "trees"
FEWEST = 3  # trees that have to be gone before all work waits
SHOWN = 4


def is_tree(name: str) -> bool:
    """Whether a file of `trees/` is one; hidden ones belong to editors and syncing programs."""
    return name.endswith(".yaml") and not name.startswith(".")


def known(raw: bytes | None) -> frozenset[str]:
    """The names on record; none where there is no record, or it is damaged."""
    try:
        names = json.loads((raw or b"").decode("utf-8"))["trees"]
        found = frozenset(names) if isinstance(names, list) else frozenset[str]()
    except (ValueError, KeyError, TypeError, RecursionError):
        return frozenset()
    return found if all(isinstance(name, str) and is_tree(name) for name in found) else frozenset()


def recorded(disk: Disk) -> frozenset[str]:
    """The names on record on a disk."""
    try:
        return known(disk.read(PATH))
    except OSError:
        return frozenset()


def gone_told(gone: Iterable[str]) -> str:
    """The files that are not there any more, the first of them by name."""
    names = sorted(f"{TREES}/{name}" for name in gone)
    more = [counted(len(names) - SHOWN, "more", "more")] if len(names) > SHOWN else []
    return listed([*names[:SHOWN], *more], "and")


def most_are_gone(before: frozenset[str], gone: frozenset[str]) -> bool:
    """Whether so many are gone that it was hardly the grower."""
    return len(gone) >= FEWEST and 2 * len(gone) >= len(before)


def gone(disk: Disk) -> frozenset[str]:
    """The names on record that stand there no more."""
    before = recorded(disk)
    return before - frozenset(disk.names(TREES)) if before else before


def note(disk: Disk) -> None:
    """Put on record what stands there now."""
    _put(disk, recorded(disk), frozenset(filter(is_tree, disk.names(TREES))))


def follow(disk: Disk, journal: Journal, refused: Iterable[str]) -> None:
    """Put on record what a batch makes or takes away again, where there is a record. Safe to do again."""
    before = recorded(disk)
    made = {change.path.rpartition("/")[2] for change in journal.changes if _is_new_tree(change.path, change.kind)}
    made -= {path.rpartition("/")[2] for path in refused}
    if before and made:
        _put(disk, before, before | made if journal.kind == "write" else before - made)


def _is_new_tree(path: str, kind: str) -> bool:
    folder, _, name = path.rpartition("/")
    return kind == "new" and folder == TREES and is_tree(name)


def _put(disk: Disk, before: frozenset[str], now: frozenset[str]) -> None:
    if now == before:
        return
    part = f"{FOLDER}/.known-trees.part"
    disk.write(part, (json.dumps({"format": 1, "trees": sorted(now)}, indent=0, ensure_ascii=False) + "\n").encode())
    disk.rename(part, PATH)
