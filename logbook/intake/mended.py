"""Notes given again after a line that waits was mended in them: the mended line takes the place of the one that waits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from difflib import SequenceMatcher

from ..storage.disk import Disk
from .grammar.headers import WAITED
from .grammar.readings import Reading
from .line_status import FOLDER, WAITING, waiting

LIKE = 0.7  # how much of a line stays where a slip in it is mended; less is another line


def mended_in(disk: Disk, text: str) -> Mapping[int, tuple[str, int]]:
    """The lines of a text that were mended since it was given before, each with the notes and the line that waits."""
    found: dict[int, tuple[str, int]] = {}
    for name, numbers in _open_lines(disk).items():
        old = (disk.read(f"{FOLDER}/{name}") or b"").decode("utf-8-sig", "replace")
        found |= {number: (name, number) for number in _changed(old.splitlines(), text.splitlines(), numbers)}
    return found


def _open_lines(disk: Disk) -> dict[str, set[int]]:
    """The lines that wait, by their notes, as `waiting.txt` names them."""
    found: dict[str, set[int]] = {}
    for line in (disk.read(f"{FOLDER}/{WAITING}") or b"").decode("utf-8", "replace").splitlines():
        told = WAITED.match(line)
        if told:
            found.setdefault(told[1], set()).add(int(told[2]))
    return found


def _changed(old: list[str], new: list[str], waiting: set[int]) -> Iterator[int]:
    """The numbers of lines that wait and are changed, where all others stand as they stood; more may follow."""
    if len(new) < len(old) or new[: len(old)] == old:
        return
    changed = [n for n, (was, now) in enumerate(zip(old, new, strict=False), start=1) if was != now]
    if len(changed) < len(old) and all(n in waiting and _alike(old[n - 1], new[n - 1]) for n in changed):
        yield from changed


def _alike(one: str, other: str) -> bool:
    return SequenceMatcher(None, one, other, autojunk=False).ratio() >= LIKE


def as_typed(readings: Sequence[Reading], disk: Disk) -> list[Reading]:
    """Lines that were given back as they wait, with the words in which they were typed first."""
    if not any(reading.mends for reading in readings):
        return list(readings)
    waits = {((row.notes, row.number), row.text): row.typed for row in waiting(disk) if row.day}
    return [replace(r, typed=waits.get((r.mends, " ".join(r.text.split())), "")) if r.mends else r for r in readings]
