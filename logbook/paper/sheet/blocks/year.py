"""The year drawn: a row a work over twelve fixed months. Windows are outlined, their best days solid; care is a thin line.

Nothing hangs on gray: at half size, in one bit, each window still has its two ends.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import field
from datetime import date, timedelta
from enum import IntEnum
from functools import lru_cache

from ....collection.dates import MONTHS
from ....horticulture.work import OnSheet
from ....planning.fixed_year import fixed_year
from ....planning.model import Job, Plan
from ....values import dataclass
from ...flow import Chunk, Piece, baseline_text
from ...page import Box, Item, Rule, Shape, moved
from ...typesetting import LEAST_PT, line_mm, shrunk, width_mm
from ...words import say
from ..context import Given, SheetContext
from ..offers import is_near
from .bars import wire_bars

LABEL_MM, MARK_MM, MARK_GAP_MM = 27.0, 6.2, 1.2
ROW_MM, BAR_MM, FOOT_MM = 3.6, 2.3, 2.6
OUTLINE_MM, LINE_MM, MONTH_MM = 0.4, 0.6, 0.12
LEAST_DAYS = 12  # a window with fewer inside the year has no row
LEAST_BAND_MM = 1.2
SWATCH_MM, SWATCH_GAP_MM = 3.2, 1.3
NOTCH_MM = 1.0
JANUARY = 1


class Weight(IntEnum):
    """Which rows stay where there is little room: the higher, the longer."""

    OPTIONAL = 0
    CARE = 1
    ASKED = 2
    OFFERED = 3
    WIRE = 4


@dataclass(frozen=True, slots=True)
class Span:
    """Days of a row, both included, and the solid ones among them; those cut off by the year are told."""

    first: date
    last: date
    solid: tuple[date, date] | None = None
    begins: bool = True
    ends: bool = True


@dataclass(slots=True)
class Row:
    """One row: its mark and name, its spans, what it weighs."""

    mark: str
    name: str
    weight: Weight
    spans: list[Span] = field(default_factory=list)


def year(sheet: SheetContext, given: Given) -> Chunk:
    """The rows there is room for, under their months."""
    rows = kept_rows(rows_of(sheet), given.rows) if given.rows else []
    return Chunk("year", (strip(sheet, given, rows),) if rows else (), 1.3)


def rows_of(sheet: SheetContext) -> list[Row]:
    """All rows of a sheet: wire first, then what is asked and what may be done by their days, then care."""
    return sheet.once("rows", lambda: _rows(sheet))


def _rows(sheet: SheetContext) -> list[Row]:
    plan = sheet.plan
    year = fixed_year(plan.today)
    first, last = year.first, year.last
    found: dict[tuple[Weight, str], Row] = {}
    for job in _drawn_jobs(plan):
        span = _span_of(job, first, last)
        if span is None:
            continue
        row = _row_of(sheet, job)
        found.setdefault((row.weight, row.mark or row.name), row).spans.append(span)
    rows = list(found.values())
    works = sorted(
        (r for r in rows if r.weight is not Weight.CARE),
        key=lambda r: (r.weight is Weight.OPTIONAL, r.spans[0].first),
    )
    return [*_wire_row(plan, first, last), *works, *(r for r in rows if r.weight is Weight.CARE)]


def kept_rows(rows: list[Row], count: int) -> list[Row]:
    """So many rows, in their order: what weighs least goes first, the last of it before the others; an offered one never."""
    going = sorted(range(len(rows)), key=lambda n: (rows[n].weight, -n))
    gone = {n for n in going[: max(0, len(rows) - count)] if rows[n].weight < Weight.OFFERED}
    return [row for n, row in enumerate(rows) if n not in gone]


def _drawn_jobs(plan: Plan) -> Iterator[Job]:
    for job in plan.jobs:
        if not (job.is_about_wire or job.is_look_over):
            yield job
    for job in plan.care:
        if job.record and job.record.sheet is OnSheet.LATER:
            yield job


def _row_of(sheet: SheetContext, job: Job) -> Row:
    marked = next((m.mark for m in sheet.marked if m.job is job), "")
    short = short_name(job)
    if job.record and job.record.is_upkeep:
        return Row("", short, Weight.CARE)
    own = job.record.mark if job.record else ""
    asked = Weight.OFFERED if is_near(job, sheet.plan.today) else Weight.ASKED
    return Row(marked or own, short, Weight.OPTIONAL if job.optional else asked)


def short_name(job: Job) -> str:
    """A work's name where there is little room."""
    return job.record.short if job.record and job.record.short else job.what


