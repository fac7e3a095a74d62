"""A collection opened to be changed: the lock, what was cut short, and what is read inside the lock; and one that is begun."""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TypeVar

from ..diagnostics import Problem, ProblemsFound, stop
from . import placing
from .disk import Disk, Overlay, RealDisk, why
from .journal import Hooks, unfinished
from .store import CUT_SHORT, PLANTED, Store

LOCK = ".lock"
PATIENCE_SECONDS = 30.0

Loaded = TypeVar("Loaded")


@contextlib.contextmanager
def opened(
    folder: Path,
    hooks: Hooks,
    load: Callable[[Mapping[str, bytes | None]], Loaded],
    *,
    dry_run: bool = False,
    first: Callable[[Store], None] = lambda _: None,
) -> Iterator[tuple[Store, Loaded]]:
    """The collection's store, and what `load` makes of the folder, read inside the lock; `first` is done before it is read.

    `load` gets what stands in memory in place of files: nothing, but in a dry run over a batch that was cut short.
    Raises ProblemsFound where another process holds the collection, or the folder can't be written to.
    """
    with _unlocked(folder) if dry_run else _locked(folder):
        disk: Disk = RealDisk(folder)
        store = Store(Overlay(disk) if dry_run else disk, hooks, dry_run=dry_run)
        first(store)
        if not dry_run or (folder / ".journal").is_dir():
            store.recover()
        try:
            loaded = load(store.instead)
            yield store, loaded
            store.note_trees()
        except ProblemsFound as found:
            before = tuple(Problem(line, severity="warning") for line in store.told())
            raise ProblemsFound((*before, *found.problems)) from None


def plant(folder: Path, files: Sequence[tuple[str, bytes]]) -> None:
    """Make the files of a new collection, in order; the last one makes it a collection, and must not be there.

    One that is there word for word already, since a run was cut short, is left as it is. Raises FileExistsError for another one.
    """
    with _locked(folder):
        disk = RealDisk(folder)
        last = files[-1][0]
        placing.clear_planted(disk, PLANTED, dict(files))
        if disk.read(last) is not None:
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), last)
        for path, data in files:
            if disk.read(path) != data:
                placing.create_now(disk, path, data)


def clear_planted(folder: Path) -> None:
    """See to a half-written file that a run of `plant` left which came to its end all the same."""
    if any(map(is_left_over, RealDisk(folder).names(""))):
        with _locked(folder):
            placing.clear_planted(RealDisk(folder), PLANTED)


def is_left_over(name: str) -> bool:
    """Whether a file's name is that of one which was being written."""
    return name.startswith(".") and name.endswith(".part")


def cut_short(folder: Path) -> list[str]:
    """A word about a batch that still waits to be finished."""
    return [CUT_SHORT] if unfinished(RealDisk(folder)) else []


@contextlib.contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """One process at a time. Raises ProblemsFound where another one stays too long."""
    from filelock import FileLock, Timeout

    if (folder / LOCK).is_symlink():
        raise stop("the lock is a link: what it leads to would be emptied", path=str(folder / LOCK), hint="delete it")
    lock = FileLock(str(folder / LOCK))
    try:
        lock.acquire(timeout=PATIENCE_SECONDS)
    except Timeout:
        raise stop(
            "another benchleaf is writing to this collection", path=str(folder), hint="wait for it, then run again"
        ) from None
    except OSError as error:
        raise stop(
            f"this folder can't be written to: {why(error)}",
            path=str(folder),
            hint="see its permissions and the room on the disk; nothing was changed",
        ) from None
    try:
        yield
    finally:
        lock.release()


@contextlib.contextmanager
def _unlocked(folder: Path) -> Iterator[None]:
    """For a dry run: waits for who is writing where there is a lock to wait for, and never makes one."""
    from filelock import FileLock, Timeout

    lock = FileLock(str(folder / LOCK))
    if (folder / LOCK).is_file():
        with contextlib.suppress(OSError, Timeout):  # it is only looked at: an answer without the lock will do
            lock.acquire(timeout=PATIENCE_SECONDS)
    try:
        yield
    finally:
        if lock.is_locked:
            lock.release()
