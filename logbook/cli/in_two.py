"""Work that is the same for each of many trees, done by two processes where the machine has two.

What comes back was written by our own process. Whatever goes wrong in the other process, its share is done here instead, so that
the result is the same on every machine.
"""

from __future__ import annotations

import marshal
import os
import pickle
import threading
from collections.abc import Callable, Sequence
from typing import BinaryIO, TypeVar, cast

from ..values import dataclass

T = TypeVar("T")
D = TypeVar("D")
PICKLED_AT_ONCE = 25
FEWEST = 150  # items for which a second process is worth its start


@dataclass(frozen=True, slots=True)
class Way:
    """How what one process made reaches the other, and how much of the work the other is given."""

    dump: Callable[[object, BinaryIO], object]
    load: Callable[[BinaryIO], object]
    share: float = 0.5


def _dump_objects(made: object, end: BinaryIO) -> None:
    """So many at a time: what a pickle has told it holds until its end."""
    some = cast("list[object]", made)
    for first in range(0, len(some), PICKLED_AT_ONCE):
        pickle.dump(some[first : first + PICKLED_AT_ONCE], end, pickle.HIGHEST_PROTOCOL)
    pickle.dump(None, end)


def _load_objects(end: BinaryIO) -> object:
    some: list[object] = []
    while (more := pickle.load(end)) is not None:
        some += more
    return some


PLAIN = Way(marshal.dump, marshal.load)  # type: ignore[arg-type] # what is plain, by whoever calls
OBJECTS = Way(_dump_objects, _load_objects, 0.42)  # which takes both of them time


def in_two(items: Sequence[T], data_of: Callable[[T], D], way: Way = PLAIN) -> list[D]:
    """`data_of` each item, in their order."""
    if len(items) < FEWEST or not _can_fork():
        return [data_of(item) for item in items]
    first = data_of(items[0])  # what all share is made before the two part
    middle = round(len(items) * (1 - way.share))
    theirs = items[middle:]
    pipe, pid = _started(theirs, data_of, way)
    ours = [first, *(data_of(item) for item in items[1:middle])]
    told = _told(pipe, pid, way)
    return ours + (cast("list[D]", told) if told is not None else [data_of(item) for item in theirs])


def _can_fork() -> bool:
    return hasattr(os, "fork") and (os.cpu_count() or 1) > 1 and threading.active_count() == 1


def _started(items: Sequence[T], data_of: Callable[[T], D], way: Way) -> tuple[int, int]:
    """The reading end of a pipe, and the process that writes the items' data into it."""
    reads, writes = os.pipe()
    pid = os.fork()
    if pid:
        os.close(writes)
        return reads, pid
    code = 1
    try:
        os.close(reads)
        with os.fdopen(writes, "wb") as end:
            way.dump([data_of(item) for item in items], end)
        code = 0
    finally:
        os._exit(code)  # nothing of the parent's is flushed or told twice


def _told(pipe: int, pid: int, way: Way) -> object | None:
    """What the other process wrote; None where it came to nothing."""
    with os.fdopen(pipe, "rb") as end:
        try:
            made = way.load(end)
        except (EOFError, ValueError, TypeError, pickle.UnpicklingError):
            made = None  # it was cut short
    _, status = os.waitpid(pid, 0)
    return made if status == 0 else None