def _span_of(job: Job, first: date, last: date) -> Span | None:
    """The part of a job's days inside the year; None where it is too little."""
    if job.opens is None or job.closes is None:
        return None
    begins, ends = max(job.opens, first), min(job.closes, last)
    if (ends - begins).days + 1 < min(LEAST_DAYS, (job.closes - job.opens).days + 1):
        return None
    solid = None
    if job.best and not job.optional and job.record and not job.record.is_upkeep:
        band = timedelta(days=job.band)
        solid = max(job.best - band, begins), min(job.best + band, ends)
    return Span(
        begins, ends, solid if solid and solid[0] <= solid[1] else None, job.opens >= first, job.closes <= last
    )


def _wire_row(plan: Plan, first: date, last: date) -> Iterator[Row]:
    days = [bar.off for bar in wire_bars(plan) if bar.off and not bar.overdue and first <= bar.off <= last]
    if days:
        yield Row("", say("wire off by"), Weight.WIRE, [Span(day, day) for day in days])


def strip(sheet: SheetContext, given: Given, rows: Iterable[Row], *, day: bool = True) -> Piece:
    """The drawing of these rows under their months; with `day` a triangle below marks the day of the plan, and the year's turn is bold (without
    the triangle it would be taken for that day)."""
    size, printed = sheet.small(given), sheet.plan.today
    rows = list(rows)
    scale = _Scale(fixed_year(printed).first, LABEL_MM, sheet.width)
    top = line_mm(size) + 0.2
    foot = top + ROW_MM * len(rows) + 0.5
    items: list[Item] = [
        Rule(0.0, 0.0, sheet.width, 0.0, 0.2),
        *_legend(size, top),
        *_months(scale, size, top, foot, turn=day),
    ]
    for number, row in enumerate(rows):
        items += _row(scale, row, size, top + 0.3 + ROW_MM * number)
    items += _triangle(scale.x(printed), foot + 0.3, up=True) if day else []
    return Piece(foot + FOOT_MM, tuple(items))


def _legend(size: float, height: float) -> list[Item]:
    """Left of the months: what is outlined is open, what is solid best; set smaller, and left out where the words find no room."""
    return next((items for points in (size, LEAST_PT) if (items := _legend_at(points, height))), [])


def _legend_at(size: float, height: float) -> list[Item]:
    y, x, items = (height - BAR_MM) / 2, 0.0, list[Item]()
    for name, fill in (("legend open", None), ("legend best", 0.0)):
        items += (
            [Box(x, y, SWATCH_MM, BAR_MM, OUTLINE_MM)] if fill is None else [Box(x, y, SWATCH_MM, BAR_MM, fill=fill)]
        )
        words = baseline_text(say(name), 0.0, height, size)
        items.append(moved(words, x + SWATCH_MM + SWATCH_GAP_MM, 0.0))
        x += SWATCH_MM + SWATCH_GAP_MM + words.width + 2.0
    return items if x - 2.0 <= LABEL_MM else []


