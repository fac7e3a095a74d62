"""A tick and a written line of one work, tree and day are one entry: the line's, with what only the tick tells."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

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
        now[host] = _with_tick(now[host], index, tick.parts[0])
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
    if day is None:
        return None
    work, tag = tick.parts[0]["work"], tag_key(tick.tags[0])
    others = [n for n in range(len(now)) if n != place and n not in into]
    written = [n for n in others if not now[n].tick]
    for other in (*written, *(n for n in others if now[n].tick and n < place)):
        line = now[other]
        if line.fault or line.question or [tag_key(t) for t in line.tags] != [tag] or day_of(line).when != day:
            continue
        index = next((n for n, part in enumerate(line.parts) if part.get("work") == work), None)
        if index is not None:
            return other, index
    return None


def _with_tick(line: Reading, index: int, tick: Mapping[str, object]) -> Reading:
    """The line's part with what the tick tells more; a line that names fewer branches than the job has the word."""
    part = line.parts[index]
    notes = [str(note) for fields in (part, tick) if (note := fields.get("note"))]
    both: dict[str, object] = {**tick, **part}
    if notes:
        both["note"] = "; ".join(dict.fromkeys(notes))
    parts = (*line.parts[:index], both, *line.parts[index + 1 :])
    return replace(line, parts=parts)
