"""Pocket pages onto sheets of paper: several up, cut marks, and backs in register with their fronts.

Coordinates only; pages are never scaled. Turning paper over its long edge mirrors the columns of a portrait sheet;
over its short edge it mirrors the rows and turns each page by half a circle (landscape: the other way round).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .page import Item, Page, Paper, Placed, Rule

CUT_MM = 3.5


@dataclass(frozen=True, slots=True)
class Grid:
    """Where pages of one size stand on the paper; `left` and `top` centre the block of pages."""

    paper_width: float
    paper_height: float
    page_width: float
    page_height: float
    columns: int
    rows: int
    gap: float = 0.0

    @property
    def left(self) -> float:
        return (self.paper_width - self.columns * self.page_width - (self.columns - 1) * self.gap) / 2

    @property
    def top(self) -> float:
        return (self.paper_height - self.rows * self.page_height - (self.rows - 1) * self.gap) / 2

    @property
    def count(self) -> int:
        return self.columns * self.rows

    def slot(self, index: int) -> tuple[float, float]:
        """Top left corner of a slot on the front."""
        row, column = divmod(index, self.columns)
        return (self.left + column * (self.page_width + self.gap), self.top + row * (self.page_height + self.gap))

    def back_slot(self, index: int, edge: str) -> tuple[float, float, bool]:
        """Where the back of that slot stands, and whether it is turned, for a flip over `edge`."""
        x, y = self.slot(index)
        portrait = self.paper_height >= self.paper_width
        if (edge == "long") == portrait:
            return self.paper_width - x - self.page_width, y, False
        return x, self.paper_height - y - self.page_height, True


def grid_for(paper: tuple[float, float], page: tuple[float, float], gap: float = 0.0, margin: float = 0.0) -> Grid:
    """As many pages as the paper holds inside its margin."""
    columns = int((paper[0] - 2 * margin + gap + 0.01) // (page[0] + gap))
    rows = int((paper[1] - 2 * margin + gap + 0.01) // (page[1] + gap))
    return Grid(paper[0], paper[1], page[0], page[1], max(columns, 0), max(rows, 0), gap)


def impose(
    leaves: Sequence[tuple[Page, Page | None]], grid: Grid, edge: str = "long", cut: bool = True
) -> list[Paper]:
    """Leaves (front, back) onto paper: each front side is followed by its back side where any leaf has one."""
    papers: list[Paper] = []
    marks = cut_marks(grid) if cut else ()
    for start in range(0, len(leaves), grid.count):
        group = leaves[start : start + grid.count]
        fronts = tuple(Placed(front, *grid.slot(i)) for i, (front, _) in enumerate(group))
        papers.append(Paper(grid.paper_width, grid.paper_height, fronts, marks))
        if any(back for _, back in leaves):
            backs = tuple(Placed(back, *grid.back_slot(i, edge)) for i, (_, back) in enumerate(group) if back)
            papers.append(Paper(grid.paper_width, grid.paper_height, backs))
    return papers


def cut_marks(grid: Grid) -> tuple[Item, ...]:
    """Short lines at the trim edges in the paper's margin, and crosses where four pages meet."""
    xs, ys = (
        _edges(grid.left, grid.page_width, grid.gap, grid.columns),
        _edges(grid.top, grid.page_height, grid.gap, grid.rows),
    )
    marks: list[Item] = []
    top, bottom, left, right = ys[0], ys[-1], xs[0], xs[-1]
    for x in xs:
        marks += [
            Rule(x, max(0.0, top - CUT_MM), x, top, 0.15),
            Rule(x, bottom, x, min(grid.paper_height, bottom + CUT_MM), 0.15),
        ]
    for y in ys:
        marks += [
            Rule(max(0.0, left - CUT_MM), y, left, y, 0.15),
            Rule(right, y, min(grid.paper_width, right + CUT_MM), y, 0.15),
        ]
    for x in xs:
        marks += [Rule(x - 1.5, y, x + 1.5, y, 0.15) for y in ys]
        marks += [Rule(x, y - 1.5, x, y + 1.5, 0.15) for y in ys]
    return tuple(marks)


def _edges(start: float, size: float, gap: float, count: int) -> list[float]:
    edges: list[float] = []
    for index in range(count):
        begin = start + index * (size + gap)
        edges += [begin, begin + size] if gap or not edges else [begin + size]
    return edges
