"""The drawings of a page, each with its facts: the same rows and branches, drawn by paper's own blocks and told in a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from ..collection.model import Branch
from ..paper.charts import growth_charts
from ..paper.flow import Piece
from ..paper.layouts import Layout
from ..paper.sheet.blocks.drawing import WIDE_MM, drawing
from ..paper.sheet.blocks.year import Row, Weight, rows_of, strip
from ..paper.sheet.context import Given, SheetContext
from ..paper.words import say as say_on_paper
from ..planning.fixed_year import fixed_year
from ..values import dataclass
from .svg import svg
from .words import say

STRIP_MM, DRAWING_MM, CHART_MM = 78.0, 42.0, 55.0
MEASURES = ("trunk", "height", "crown", "leaf", "tips")
LAYOUT = Layout("page", 1, "sheet", (STRIP_MM, 400.0), (STRIP_MM, 400.0), margin=0.0, sizes={"small": 9.0})


@dataclass(frozen=True, slots=True)
class Days:
    """A span of a row: its first and last day and, of a window, its best ones; whether the year cuts an end off."""

    first: date
    last: date
    best: tuple[date, date] | None = None
    begins: bool = True
    ends: bool = True


@dataclass(frozen=True, slots=True)
class YearRow:
    """A row of the drawn year: its mark and name, and its days. `is_day`: the day by which wire is off."""

    mark: str
    name: str
    days: tuple[Days, ...]
    is_day: bool = False


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing as SVG, and the rows of its table."""

    svg: str
    rows: tuple[object, ...]
    left_out: tuple[str, ...] = ()
    span: str = ""


@dataclass(frozen=True, slots=True)
class BranchRow:
    """A row of the branch table, in the collection's units."""

    id: str
    clock: str
    height: str
    thick: str
    role: str
    wired: bool


Years = dict[tuple[object, ...], Drawn]


def year_drawn(sheet: SheetContext, years: Years) -> Drawn | None:
    """The fixed year with every row a front may have, without the day of the plan: a page stands for longer than a day.

    `years` are those of one run that were drawn already: trees of one kind often have the same.
    """
    rows = rows_of(sheet)
    if not rows:
        return None
    said = tuple((row.mark, row.name, row.weight, tuple(row.spans)) for row in rows)
    if said not in years:
        years[said] = _year(sheet, rows)
    return years[said]


def _year(sheet: SheetContext, rows: Sequence[Row]) -> Drawn:
    piece = strip(sheet, Given(0, len(rows)), rows, day=False)
    told = tuple(_year_row(row) for row in rows)
    year = fixed_year(sheet.plan.today)
    return Drawn(_svg(piece, sheet.width, say("year", count=len(rows))), told, span=span_told(year.first, year.last))


def span_told(first: date, last: date) -> str:
    """`Sep 2026 to Aug 2027`."""
    return say_on_paper("span", first=f"{first:%b %Y}", last=f"{last:%b %Y}")


def _year_row(row: Row) -> YearRow:
    days = tuple(Days(s.first, s.last, s.solid, s.begins, s.ends) for s in row.spans)
    return YearRow(row.mark, row.name, days, row.weight is Weight.WIRE)


def tree_drawn(sheet: SheetContext) -> Drawn | None:
    """The branches that are on the tree, drawn from its front; those without a height stand in the table alone."""
    state, units = sheet.plan.state, sheet.settings.units
    on = [branch for branch in sheet.plan.tree.branches if branch.id not in state.removed]
    if not on:
        return None
    piece, left_out = drawing(on, state, DRAWING_MM)
    wired = {ident for wire in state.wires for ident in wire.branches}

    def length(value: float | None) -> str:
        return units.length_told(value) if value else ""

    rows = tuple(BranchRow(b.id, _clock(b), length(b.height), length(b.diameter), b.role, b.id in wired) for b in on)
    return Drawn(_svg(piece, WIDE_MM, say("drawing", count=len(on) - len(left_out))), rows, tuple(left_out))


def _clock(branch: Branch) -> str:
    return f"{branch.clock:g}" if branch.clock is not None else ""


def charts_drawn(sheet: SheetContext) -> tuple[str, ...]:
    """A chart for each measure that has two readings or more; the table of measures is theirs."""
    return tuple(_charts(sheet))


def _charts(sheet: SheetContext) -> Iterator[str]:
    readings, targets, units = sheet.plan.state.readings, sheet.plan.tree.targets, sheet.settings.units
    for name in MEASURES:
        for piece in growth_charts({name: readings.get(name, ())}, targets, units, CHART_MM):
            yield _svg(piece, CHART_MM, say("chart", name=say_on_paper(f"measure {name}"), count=len(readings[name])))


def measures_told(sheet: SheetContext) -> tuple[tuple[str, ...], tuple[tuple[date, tuple[str, ...]], ...]]:
    """The measures on record by name, and a row a day with each of them, the latest first."""
    readings, units = sheet.plan.state.readings, sheet.settings.units
    names = tuple(name for name in MEASURES if readings.get(name))
    days: dict[date, dict[str, str]] = {}
    for name in names:
        for reading in readings[name]:
            told = f"{reading.value:.0f}" if name == "tips" else units.length_told(reading.value)
            days.setdefault(reading.day, {})[name] = told
    heads = tuple(say_on_paper(f"measure {name}") for name in names)
    return heads, tuple((day, tuple(days[day].get(name, "") for name in names)) for day in sorted(days, reverse=True))


def _svg(piece: Piece, width: float, told: str) -> str:
    return svg(piece.items, width, piece.height, told)
