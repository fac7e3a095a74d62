"""The jobs on offer, each with its letter, dates and signs; what comes later; care."""

from __future__ import annotations

from datetime import timedelta

from ....collection.dates import day_told
from ....horticulture.work import OnSheet
from ....planning.model import Job, Status
from ...flow import Chunk, Piece, baseline_text, heading, lines, right_text
from ...page import Box, Item
from ...typesetting import line_mm, width_mm
from ..context import AHEAD_DAYS, BADGE_MM, INDENT_MM, LATER_DAYS, SheetContext, jobs_on_sheet
from .bars import shifted_item


def next_jobs(sheet: SheetContext) -> Chunk:
    """The jobs on offer with their letters, what fits one visit, and what opens later."""
    jobs = jobs_on_sheet(sheet.plan)
    if not [j for j in jobs if not j.is_look_over]:
        rows = lines("Nothing this season", 15.0, sheet.width, bold=True, keep=True)
        return Chunk("next", (*rows, *_job_pieces(sheet, jobs), *_later(sheet, jobs)))
    title = heading("Next", sheet.width, sheet.small)
    return Chunk("next", (title, *_job_pieces(sheet, jobs), *_one_visit(sheet, jobs), *_later(sheet, jobs)))


def _one_visit(sheet: SheetContext, jobs: tuple[Job, ...]) -> list[Piece]:
    """Which letters fit one visit, and about when."""
    letters = {id(job): letter for letter, job in zip(sheet.letters, jobs, strict=False)}
    told = []
    for visit in sheet.plan.visits:
        named = sorted(letters[id(job)] for job in visit.jobs if id(job) in letters)
        if len(named) > 1:
            told.append(f"{' + '.join(named)} about {day_told(visit.day)}")
    return [Piece(0.6), *lines("One visit: " + "; ".join(told), sheet.bench, sheet.width, bold=True)] if told else []


def _later(sheet: SheetContext, jobs: tuple[Job, ...]) -> list[Piece]:
    """What opens later in the year, in one paragraph: nothing to tick yet."""
    limit = sheet.plan.today + timedelta(days=LATER_DAYS)
    ahead = [j for j in sheet.plan.jobs if j not in jobs and j.opens and j.opens <= limit and not j.is_look_over]
    told = [f"{j.what} from {day_told(j.opens)}" for j in ahead if j.opens]
    return [Piece(1.2), *lines("Later: " + "; ".join(told), sheet.bench, sheet.width)] if told else []


def care(sheet: SheetContext) -> Chunk:
    """Upkeep that is open or near: feeding, shelter, frost."""
    limit = sheet.plan.today + timedelta(days=AHEAD_DAYS)
    told_works = [j for j in sheet.plan.care if j.record and j.record.sheet is OnSheet.LATER]
    near = [j for j in told_works if j.opens and j.opens <= limit]
    told = [f"{j.work} {_span(j, sheet)}{_before(j, sheet)}" for j in near]
    fed = next((e for e in reversed(sheet.plan.state.entries) if e.feed), None)
    if fed and any(j.work == fed.work for j in near):
        told.append(f"last fed {fed.feed} on {fed.date.told()}")
    return Chunk("care", tuple(lines("Care: " + "; ".join(told), sheet.bench, sheet.width)) if told else ())


def _before(job: Job, sheet: SheetContext) -> str:
    """The night before which a tree comes in, where its shelter is told."""
    return f", {sheet.wording.reason(job.conditions[0])}" if job.conditions else ""


def _span(job: Job, sheet: SheetContext) -> str:
    until = f"until {day_told(job.closes)}" if job.closes else ""
    return (
        until
        if job.opens and job.opens <= sheet.plan.today
        else f"{day_told(job.opens)} {until}"
        if job.opens
        else ""
    )


def _job_pieces(sheet: SheetContext, jobs: tuple[Job, ...]) -> list[Piece]:
    pieces: list[Piece] = []
    for letter, job in zip(sheet.letters, jobs, strict=False):
        pieces += _job(sheet, letter, job)
    return pieces


