"""The jobs of the front: each with its mark, its dates and its signs in words; and what the grower meant."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from ....collection.dates import day_told
from ....collection.entry_text import month_told, render_intention
from ....collection.model import Entry
from ....planning.grounds import ByState
from ....planning.model import Job, Plan, Status
from ....season.reasons import because
from ...flow import Chunk, Piece, baseline_text, lines
from ...page import Item, Shape, moved
from ...typesetting import line_mm, wrap
from ...words import say
from ..context import Given, SheetContext, day_on_paper
from ..good_to import good_to
from ..offers import Marked, is_asked
from .lettering import JOINER, at_ends, both_ends, kept, led, stacked

INDENT_MM = 8.0
BADGE_MM = 5.6
BADGE_SIDES = 32
DATE_PT = 10.5
NOTHING_PT = 14.0
WORK_LEAST_PT = 11.0
FURTHER_PT = 9.5
BELOW_MM = 1.0


def meant(sheet: SheetContext, given: Given) -> Chunk:
    """The newest of the grower's intentions that is no job by itself, in their own words."""
    thought = newest_thought(sheet.plan)
    if thought is None:
        return Chunk("meant", ())
    lead = say("meant", month=month_told(thought.date))
    rows = lines(f"{lead} {render_intention(thought)}", sheet.bench(given), sheet.width, bold=True)
    return Chunk("meant", tuple(kept(rows)), 0.8)


def newest_thought(plan: Plan) -> Entry | None:
    """The entry of the newest intention without a work and a day."""
    thoughts = [e for e in plan.state.entries if e.intend and not e.intend.by and not e.intend.work]
    return thoughts[-1] if thoughts else None


def jobs(sheet: SheetContext, given: Given) -> Chunk:
    """What is asked: the four that lose most by waiting with their signs, the others a line each."""
    pieces = list(_nothing_needed(sheet))
    for number, marked in enumerate(sheet.marked):
        signed = number < given.signed
        rows = _signed(sheet, given, marked) if signed else _further(sheet, given, marked)
        pieces += kept([*rows, Piece(BELOW_MM if signed else 0.2)])
    return Chunk("jobs", tuple(pieces), 1.0)


def _nothing_needed(sheet: SheetContext) -> list[Piece]:
    """That nothing is needed before a day, where no asked work is open; of a tree long silent, that a look comes first."""
    plan = sheet.plan
    if plan.silent_since is not None:
        rows = lines(say("look first", day=day_told(plan.silent_since)), NOTHING_PT, sheet.width, bold=True)
        return kept([*rows, Piece(BELOW_MM)])
    first = first_needed(plan)
    if first is None or (plan.holds and not sheet.marked):
        return []
    name = "nothing else needed" if plan.state.wires else "nothing needed"
    words = say(name, day=day_on_paper(first, plan.today))
    rows = lines(words, NOTHING_PT, sheet.width, bold=True)
    return kept([*rows, Piece(BELOW_MM)])


def first_needed(plan: Plan) -> date | None:
    """The day on which the first asked work opens; None where one is open, or only its signs tell."""
    asked = [job for job in plan.jobs if is_asked(job)]
    if any(job.opens is None or job.opens <= plan.today for job in asked):
        return None
    return min([good_to(plan), *(job.opens for job in asked if job.opens)])


def _signed(sheet: SheetContext, given: Given, marked: Marked) -> list[Piece]:
    """Mark, work and dates; then what must be true, the sign to do it by, the sign that it is too late, and how much."""
    job, size, width = marked.job, sheet.bench(given), sheet.width
    rows = [_titled(sheet, marked)]
    rows += _conditions(sheet, job, size)
    signs = [say("when", sign=job.sign)] if job.sign else []
    signs += [say("too late", sign=job.too_late)] if job.too_late else []
    how = [*([say("how", how=job.how)] if job.how else []), *afterwards(sheet, job)]
    for text in (
        _joined([*signs, *how], size, width - INDENT_MM)
        if given.dense
        else [*_joined(signs, size, width - INDENT_MM), *how]
    ):
        rows += lines(text, size, width, indent=INDENT_MM)
    return rows


def _conditions(sheet: SheetContext, job: Job, size: float) -> list[Piece]:
    """What must be true, where the record does not say."""
    told = sheet.wording.reasons(job.conditions)
    return lines(told, size, sheet.width, bold=True, indent=INDENT_MM) if told else []


