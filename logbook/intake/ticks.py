"""A tick and a written line of one work, tree and day are one entry: the line's, with what only the tick tells."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace

from ..collection.dates import When
from ..collection.model import tag_key
from ..horticulture.work import Work
from ..values import dataclass
from .days import Day
from .grammar.details import branches_of
from .grammar.readings import Reading
from .hands import with_hands
from .one_entry import another_doing


@dataclass(frozen=True, slots=True)
class Joined:
    """The readings of one run with ticks laid into the lines they belong to; `into`: a tick's place to its line's number."""

    readings: tuple[Reading, ...]
    into: Mapping[int, int] = field(default_factory=dict)


def joined(
    readings: Sequence[Reading],
    day_of: Callable[[Reading], Day],
    in_log: Callable[[Reading], bool],
    works: Mapping[str, Work],
) -> Joined:
    """Lay every tick into the line that tells the same work; `in_log`: the tick was written in an earlier run already."""
    now = [part for reading in readings for part in _by_tree(reading, readings)]
    into: dict[int, int] = {}
    for place, tick in enumerate(now):
        if not _may_join(tick) or in_log(tick):
            continue
        other = _line_for(place, tick, now, into, day_of, works)
        if other is None:
            continue
        host, index = other
        now[host] = _with_tick(now[host], index, tick)
        now[place] = replace(tick, parts=tick.parts[1:])
        into[place] = now[host].number
    return Joined(tuple(now), into)


def _by_tree(line: Reading, readings: Sequence[Reading]) -> list[Reading]:
    """A line for several trees, with those of them apart for which one of its works is ticked."""
    if len(line.tags) < 2 or line.tick or line.fault:
        return [line]
    works = {part["work"] for part in line.parts if "work" in part}
    ticked = {tag_key(t.tags[0]) for t in readings if _may_join(t) and t.parts[0]["work"] in works}
    alone = [tag for tag in line.tags if tag_key(tag) in ticked]
    others = tuple(tag for tag in line.tags if tag_key(tag) not in ticked)
    return [*([replace(line, tags=others)] if others else []), *(replace(line, tags=(tag,)) for tag in alone)]


def _may_join(tick: Reading) -> bool:
    sound = not (tick.fault or tick.question or tick.unread or tick.nothing)
    return tick.tick and sound and len(tick.tags) == 1 and bool(tick.parts) and "work" in tick.parts[0]


def _line_for(
    place: int,
    tick: Reading,
    now: Sequence[Reading],
    into: Mapping[int, int],
    day_of: Callable[[Reading], Day],
    works: Mapping[str, Work],
) -> tuple[int, int] | None:
    """The place of the line, and of its part; written lines come before ticks of other sheets."""
    day = day_of(tick).when
    if day is None:
        return None
    tag = tag_key(tick.tags[0])
    others = [n for n in range(len(now)) if n != place and n not in into]
    written = [n for n in others if not now[n].tick]
    for other in (*written, *(n for n in others if now[n].tick and n < place)):
        line = now[other]
        parts = [n for n in range(len(line.parts)) if _tells_of(line, n, tick, works)]
        if parts and _is_of(line, tag) and _of_that_day(line, day, day_of):
            return other, parts[0]
    return None


def _tells_of(line: Reading, index: int, tick: Reading, works: Mapping[str, Work]) -> bool:
    """Whether a part of a line tells of the work of a tick, and of no other branches than its job."""
    part, ticked = line.parts[index], tick.parts[0]
    work = works.get(str(ticked["work"]))
    if part.get("work") != ticked["work"]:
        return False
    job, told = branches_of(ticked), branches_of(part)
    by_itself = line.tick and index == 0
    return not (another_doing(job, told, work) or (by_itself and another_doing(told, job, work)))


def _is_of(line: Reading, tag: str) -> bool:
    """Whether a line is understood, and of this tree alone."""
    return not (line.fault or line.question) and [tag_key(t) for t in line.tags] == [tag]


def _of_that_day(line: Reading, day: When, day_of: Callable[[Reading], Day]) -> bool:
    """Whether a line is of a tick's day; one that has no day takes it."""
    return line.date is None or day_of(line).when == day


def _with_tick(line: Reading, index: int, ticked: Reading) -> Reading:
    """The line's part with what the tick tells more; a line that names fewer branches than the job has the word."""
    part, tick = line.parts[index], ticked.parts[0]
    notes = [str(note) for fields in (part, tick) if (note := fields.get("note"))]
    both: dict[str, object] = {**tick, **part}
    if notes:
        both["note"] = "; ".join(dict.fromkeys(notes))
    if by := with_hands(str(part.get("by", "")), str(tick.get("by", ""))):
        both["by"] = by
    parts = (*line.parts[:index], both, *line.parts[index + 1 :])
    source = f"{ticked.sheet.serial}/{ticked.line}" if ticked.sheet else ""
    ticks = (*line.ticks, *ticked.ticks, *([(index, source)] if source else []))
    return replace(line, parts=parts, ticks=ticks, details=False, date=line.date or ticked.date)
