"""A table of earlier years as notes: each row's day, tree and words, to be read like any typed line. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from ..collection.tree_table.cells import Doubt, day_of, orders_open, tag_of
from ..collection.tree_table.grid import Grid, GridRow
from ..diagnostics import Place, Problem, ProblemsFound, stop
from .grammar.listed import listed

MOST_ROWS = 20_000
MOST_HEAD_WORDS = 5
SURE = 0.8  # of the cells, where no head tells what a column holds
_COLUMNS = {
    "day": listed("date day when dated datum year"),
    "tree": listed("tree tag no nr number name plant id label"),
    "said": listed("what done work works did note notes remark remarks entry action description event details text"),
}
HEAD_WITHIN = 12  # rows
_SEASONS = {"21": "spring", "22": "summer", "23": "autumn", "24": "winter"}
_TAGLIKE = re.compile(r"#?[A-Za-z]{0,4}[-.]?\d{1,5}[A-Za-z]?")


@dataclass(frozen=True, slots=True)
class LogRow:
    """A row of the table: the line of the file on which it begins, and its cells by what they are for."""

    number: int
    tree: str
    day: str
    said: str


@dataclass(frozen=True, slots=True)
class AsNotes:
    """The table as notes; `rows`: which row a line of them is of, by its number."""

    text: str
    rows: Mapping[int, LogRow]


def rows_in(grid: Grid, shown: str, *, order: str = "", southern: bool = False) -> list[LogRow]:
    """Rows with their day, tree and words. `order` of day and month, where the column's own figures leave it open.

    Raises ProblemsFound for a table whose columns can't be told.
    """
    if len(grid.rows) > MOST_ROWS:
        raise stop(f"more than {MOST_ROWS:,} rows", path=shown, hint="give the table in parts")
    at, first = _columns(grid, shown)
    rows = grid.rows[first:]
    days = [row.cells[at["day"][0]] for row in rows if at["day"][0] < len(row.cells)]
    open_orders = orders_open(days)
    order = open_orders[0] if len(open_orders) == 1 else order
    return [_row(row, at, order, southern) for row in rows if row.filled > 1]


def _columns(grid: Grid, shown: str) -> tuple[dict[str, list[int]], int]:
    """Where the day, the tree and the words stand, by the head or by the cells; and the first row below. Raises ProblemsFound."""
    heads = [(_by_head(row), n) for n, row in enumerate(grid.rows[:HEAD_WITHIN])]
    at, place = max(heads, key=lambda head: (sum(map(bool, head[0].values())), -head[1]))
    missing = [kind for kind in _COLUMNS if not at[kind]]
    if missing:
        by_cells = _by_cells(grid)
        if by_cells is not None:
            at, place = by_cells, -1
            missing = []
    if missing:
        named = {"day": "date", "tree": "tree", "said": "what was done"}
        why = f"no column is named as that of the {' and the '.join(named[kind] for kind in missing)}"
        line = Place(shown, grid.rows[max(place, 0)].number, 1)
        raise ProblemsFound([Problem(why, line, "name the columns in the first row: date,tree,done")])
    wide = len(grid.rows[max(place, 0)].cells)
    return {**at, "all": [wide]}, place + 1


def _by_head(row: GridRow) -> dict[str, list[int]]:
    at: dict[str, list[int]] = {kind: [] for kind in _COLUMNS}
    for place, cell in enumerate(row.cells):
        words = re.findall(r"[^\W\d_]+", cell.casefold())
        kind = next((k for k, known in _COLUMNS.items() if any(w in known for w in words)), "")
        if kind and len(words) <= MOST_HEAD_WORDS:
            at[kind].append(place)
    return at


def _by_cells(grid: Grid) -> dict[str, list[int]] | None:
    """A table without heads: a column of days, one of tags, and the rest in words."""
    wide = max(len(row.cells) for row in grid.rows)
    columns = [[row.cells[n] for row in grid.rows if n < len(row.cells) and row.cells[n]] for n in range(wide)]
    shares = {
        "day": [_share(cells, lambda cell: not isinstance(day_of(cell, "day-month"), Doubt)) for cells in columns],
        "tree": [_share(cells, lambda cell: bool(_TAGLIKE.fullmatch(cell))) for cells in columns],
    }
    day = max(range(wide), key=lambda n: shares["day"][n])
    tree = max((n for n in range(wide) if n != day), key=lambda n: shares["tree"][n], default=day)
    rest = [n for n in range(wide) if n not in (day, tree)]
    sure = min(shares["day"][day], shares["tree"][tree]) >= SURE
    return {"day": [day], "tree": [tree], "said": rest} if sure and tree != day and rest else None


def _share(cells: Sequence[str], fits: Callable[[str], bool]) -> float:
    return sum(map(fits, cells)) / len(cells) if cells else 0.0


def _row(row: GridRow, at: Mapping[str, Sequence[int]], order: str, southern: bool) -> LogRow:
    def cell(place: int) -> str:
        return row.cells[place] if place < len(row.cells) else ""

    beyond = range(at["all"][0], len(row.cells))  # an unquoted separator in the last cell
    said = "; ".join(filter(None, (cell(place) for place in (*at["said"], *beyond))))
    return LogRow(row.number, tag_of(cell(at["tree"][0])), _day(cell(at["day"][0]), order, southern), said)


def _day(cell: str, order: str, southern: bool) -> str:
    """A date's cell as notes have it: 2024-03 for 03/2024, ~2015 for about 2015; what is no date as it stands."""
    found = day_of(cell, order, southern=southern)
    if not cell or isinstance(found, Doubt):
        return cell
    bare, about = found.rstrip("~?%"), "~" if found[-1] in "~?%" else ""
    year, _, code = bare.partition("-")
    return f"{about}{_SEASONS[code]} {year}" if code in _SEASONS else f"{about}{bare}"


def as_notes(rows: Sequence[LogRow]) -> AsNotes:
    """Each row under its tree's header, so that no row takes its day from the one above."""
    lines: list[str] = []
    places: dict[int, LogRow] = {}
    for row in rows:
        lines += [f"tree {row.tree or '?'}", " ".join(filter(None, (row.day, row.said))) or "-"]
        places[len(lines)] = places[len(lines) - 1] = row
    return AsNotes("\n".join(lines) + ("\n" if lines else ""), places)
