"""A table of earlier years as notes: each row's day, tree and words, to be read like any typed line. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from ..collection.tree_table.cells import Doubt, day_of, orders_open, tag_of
from ..collection.tree_table.grid import Grid, GridRow
from ..diagnostics import Place, Problem, ProblemsFound, stop
from ..values import dataclass
from .grammar.listed import listed
from .grammar.readings import Reading

MOST_ROWS = 20_000
MOST_HEAD_WORDS = 5
SURE = 0.8  # of the cells, where no head tells what a column holds
_COLUMNS = {
    "day": listed("date day when dated datum year fecha data 日付 年月日"),
    "tree": listed("tree trees tag no nr number name plant id label which baum arbre árbol nr 番号 樹 樹名 木"),
    "said": listed(
        "what done work works did job note notes remark remarks comment comments entry action description event detail details text "
        "measure measured measurement measurements size sizes arbeit was notiz bemerkung travail trabajo 作業 内容 備考"
    ),
}
HEAD_WITHIN = 12  # rows
_SEASONS = {"21": "spring", "22": "summer", "23": "autumn", "24": "winter"}
_DITTO = listed('" “ ” 〃 ditto do do. -"- same')
_SEVERAL = re.compile(
    r"(?:all|every|each|alle|tous|todos)(?:\s+(?:of them|trees?|the trees))?|(?=[\w-]*\d)[\w-]++(?:\s*+(?:[,;+&/]|\band\b)\s*+(?=[\w-]*\d)[\w-]++)+",
    re.IGNORECASE,
)
_RANGE = re.compile(r"[^\W\d_]{0,6}\d{1,5}[-–][^\W\d_]{0,6}\d{1,5}")
_NO_YEAR = re.compile(r"[^\W\d_]+\.?\s*\d{0,2}|\d{1,2}\.?\s*[^\W\d_]+\.?")  # 12 Mar, March
_TAGLIKE = re.compile(r"#?[A-Za-z]{0,4}[-.]?\d{1,5}[A-Za-z]?")


@dataclass(frozen=True, slots=True)
class LogRow:
    """A row of the table: the line of the file on which it begins, and its cells by what they are for."""

    number: int
    tree: str
    day: str
    said: str
    unread: str = ""  # why it can't be told what day it is of, or that it is of no tree


@dataclass(frozen=True, slots=True)
class AsNotes:
    """The table as notes; `rows`: which row a line of them is of, by its number."""

    text: str
    rows: Mapping[int, LogRow]

    def begins_row(self, number: int) -> bool:
        """Whether a line of the notes is a row's header, and not its words."""
        return self.rows.get(number + 1) is self.rows[number]


def rows_in(
    grid: Grid,
    shown: str,
    *,
    order: str = "",
    southern: bool = False,
    tree_of: Callable[[str], str] = lambda cell: cell,
) -> list[LogRow]:
    """Rows with their day, tree and words. `order` of day and month, where the column's own figures leave it open.

    `tree_of`: the tag that a cell names, by another spelling or the tree's name. Raises ProblemsFound for a table whose columns can't be told.
    """
    if len(grid.rows) > MOST_ROWS:
        raise stop(f"more than {MOST_ROWS:,} rows", path=shown, hint="give the table in parts")
    at, first = _columns(grid, shown)
    rows = grid.rows[first:]
    days = [row.cells[at["day"][0]] for row in rows if at["day"][0] < len(row.cells)]
    open_orders = orders_open(days)
    order = open_orders[0] if len(open_orders) == 1 else order
    heads = grid.rows[first - 1].cells if first else ()
    reading = _Reading(at, heads, order, southern, tree_of)
    return list(reading.rows(rows))


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


