"""Work that is the same for each of many trees, done by two processes where the machine has two.

Each takes the next few items that nobody has taken yet, so that the quicker one does more: a machine's second core is often somebody
else's too. What comes back was written by our own process. Whatever goes wrong in the other process, what it took is done here instead,
so that the result is the same on every machine.
"""

from __future__ import annotations

import marshal
import os
import pickle
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from math import ceil
from typing import BinaryIO, TypeVar, cast

from ..values import dataclass

T = TypeVar("T")
D = TypeVar("D")
PICKLED_AT_ONCE = 25
FEWEST = 150  # items for which a second process is worth its start
MOST_SPANS = 250  # a byte tells each of them


@dataclass(frozen=True, slots=True)
class Way:
    """How what one process made reaches the other, and how much of the work the other does at most."""

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
    made = {0: data_of(items[0])}  # what all share is made before the two part
    untaken = _untaken(len(items))
    pipe, pid = _started(items, data_of, untaken, way)
    try:
        for span in _taken(untaken, len(items)):
            made.update((n, data_of(items[n])) for n in span)
    except BaseException:
        os.read(untaken, MOST_SPANS)  # nothing is left for the other process either
        _told(pipe, pid, way)
        raise
    finally:
        os.close(untaken)
    made.update(_told(pipe, pid, way))
    return [made[n] if n in made else data_of(item) for n, item in enumerate(items)]


def _can_fork() -> bool:
    return hasattr(os, "fork") and (os.cpu_count() or 1) > 1 and threading.active_count() == 1


def _untaken(count: int) -> int:
    """The reading end of a pipe with a byte for each span of items; whoever reads a byte has taken its span."""
    reads, writes = os.pipe()
    os.write(writes, bytes(range(ceil((count - 1) / _length(count)))))
    os.close(writes)
    return reads


def _length(count: int) -> int:
    """How many items are taken at once, behind the first."""
    return ceil((count - 1) / MOST_SPANS)


def _taken(untaken: int, count: int) -> Iterator[range]:
    """Spans of items, each taken by one process alone, until there are no more."""
    length = _length(count)
    while number := os.read(untaken, 1):
        first = 1 + number[0] * length
        yield range(first, min(first + length, count))


def _started(items: Sequence[T], data_of: Callable[[T], D], untaken: int, way: Way) -> tuple[int, int]:
    """The reading end of a pipe, and the process that writes into it what it made, each with its number."""
    reads, writes = os.pipe()
    pid = os.fork()
    if pid:
        os.close(writes)
        return reads, pid
    code = 1
    try:
        os.close(reads)
        made: list[tuple[int, D]] = []
        for span in _taken(untaken, len(items)):
            made += [(n, data_of(items[n])) for n in span]
            if len(made) >= way.share * len(items):
                break
        with os.fdopen(writes, "wb") as end:
            way.dump(made, end)
        code = 0
    finally:
        os._exit(code)  # nothing of the parent's is flushed or told twice


def _told(pipe: int, pid: int, way: Way) -> dict[int, D]:
    """What the other process made, by its number; nothing where it came to grief."""
    made: object = ()
    with os.fdopen(pipe, "rb") as end, suppress(EOFError, ValueError, TypeError, pickle.UnpicklingError):
        made = way.load(end)  # or it was cut short
    _, status = os.waitpid(pid, 0)
    return dict(cast("list[tuple[int, D]]", made)) if status == 0 else {}
