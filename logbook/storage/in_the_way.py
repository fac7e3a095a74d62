"""What stands where the records of a collection have to be and is none: moved aside, so that nothing waits for it.

A synced folder, a slip with a file manager or somebody's spite may leave a folder where a file should be, a pipe, a device. None
of them can be read as a record, and each would stop every run.
"""

from __future__ import annotations

from .disk import Disk
from .journal import DONE, FOLDER, KEPT
from .placing import keep_aside

NOTES = "notes"
PRINTED = "printed"
_INNER = {FOLDER: (DONE, KEPT), NOTES: (f"{NOTES}/pictures",), DONE: ()}
_RECORDS = (".json", ".txt", ".part")


def clear(disk: Disk) -> list[str]:
    """Move it to `.journal/kept/`, or beside the journal's own folders, and give the paths it has there."""
    moved = _make_room(disk)
    moved += [_aside(disk, path, path) for path in (NOTES, PRINTED) if disk.kind(path) in ("file", "other")]
    for folder, inner in _INNER.items():
        if disk.kind(folder) != "folder":
            continue
        for name in disk.names(folder):
            path = f"{folder}/{name}"
            kind = disk.kind(path)
            if path not in inner and kind != "file" and name.endswith(_RECORDS):
                moved.append(_aside(disk, path, name))
    return moved


def _aside(disk: Disk, path: str, name: str) -> str:
    return f"{KEPT}/{keep_aside(disk, path, name)}"


def _make_room(disk: Disk) -> list[str]:
    """The journal's own folders come first, since the rest is moved into them."""
    moved = []
    for path in (FOLDER, KEPT, DONE):
        if disk.kind(path) in ("file", "other"):
            number = 1
            while disk.kind(f"{path}.kept-{number}"):
                number += 1
            disk.rename(path, f"{path}.kept-{number}")
            moved.append(f"{path}.kept-{number}")
    return moved