@dataclass(frozen=True, slots=True)
class _Scale:
    """Where a day stands between the left and the right end of the year, mm."""

    first: date
    left: float
    right: float

    def x(self, day: date) -> float:
        days = (self.first.replace(year=self.first.year + 1) - self.first).days
        return self.left + (self.right - self.left) * (day - self.first).days / days

    @property
    def months(self) -> list[date]:
        """The first day of each month."""
        count = range(self.first.month - 1, self.first.month + 11)
        return [date(self.first.year + n // 12, n % 12 + 1, 1) for n in count]


@lru_cache(maxsize=64)
def _months(scale: _Scale, size: float, top: float, foot: float, *, turn: bool) -> tuple[Item, ...]:
    """Month letters over thin lines; the year's `turn` in bold. The same for all sheets of a run with so many rows."""
    return tuple(_month_items(scale, size, top, foot, bold=JANUARY if turn else 0))


def _month_items(scale: _Scale, size: float, top: float, foot: float, *, bold: int) -> Iterator[Item]:
    starts = scale.months
    for number, start in enumerate(starts):
        turn = start.month == bold
        x = scale.x(start)
        end = scale.x(starts[number + 1]) if number < 11 else scale.right
        letter = baseline_text(MONTHS[start.month - 1][0], 0.0, top, size, bold=turn)
        yield moved(letter, (x + end - letter.width) / 2, 0.0)
        yield Rule(x, top, x, foot, 0.45 if turn else MONTH_MM)
    yield Rule(scale.right, top, scale.right, foot, MONTH_MM)
    yield Rule(scale.left, foot, scale.right, foot, MONTH_MM)


def _row(scale: _Scale, row: Row, size: float, y: float) -> Iterator[Item]:
    left = max(MARK_MM, width_mm(row.mark, size, True) + MARK_GAP_MM) if row.mark else 0.0
    if row.mark:
        yield moved(baseline_text(row.mark, 0.0, ROW_MM, size, bold=True), 0.0, y)
    room = scale.left - left - 1.0
    name = baseline_text(row.name, left, ROW_MM, shrunk(row.name, size, room))
    if name.width > room:  # a grower's own words stand in full among the jobs, where they have a mark
        name = baseline_text("" if row.mark else say("own work"), left, ROW_MM, size)
    yield moved(name, 0.0, y)
    for span in row.spans:
        if row.weight is Weight.WIRE:
            yield from _triangle(scale.x(span.first), y + 0.4, up=False)
        elif row.weight is Weight.CARE:
            yield from _line(scale, span, y + ROW_MM / 2)
        else:
            yield from _window(scale, span, y + (ROW_MM - BAR_MM) / 2)


def _window(scale: _Scale, span: Span, y: float) -> Iterator[Item]:
    """A window on white, so that no month's line crosses it: its end notched where the year cuts it off."""
    x1, x2, low = scale.x(span.first), scale.x(span.last + timedelta(days=1)), y + BAR_MM
    middle = y + BAR_MM / 2
    right = [(x2, y), (x2, low)] if span.ends else [(x2, y), (x2 - NOTCH_MM, middle), (x2, low)]
    left = [(x1, low), (x1, y)] if span.begins else [(x1, low), (x1 + NOTCH_MM, middle), (x1, y)]
    shape = (*right, *left)
    yield Shape(shape, 1.0)
    if span.solid:
        a, b = scale.x(span.solid[0]), scale.x(span.solid[1] + timedelta(days=1))
        if b - a < LEAST_BAND_MM:
            a = min(max((a + b - LEAST_BAND_MM) / 2, x1), max(x1, x2 - LEAST_BAND_MM))
            b = min(a + LEAST_BAND_MM, x2)
        yield Box(a, y, b - a, BAR_MM, fill=0.0)
    yield Shape(shape, None, OUTLINE_MM)


def _line(scale: _Scale, span: Span, y: float) -> Iterator[Item]:
    """Care: a line with a stop at each end that the year does not cut off."""
    x1, x2 = scale.x(span.first), scale.x(span.last + timedelta(days=1))
    yield Rule(x1, y, x2, y, LINE_MM)
    for x, is_end in ((x1, span.begins), (x2, span.ends)):
        if is_end:
            yield Rule(x, y - 0.9, x, y + 0.9, OUTLINE_MM)


def _triangle(x: float, y: float, *, up: bool) -> list[Item]:
    """A solid triangle of 2 mm whose point is at x."""
    point, base = (y, y + 1.9) if up else (y + 2.4, y)
    return [Shape(((x, point), (x + 1.2, base), (x - 1.2, base)), 0.0)]
