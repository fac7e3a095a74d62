"""A table of earlier years as notes: each row's day, tree and words, to be read like any typed line. Pure."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..collection.dates import month_number
from ..diagnostics import Place, Problem, ProblemsFound, stop
from .grammar.listed import listed

MOST_ROWS = 20_000
_COLUMNS = {
    "day": listed("date day when dated datum year"),
    "tree": listed("tree tag no nr number name plant id label"),
    "said": listed("what done work works did note notes remark remarks entry action description event details text"),
}
_MONTH_YEAR = re.compile(r"(\d{1,2})[./-](\d{4})|(\d{4})[./](\d{1,2})")
_ABOUT = re.compile(r"(?:ca\.?|c\.|circa|about|approx\.?|around)\s*(\d{4})", re.IGNORECASE)
_MONTH_NAMED = re.compile(r"([^\W\d_]{3,9})\.?,?\s+'?(\d{4})")


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


def rows_in(text: str, shown: str) -> list[LogRow]:
    """Rows with their day, tree and words. Raises ProblemsFound for a table whose columns can't be told."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = plain.split("\n")
    first = next((line for line in lines if line.strip()), "")
    if not first:
        raise stop("the table is empty", path=shown, hint="its first row names the columns: date,tree,what was done")
    reader = csv.reader(io.StringIO(plain), delimiter=max(",;\t", key=first.count), skipinitialspace=True)
    found: list[LogRow] = []
    at: dict[str, list[int]] = {}
    before = 0
    try:
        for cells in reader:
            number, before = before + 1, reader.line_num
            if not any(cell.strip() for cell in cells):
                continue
            if not at:
                at = _columns(cells, number, shown)
                continue
            found.append(_row(cells, number, at))
            if len(found) > MOST_ROWS:
                raise stop(f"more than {MOST_ROWS:,} rows", path=shown, hint="give the table in parts")
    except csv.Error as error:
        problem = Problem(
            f"the row can't be read: {error}", Place(shown, reader.line_num, 1), "check the double quotes"
        )
        raise ProblemsFound([problem]) from None
    return found


def _columns(cells: Sequence[str], number: int, shown: str) -> dict[str, list[int]]:
    """Where the day, the tree and the words stand, by the header. Raises ProblemsFound."""
    at: dict[str, list[int]] = {kind: [] for kind in _COLUMNS}
    for place, cell in enumerate(cells):
        words = re.findall(r"[^\W\d_]+", cell.casefold())
        kind = next((k for k, known in _COLUMNS.items() if any(w in known for w in words)), "")
        if kind:
            at[kind].append(place)
    at["all"] = [len(cells)]
    missing = [kind for kind in ("day", "tree", "said") if not at[kind]]
    if missing:
        named = {"day": "date", "tree": "tree", "said": "what was done"}
        why = f"no column is named as that of the {' and the '.join(named[kind] for kind in missing)}"
        raise ProblemsFound(
            [Problem(why, Place(shown, number, 1), "name the columns in the first row: date,tree,done")]
        )
    return at


def _row(cells: Sequence[str], number: int, at: Mapping[str, Sequence[int]]) -> LogRow:
    def cell(place: int) -> str:
        return " ".join(cells[place].split()) if place < len(cells) else ""

    beyond = range(at["all"][0], len(cells))  # an unquoted separator in the last cell
    said = "; ".join(filter(None, (cell(place) for place in (*at["said"], *beyond))))
    return LogRow(number, cell(at["tree"][0]), _day(cell(at["day"][0])), said)


def _day(cell: str) -> str:
    """A date's cell as notes have it: 2024-03 for 03/2024, ~2015 for about 2015; others as they stand."""
    both = _MONTH_YEAR.fullmatch(cell)
    if both:
        month, year = (both[1], both[2]) if both[2] else (both[4], both[3])
        return f"{year}-{int(month):02d}"
    about = _ABOUT.fullmatch(cell)
    if about:
        return f"~{about[1]}"
    named = _MONTH_NAMED.fullmatch(cell)
    if named and month_number(named[1]):
        return f"{named[2]}-{month_number(named[1]):02d}"
    return re.sub(r"(?<=\d)[T ]\d{1,2}:\d{2}(?::\d{2})?$", "", cell)


def as_notes(rows: Sequence[LogRow]) -> AsNotes:
    """Each row under its tree's header, so that no row takes its day from the one above."""
    lines: list[str] = []
    places: dict[int, LogRow] = {}
    for row in rows:
        lines += [f"tree {row.tree or '?'}", " ".join(filter(None, (row.day, row.said))) or "-"]
        places[len(lines)] = places[len(lines) - 1] = row
    return AsNotes("\n".join(lines) + ("\n" if lines else ""), places)
