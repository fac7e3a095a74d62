"""The year of all trees: the wall chart as a drawing, and the same rows as lists."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from ..paper.layouts import Layout
from ..paper.page import Item, Rule, Shape, Text
from ..paper.row_words import branch_ranges
from ..paper.typesetting import tidy
from ..paper.wall import Wall, by_bench, row_label, wall_pages
from ..paper.words import say as say_on_paper
from ..planning.fixed_year import fixed_year
from ..planning.lists.wall_rows import Bar, Frost, WallRow
from ..planning.wording import Wording
from ..values import dataclass
from .svg import svg
from .words import say

WIDE_MM, LOW_MM, PER_ROW_MM = 240.0, 60.0, 60.0
SIDES = ("title", "printed")  # blocks that the page says itself


@dataclass(frozen=True, slots=True)
class RowTold:
    """A tree's year: its windows, the last days of its wire, what waits."""

    tags: str
    name: str
    bars: tuple[Bar, ...]
    wires: tuple[tuple[date, str], ...]
    rests: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class YearFacts:
    """The drawing and the rows it is made of."""

    svg: str
    rows: tuple[RowTold, ...]
    first: date
    last: date


def garden_year(rows: Sequence[WallRow], today: date, wording: Wording, *, own: bool) -> YearFacts:
    """The rows drawn over twelve fixed months; by bench on the keeper's own page."""
    living = [tree.tag for row in rows for tree in row.trees]
    placed = by_bench(rows) if own else [("", row) for row in rows]
    year = fixed_year(today)
    wall = Wall("", today, year, placed, Frost(None, None), (), living)
    layout = Layout("page", 1, "wall", (WIDE_MM, LOW_MM), (WIDE_MM, LOW_MM + PER_ROW_MM * len(rows)), margin=0.0)
    (page,) = wall_pages(wall, layout, wording)
    items: list[Item] = []
    months: list[Rule] = []
    for item in page.items:
        if isinstance(item, Rule) and item.dash:
            months.append(item)
        elif item.block not in SIDES:
            items.append(item)
    top = min(map(_top, items))
    low = max(block.y + block.height for block in page.blocks)
    drawn = svg((*_whole_lines(months), *items), WIDE_MM, low - top, say("wall"), sized=True, top=top)
    told = tuple(_told(row, living, wording) for _, row in placed)
    return YearFacts(drawn, told, year.first, year.last)


def _whole_lines(lines: Sequence[Rule]) -> list[Rule]:
    """A month's line in one piece: there is one page, so it need not begin anew at each row."""
    first: dict[float, Rule] = {}
    ends: dict[float, float] = {}
    for line in lines:
        first.setdefault(line.x1, line)
        ends[line.x1] = line.y2
    return [replace(line, y2=ends[x]) for x, line in first.items()]


def _top(item: Item) -> float:
    if isinstance(item, Rule):
        return min(item.y1, item.y2)
    if isinstance(item, Shape):
        return min(y for _, y in item.points)
    return item.y - 4.0 if isinstance(item, Text) else item.y


def _told(row: WallRow, living: Sequence[str], wording: Wording) -> RowTold:
    tags, name = row_label(row, living)
    wires = tuple(
        (day, tidy(say_on_paper("wall wire", branches=branch_ranges(branches)))) for day, branches in row.wires
    )
    return RowTold(tags, name, row.bars, wires, tuple(wording.held(rest.hold) for rest in row.rests))


def slim(row: WallRow) -> WallRow:
    """The row without what its trees hold beyond what it says of them."""
    return replace(row, trees=tuple(replace(tree, log=(), branches=()) for tree in row.trees))
