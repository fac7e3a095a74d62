"""How many of a tray are left after a line such as `3 dead, sold 12`: the count goes down, whatever stood there before. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..collection.dates import When
from ..collection.model import Entry, Tree
from .grammar.readings import Reading
from .grammar.tray import ending_question


def count_of(tree: Tree, entries: Sequence[Entry], day: When | None = None) -> int:
    """How many a tray counts, on a day or by the latest word; 1 for a tree."""
    told = sorted(
        (e for e in entries if e.count and (day is None or e.date.latest <= day.latest)), key=lambda e: e.date.latest
    )
    return (told[-1].count or tree.count) if told else tree.count


def counted_down(reading: Reading, tree: Tree, entries: Sequence[Entry], day: When) -> Reading:
    """The reading with the count that is left of this tray; a question where none is, or where that can't be told."""
    if not reading.less or not reading.parts:
        return reading
    first, *others = reading.parts
    told = next((e for e in entries if e.date == day and e.count and e.note == first.get("note")), None)
    if told is not None:  # typed before
        return replace(reading, parts=({**first, "count": told.count}, *others))
    count = count_of(tree, entries, day)
    left = count - reading.less
    if left > 0 and count_of(tree, entries) == count:
        return replace(reading, parts=({**first, "count": left}, *others))
    if left == 0:
        gone = ending_question(reading.gone)
        return replace(reading, question=gone.why, hint=gone.hint, proposal=gone.proposal)
    why = f"{reading.less} gone of {count}: how many are left?"
    return replace(reading, question=why, hint="write how many are left: count 25")
