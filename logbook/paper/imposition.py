"""Pocket pages onto sheets of paper: several up, cut marks, backs in register with their fronts, and booklets.

Coordinates only; pages are never scaled. Turning paper over its long edge mirrors the columns of a portrait sheet;
over its short edge it mirrors the rows and turns each page by half a circle (landscape: the other way round).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice

from ..values import dataclass
from .page import Item, Page, Paper, Placed, Rule, moved

CUT_MM = 3.5
CREEP_MM = 0.1  # how far each further sheet of a fold pushes its pages out
Leaf = tuple[Page, Page | None]


@dataclass(frozen=True, slots=True)
class Grid:
    """Where pages of one size stand on the paper, the first one's corner and the distance to the next, mm."""

    paper_width: float
    paper_height: float
    page_width: float
    page_height: float
    columns: int
    rows: int
    corner: tuple[float, float]
    pitch: tuple[float, float]
    ready_cut: bool = False

    @property
    def count(self) -> int:
        """How many pages stand on one side of the paper."""
        return self.columns * self.rows

    def slot(self, index: int) -> tuple[float, float]:
        """Top left corner of a slot on the front."""
        row, column = divmod(index, self.columns)
        return self.corner[0] + column * self.pitch[0], self.corner[1] + row * self.pitch[1]

    def back_slot(self, index: int, edge: str) -> tuple[float, float, bool]:
        """Where the back of that slot stands, and whether it is turned, for a flip over `edge`."""
        x, y = self.slot(index)
        portrait = self.paper_height >= self.paper_width
        if (edge == "long") == portrait:
            return self.paper_width - x - self.page_width, y, False
        return x, self.paper_height - y - self.page_height, True


@dataclass(frozen=True, slots=True)
class Shift:
    """What a printer that is off is told: mm to the right and down, for every side and once more for backs."""

    every: tuple[float, float] = (0.0, 0.0)
    back: tuple[float, float] = (0.0, 0.0)


UNMOVED = Shift()


def grid_for(paper: tuple[float, float], page: tuple[float, float], gap: float = 0.0, margin: float = 0.0) -> Grid:
    """As many pages as the paper holds inside its margin, centred."""
    columns = max(0, int((paper[0] - 2 * margin + gap + 0.01) // (page[0] + gap)))
    rows = max(0, int((paper[1] - 2 * margin + gap + 0.01) // (page[1] + gap)))
    corner = (
        (paper[0] - columns * page[0] - (columns - 1) * gap) / 2,
        (paper[1] - rows * page[1] - (rows - 1) * gap) / 2,
    )
    return Grid(*paper, *page, columns, rows, corner, (page[0] + gap, page[1] + gap))


def impose(
    leaves: Iterable[Leaf],
    grid: Grid,
    edge: str = "long",
    *,
    cut: bool = True,
    inner_marks: bool = True,
    two_sided: bool = True,
    shift: Shift = UNMOVED,
) -> Iterator[Paper]:
    """Leaves (front, back) onto paper as they come; where `two_sided`, each front side is followed by its back side.

    `inner_marks`: crosses between pages besides the lines in the paper's margin.
    """
    marks = cut_marks(grid, inner=inner_marks) if cut and not grid.ready_cut else ()
    waiting = iter(leaves)
    while group := list(islice(waiting, grid.count)):
        fronts = tuple(Placed(front, *grid.slot(i)) for i, (front, _) in enumerate(group))
        yield _shifted(Paper(grid.paper_width, grid.paper_height, fronts, marks), shift.every)
        if two_sided:
            backs = tuple(Placed(back, *grid.back_slot(i, edge)) for i, (_, back) in enumerate(group) if back)
            both = (shift.every[0] + shift.back[0], shift.every[1] + shift.back[1])
            yield _shifted(Paper(grid.paper_width, grid.paper_height, backs), both)


def _shifted(paper: Paper, by: tuple[float, float]) -> Paper:
    if by == (0.0, 0.0):
        return paper
    return replace(
        paper,
        placed=tuple(replace(p, x=p.x + by[0], y=p.y + by[1]) for p in paper.placed),
        marks=tuple(moved(mark, *by) for mark in paper.marks),
    )


def booklet_leaves(pages: Sequence[Page], blank: Page) -> list[Leaf]:
    """Pages in reading order as spreads for a saddle stitch: (outer side, inner side) of each folded sheet.

    Nested into one another and folded, the sheets show the pages in order. Blank pages fill up to a multiple of four,
    before the last page, which is the cover's back. Inner sheets are pushed out by `CREEP_MM` each: their pages move
    towards the fold by as much.
    """
    full = list(pages)
    while len(full) % 4 or len(full) < 4:
        full.insert(max(1, len(full) - 1), blank)
    count = len(full)
    spreads: list[Leaf] = []
    for sheet in range(count // 4):
        creep = CREEP_MM * sheet
        outer = _spread(full[count - 1 - 2 * sheet], full[2 * sheet], creep)
        inner = _spread(full[2 * sheet + 1], full[count - 2 - 2 * sheet], creep)
        spreads.append((outer, inner))
    return spreads


def _spread(left: Page, right: Page, creep: float) -> Page:
    """Two pages side by side as one wide page, the fold between them."""
    items = (*(moved(i, creep, 0.0) for i in left.items), *(moved(i, left.width - creep, 0.0) for i in right.items))
    blocks = (
        *(replace(b, name=f"{b.name} left", x=b.x + creep) for b in left.blocks),
        *(replace(b, name=f"{b.name} right", x=b.x + left.width - creep) for b in right.blocks),
    )
    label = " | ".join((left.label or "blank", right.label or "blank"))
    return Page(left.width + right.width, left.height, items, blocks, label)


def cut_marks(grid: Grid, *, inner: bool = True) -> tuple[Item, ...]:
    """Short lines at the trim edges in the paper's margin, and where `inner` crosses where four pages meet."""
    xs = _edges(grid.corner[0], grid.page_width, grid.pitch[0], grid.columns)
    ys = _edges(grid.corner[1], grid.page_height, grid.pitch[1], grid.rows)
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
    for x in xs if inner else ():
        marks += [Rule(x - 1.5, y, x + 1.5, y, 0.15) for y in ys]
        marks += [Rule(x, y - 1.5, x, y + 1.5, 0.15) for y in ys]
    return tuple(marks)


def _edges(start: float, size: float, pitch: float, count: int) -> list[float]:
    edges: list[float] = []
    for index in range(count):
        begin = start + index * pitch
        edges += [begin, begin + size] if pitch > size + 1e-6 or not edges else [begin + size]
    return edges
