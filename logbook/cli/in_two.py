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
from typing import TypeVar, cast

from ..values import dataclass

T = TypeVar("T")
D = TypeVar("D")
FEWEST = 150  # items for which a second process is worth its start


@dataclass(frozen=True, slots=True)
class Way:
    """How what one process made reaches the other, and how much of the work the other is given."""

    dumps: Callable[[object], bytes]
    loads: Callable[[bytes], object]
    share: float = 0.5


PLAIN = Way(marshal.dumps, marshal.loads)  # type: ignore[arg-type] # what is plain, by whoever calls
OBJECTS = Way(
    lambda made: pickle.dumps(made, pickle.HIGHEST_PROTOCOL), pickle.loads, 0.42
)  # which takes both of them time


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
        text = memoryview(way.dumps([data_of(item) for item in items]))
        while text:
            text = text[os.write(writes, text) :]
        code = 0
    finally:
        os._exit(code)  # nothing of the parent's is flushed or told twice


def _told(pipe: int, pid: int, way: Way) -> object | None:
    """What the other process wrote; None where it came to nothing."""
    with os.fdopen(pipe, "rb") as end:
        text = end.read()
    _, status = os.waitpid(pid, 0)
    return way.loads(text) if status == 0 else None