def afterwards(sheet: SheetContext, job: Job) -> list[str]:
    """What fresh roots want in the weeks that follow, where the job's own conditions do not say it."""
    if job.record is None or any(reason.code is ByState.AFTERCARE for reason in job.conditions):
        return []
    frost, feeding = sheet.knowledge.weeks_after(job.record)
    told = because(ByState.AFTERCARE, frost=frost, feeding=feeding)
    return [sheet.wording.reason(told)] if frost and feeding else []


def _joined(told: Sequence[str], size: float, room: float) -> list[str]:
    """As one paragraph where that takes fewer lines than one below the other."""
    whole = " · ".join(told)
    apart = sum(len(wrap(text, size, room)) for text in told)
    return [whole] if len(told) > 1 and len(wrap(whole, size, room)) < apart else list(told)


def _titled(sheet: SheetContext, marked: Marked) -> Piece:
    """Badge, work and dates, the work in the largest type that keeps them on a line, else over several."""
    title, when = title_of(marked.job), when_told(marked.job, sheet.plan.today)
    largest = sheet.layout.size("work")
    for size in (largest, largest - 1.0, WORK_LEAST_PT):
        row = both_ends(title, when, sheet.width, (size, DATE_PT), INDENT_MM)
        if row is not None:
            return _badged(row, marked.mark, row.height)
    rows = at_ends(title, when, sheet.width, (WORK_LEAST_PT, DATE_PT), INDENT_MM)
    return _badged(stacked(rows), marked.mark, rows[0].height)


def _further(sheet: SheetContext, given: Given, marked: Marked) -> list[Piece]:
    """Mark, work and dates in a line; below it what must be true, and how much."""
    title, when = title_of(marked.job), when_told(marked.job, sheet.plan.today)
    points = sheet.bench(given) if given.tight else FURTHER_PT
    whole = stacked(at_ends(title, when, sheet.width, (points, points), INDENT_MM))
    height = line_mm(points)
    mark = baseline_text(marked.mark, 0.0, height, points, bold=True)
    centred = moved(mark, max(0.0, (BADGE_MM - mark.width) / 2), 0.0)
    size, job = sheet.bench(given), marked.job
    wanted = sheet.wording.reasons(job.conditions)
    how = "; ".join([*([say("how", how=job.how)] if job.how else []), *afterwards(sheet, job)])
    told = led(f"{wanted}{JOINER}" if how else wanted, how, size, sheet.width, indent=INDENT_MM) if wanted else []
    told = told or (lines(how, size, sheet.width, indent=INDENT_MM) if how else [])
    return [Piece(whole.height, (centred, *whole.items)), *told]


def title_of(job: Job) -> str:
    """The work with its branches, or the grower's own words; what they named a day for has it among its dates."""
    return job.own if job.own and job.record is None else job.what


def when_told(job: Job, today: date) -> str:
    """`until 13 Mar`, `27 Mar – 8 May`, `by spring 2027`; the day it was due where that is past."""
    if job.since:
        return say("since", day=day_told(job.since))
    if job.own and job.by and job.record is None:
        return say("by", day=job.by.told())
    if job.opens is None:
        return say("by its signs")
    if job.opens <= today:
        late = job.status is Status.OVERDUE and job.closes is not None and job.closes < today
        return "" if job.closes is None or late else say("until", day=day_on_paper(job.closes, today))
    first = day_on_paper(job.opens, today)
    return say("from to", first=first, last=day_on_paper(job.closes, today)) if job.closes else first


def _badged(row: Piece, mark: str, first_line: float) -> Piece:
    """The row with its mark in a round badge beside its first line."""
    height = max(row.height, BADGE_MM + 0.4)
    down = max(0.0, (BADGE_MM + 0.4 - first_line) / 2) if row.height <= first_line + 0.01 else 0.0
    middle = down + first_line / 2
    items: list[Item] = [_ring(BADGE_MM / 2, middle, BADGE_MM / 2)]
    size = 9.0 if len(mark) < 3 else 7.5
    words = baseline_text(mark, 0.0, line_mm(size), size, bold=True)
    items.append(moved(words, (BADGE_MM - words.width) / 2, middle - line_mm(size) / 2))
    return Piece(height, (*items, *(moved(item, 0.0, down) for item in row.items)))


def _ring(x: float, y: float, radius: float) -> Shape:
    angles = [2 * math.pi * n / BADGE_SIDES for n in range(BADGE_SIDES)]
    return Shape(tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles), None, 0.4)
