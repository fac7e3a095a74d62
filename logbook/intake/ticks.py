"""A tick and a written line of one work, tree and day are one entry: the line's, with what only the tick tells."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from ..collection.dates import When
from ..collection.model import tag_key
from .days import Day
from .grammar.readings import Reading


@dataclass(frozen=True, slots=True)
class Joined:
    """The readings of one run with ticks laid into the lines they belong to; `into`: a tick's place to its line's number."""

    readings: tuple[Reading, ...]
    into: Mapping[int, int] = field(default_factory=dict)


def joined(
    readings: Sequence[Reading], day_of: Callable[[Reading], Day], in_log: Callable[[Reading], bool]
) -> Joined:
    """Lay every tick into the line that tells the same work; `in_log`: the tick was written in an earlier run already."""
    now = list(readings)
    into: dict[int, int] = {}
    for place, tick in enumerate(now):
        if not _may_join(tick) or in_log(tick):
            continue
        other = _line_for(place, tick, now, into, day_of)
        if other is None:
            continue
        host, index = other
        now[host] = _with_tick(now[host], index, tick)
        now[place] = replace(tick, parts=tick.parts[1:])
        into[place] = now[host].number
    return Joined(tuple(now), into)


def _may_join(tick: Reading) -> bool:
    sound = not (tick.fault or tick.question or tick.unread or tick.nothing)
    return tick.tick and sound and len(tick.tags) == 1 and bool(tick.parts) and "work" in tick.parts[0]


def _line_for(
    place: int, tick: Reading, now: Sequence[Reading], into: Mapping[int, int], day_of: Callable[[Reading], Day]
) -> tuple[int, int] | None:
    """The place of the line, and of its part; written lines come before ticks of other sheets."""
    day = day_of(tick).when
    work, tag = tick.parts[0]["work"], tag_key(tick.tags[0])
    for ticks in (False, True):
        for other, line in enumerate(now):
            if other == place or other in into or line.tick is not ticks or (ticks and other > place):
                continue
            if (
                line.fault
                or line.question
                or [tag_key(t) for t in line.tags] != [tag]
                or not _of_that_day(line, day, day_of)
            ):
                continue
            index = next((n for n, part in enumerate(line.parts) if part.get("work") == work), None)
            if index is not None and day is not None:
                return other, index
    return None


def _of_that_day(line: Reading, day: When | None, day_of: Callable[[Reading], Day]) -> bool:
    """Whether a line is of a tick's day; one that has no day takes it."""
    return line.date is None or day_of(line).when == day


def _with_tick(line: Reading, index: int, ticked: Reading) -> Reading:
    """The line's part with what the tick tells more; a line that names fewer branches than the job has the word."""
    part, tick = line.parts[index], ticked.parts[0]
    notes = [n for n in (part.get("note"), tick.get("note")) if n]
    both: dict[str, Any] = {**tick, **part}
    if notes:
        both["note"] = "; ".join(dict.fromkeys(notes))
    parts = (*line.parts[:index], both, *line.parts[index + 1 :])
    source = f"{ticked.sheet.serial}/{ticked.line}" if ticked.sheet else ""
    ticks = (*line.ticks, *ticked.ticks, *([(index, source)] if source else []))
    return replace(line, parts=parts, ticks=ticks, details=False, date=line.date or ticked.date)