@dataclass(slots=True)
class _Reading:
    """What rows are read with, and what a row takes from those above it: a year that stands alone, a cell that says `ditto`."""

    at: Mapping[str, Sequence[int]]
    heads: Sequence[str]
    order: str
    southern: bool
    tree_of: Callable[[str], str]
    year: str = ""
    above: tuple[str, ...] = ()

    def rows(self, rows: Sequence[GridRow]) -> Iterator[LogRow]:
        """The rows that tell something of a tree."""
        for row in rows:
            alone = next(filter(None, row.cells)) if row.filled == 1 else ""
            if re.fullmatch(r"\d{4}", alone):
                self.year = alone
            elif alone:
                yield LogRow(row.number, "", "", alone, f"'{alone}' stands alone: of which tree, and which day?")
            else:
                cells = tuple(
                    self.above[n] if cell.casefold() in _DITTO and n < len(self.above) else cell
                    for n, cell in enumerate(row.cells)
                )
                self.above = cells
                yield self._row(row.number, cells)

    def _row(self, number: int, cells: Sequence[str]) -> LogRow:
        def cell(place: int) -> str:
            return cells[place] if place < len(cells) else ""

        wide = self.at["all"][0]
        beyond = range(wide, len(cells))  # an unquoted separator in the last cell
        known = {*self.at["day"], *self.at["tree"], *self.at["said"]}
        others = [n for n in range(min(wide, len(self.heads))) if n not in known and cell(n)]
        gauge = next((n for n in others if _is_gauge(self.heads[n], cell(n))), -1)
        parts = [cell(place) for place in (*self.at["said"], *beyond)]
        if parts[0] and gauge >= 0:
            parts[0] += f" {cell(gauge).removesuffix('mm').strip()} mm"
            others.remove(gauge)
        parts += [_beside(self.heads[n], cell(n)) for n in others]
        when, tree = cell(self.at["day"][0]), self.tree_of(tag_of(cell(self.at["tree"][0])))
        day = self._day(when)
        return LogRow(number, tree, day or when, "; ".join(filter(None, parts)), _unread(when, day, tree))

    def _day(self, cell: str) -> str:
        """A date's cell as notes have it: 2024-03 for 03/2024, ~2015 for about 2015; empty for what is no day of a known year."""
        if self.year and _NO_YEAR.fullmatch(cell):
            cell = f"{cell} {self.year}"
        found = day_of(cell, self.order, southern=self.southern)
        if isinstance(found, Doubt):
            return cell if found.choices else ""
        bare, about = found.rstrip("~?%"), "~" if found[-1] in "~?%" else ""
        year, _, code = bare.partition("-")
        return f"{about}{_SEASONS[code]} {year}" if code in _SEASONS else f"{about}{bare}"


def _unread(when: str, day: str, tree: str) -> str:
    """Why a row waits; empty where it can be read."""
    if _SEVERAL.fullmatch(tree):
        return f"'{tree}' may be several trees: write a range of them, as 1-22, or a row for each"
    if when and not day:
        return f"'{when}' is no day that is known: write 2019, 2019-04, spring 2021 or ~2015"
    return ""


def _is_gauge(head: str, cell: str) -> bool:
    """Whether a column of its own holds the wire's thickness."""
    return bool(re.search(r"\bwire\b", head, re.IGNORECASE) and re.fullmatch(r"\d(?:[.,]\d+)?(?:\s*mm)?", cell))


def _beside(head: str, cell: str) -> str:
    """What a column of its own says: strength, time, hand, what comes next; of any other the words, with its head."""
    words = set(re.findall(r"[^\W\d_]+", head.casefold()))
    number = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*(h|hrs?|hours?|min|minutes?)?", cell, re.IGNORECASE)
    if words & {"vigour", "vigor"} and re.fullmatch(r"[1-5]", cell):
        return f"vigour {cell}"
    if number and words & {"hours", "hrs", "minutes", "min", "time"}:
        hours = words & {"hours", "hrs"} or (number[2] or "").casefold().startswith("h")
        return f"{round(float(number[1].replace(',', '.')) * (60 if hours else 1))} min"
    if words & {"by", "who"}:
        return f"by {cell}"
    return f"note {head}: {cell}"


def as_notes(rows: Sequence[LogRow]) -> AsNotes:
    """Each row under its tree's header, or that of a range of trees, so that none takes its day from the one above."""
    lines: list[str] = []
    places: dict[int, LogRow] = {}
    for row in rows:
        head = "trees" if _RANGE.fullmatch(row.tree) else "tree"
        lines += [f"{head} {row.tree or '?'}", " ".join(filter(None, (row.day, row.said))) or "-"]
        places[len(lines)] = places[len(lines) - 1] = row
    return AsNotes("\n".join(lines) + ("\n" if lines else ""), places)


def told_by(table: AsNotes, readings: Iterable[Reading], name: str) -> list[Reading]:
    """The readings of a table's notes, each with its row of the file; a row that can't be read waits with its reason."""
    found: list[Reading] = []
    for reading in readings:
        row, source = table.rows[reading.number], f"log {name}:{table.rows[reading.number].number}"
        if not row.unread and not (reading.header and table.begins_row(reading.number)):  # the row itself says it
            found.append(replace(reading, row=source))
    lines = table.text.splitlines()
    for number, row in table.rows.items():
        if row.unread and not table.begins_row(number):
            tags = (row.tree,) if row.tree and not re.search(r"[\s,;]", row.tree) else ()
            source = f"log {name}:{row.number}"
            found.append(Reading(number, lines[number - 1], tags, fault=row.unread, hint=_MEND, row=source))
    return sorted(found, key=lambda reading: reading.number)


_MEND = "mend it here, or in the table and give that again"