def _job(sheet: SheetContext, letter: str, job: Job) -> list[Piece]:
    """Letter, work and date in one line; then the sign to do it by, the sign of too late, and any condition."""
    room = sheet.width - INDENT_MM
    when = _when(job, sheet)
    if job.is_look_over:
        return [_titled(sheet, letter, "looked, all well", "any visit", 9.0)]
    rows = (
        [_titled(sheet, letter, job.what, when, sheet.layout.size("work"))]
        if _one_line(sheet, job, when)
        else [*_long_title(sheet, letter, job), *lines(when, sheet.bench, room, bold=True, indent=0)]
    )
    if len(rows) > 1:
        rows = [*rows[:1], *[_indented(r) if i else r for i, r in enumerate(rows)][1:]]
    if job.conditions:
        rows += lines(sheet.wording.reasons(job.conditions), sheet.bench, sheet.width, bold=True, indent=INDENT_MM)
    best = (
        f"best {day_told(job.best, job.closes or job.best)} ± {job.band} d"
        if job.best and job.band and job.best > sheet.plan.today
        else ""
    )
    signs = [best, f"when: {job.sign}" if job.sign else "", f"too late: {job.too_late}" if job.too_late else ""]
    rows += lines(" · ".join(part for part in signs if part), sheet.bench, sheet.width, indent=INDENT_MM)
    if job.how:
        rows += lines(f"how: {job.how}", sheet.bench, sheet.width, indent=INDENT_MM)
    if job.caution:
        rows += lines(sheet.knowledge.cautions[job.caution], sheet.small, sheet.width, indent=INDENT_MM)
    kept = [Piece(r.height, r.items, keep=True) for r in rows[:-1]]
    return [*kept, Piece(rows[-1].height + 0.8, rows[-1].items)]


def _one_line(sheet: SheetContext, job: Job, when: str) -> bool:
    size = sheet.layout.size("work")
    return width_mm(job.what, size, True) + width_mm(when, sheet.bench, True) + 3.0 <= sheet.width - INDENT_MM


def _titled(sheet: SheetContext, letter: str, what: str, when: str, size: float) -> Piece:
    height = max(line_mm(size), BADGE_MM + 0.6)
    title = baseline_text(what, INDENT_MM, height, size, bold=True)
    return Piece(
        height, (*_badge(letter, height), title, right_text(when, sheet.width, height, sheet.bench, bold=True))
    )


def _long_title(sheet: SheetContext, letter: str, job: Job) -> list[Piece]:
    size = sheet.layout.size("work")
    first, *rest = lines(job.what, size, sheet.width, bold=True, indent=INDENT_MM)
    height = max(first.height, BADGE_MM + 0.6)
    lead = baseline_text(first.items[0].text, INDENT_MM, height, size, bold=True)  # type: ignore[union-attr]
    return [Piece(height, (*_badge(letter, height), lead)), *rest]


def _indented(piece: Piece) -> Piece:
    return Piece(
        piece.height,
        tuple(shifted_item(i, INDENT_MM, 0) if getattr(i, "x", INDENT_MM) == 0 else i for i in piece.items),
    )


def _badge(letter: str, height: float) -> tuple[Item, ...]:
    """The job's letter in a small frame: what is typed when it is done."""
    top = (height - BADGE_MM) / 2
    words = baseline_text(letter, 0.0, BADGE_MM, 10.5, bold=True)
    return (Box(0.0, top, BADGE_MM, BADGE_MM, 0.3), shifted_item(words, (BADGE_MM - words.width) / 2, top))


def _when(job: Job, sheet: SheetContext) -> str:
    if job.opens is None:
        return "by its signs"
    if job.opens <= sheet.plan.today:
        until = f" until {day_told(job.closes)}" if job.closes else ""
        if job.status is Status.OVERDUE:
            return f"overdue since {day_told(job.since)}" if job.since else f"overdue{until}"
        return f"now{until}"
    until = f", until {day_told(job.closes)}" if job.closes else ""
    start = day_told(job.opens, job.closes) if job.closes else day_told(job.opens)
    return f"begin looking {start}{until}"
