"""One process at a time writes to a collection, and the first thing it does is to finish what was cut short."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..diagnostics import counted, stop
from ..intake.archive import start, the_hand
from ..storage.disk import Disk, RealDisk
from ..storage.journal import Outcome, unfinished

PATIENCE_SECONDS = 10


@contextmanager
def locked(folder: Path) -> Iterator[tuple[Disk, list[str]]]:
    """The collection's disk, and what had to be finished first. Raises ProblemsFound where another process holds it."""
    from filelock import FileLock, Timeout

    lock = FileLock(str(folder / ".lock"))
    try:
        lock.acquire(timeout=PATIENCE_SECONDS)
    except Timeout:
        raise stop(
            "another benchleaf is writing to this collection", path=str(folder), hint="wait for it, then run again"
        ) from None
    except OSError as error:
        raise stop(
            f"this folder can't be written to: {(error.strerror or str(error)).lower()}",
            path=str(folder),
            hint="see its permissions and the room on the disk; nothing was changed",
        ) from None
    try:
        disk = RealDisk(folder)
        yield disk, [_told(outcome) for outcome in start(disk, the_hand())]
    finally:
        lock.release()


def cut_short(folder: Path) -> list[str]:
    """A word about a batch that still waits to be finished."""
    if not unfinished(RealDisk(folder)):
        return []
    return ["an earlier run was cut short; the next run that writes finishes it first"]


def _told(outcome: Outcome) -> str:
    count = counted(sum(len(c.entries) for c in outcome.journal.changes), "entry", "entries")
    left = f"; left undone: {', '.join(outcome.refused)}" if outcome.refused else ""
    return f"finished a run of {outcome.journal.day} that was cut short ({count}{left})"
