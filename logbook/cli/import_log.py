"""Bring earlier years in from a table: a day, a tree and what was done in each row, read as typed notes are.

The first row names the columns (date, tree, done). A day may be a year, a month or a season: 2019, 2019-04, spring 2021, ~2015.
A tree may be a tag, a name, or a range of tags: 1-22.
Rows that are in doubt wait like any line; the same table given again adds nothing, and new rows may stand anywhere in it.

examples:
  benchleaf import-log history.csv --dry-run
  benchleaf import-log history.csv --yes
"""

from __future__ import annotations

import argparse
import re
import sys
from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypedDict

from ..collection.model import tag_key
from ..diagnostics import counted, errors_in
from ..intake import archive, service
from ..intake.line_status import WAITING
from ..intake.log_table import AsNotes, LogRow, as_notes, rows_in
from ..intake.plan_items import UNSETTLED, Fate, Item, Plan
from .asking import CellAsked, confirmed
from .common import Opened, json_argument, today_argument
from .plan_told import item_line
from .results import DONE, PROBLEMS, QUESTION, Result
from .spreadsheet import file_grid
from .writing import writing


class RowData(TypedDict):
    """One entry that a row makes, and what becomes of it."""

    row: int
    tag: str
    fate: Fate
    entry: dict[str, object]
    told: str


class ImportData(TypedDict):
    """What the table leads to."""

    told: str
    items: list[RowData]
    questions: list[CellAsked]


SHAPE = ImportData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("file", type=Path, metavar="FILE.csv", help="the table: date, tree, what was done")
    parser.add_argument("--dry-run", action="store_true", help="show the plan; write nothing")
    parser.add_argument("--yes", action="store_true", help="write without asking")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Read the table, show what it leads to, and write it where that was agreed to."""
    shown = str(options.file)
    grid = file_grid(options.file)
    with writing(options) as (store, opened):
        settings = opened.collection.settings
        southern = bool(settings.site and settings.site.southern)
        notes = as_notes(rows_in(grid, shown, order=settings.date_order, southern=southern, tree_of=_tree_of(opened)))
        made = service.plan_log(opened, store.disk, notes, options.file.name)
        if options.dry_run:
            return _result(options, notes, made, "nothing written (--dry-run)")
        kept = archive.keep_text(store.disk, notes.text.encode(), opened.today)
        if made.edits and not options.yes and not _agreed(options, notes, made):
            return _result(options, notes, made, "nothing written: run again with --yes", QUESTION)
        filed = service.carry_out(store, made, kept, opened.today)
        standing = service.standing(opened, store.disk)
    wrote = filed.plan.of("write")
    told = f"wrote {counted(len(wrote), 'entry', 'entries')} into {counted(len({i.path for i in wrote}), 'file')}"
    if standing.waiting:
        told += f"; {counted(len(standing.waiting), 'line')} waiting in notes/{WAITING}"
    result = _result(options, notes, filed.plan, told, written=True)
    problems = (*filed.problems, *standing.doubts)
    return Result(
        PROBLEMS if errors_in(problems) else result.code, (*store.told(), *result.lines), result.data, problems
    )


def _tree_of(opened: Opened) -> Callable[[str], str]:
    """The tag that a cell of a table names: itself, the same number in another width, the one tree of that name; a range of them."""
    trees = opened.collection.trees
    tags = {tag_key(tree.tag): tree.tag for tree in trees}
    numbers = Counter(int(tree.tag) for tree in trees if tree.tag.isdecimal())
    by_number = {int(tree.tag): tree.tag for tree in trees if tree.tag.isdecimal() and numbers[int(tree.tag)] == 1}
    names = Counter(tree.name.casefold() for tree in trees if tree.name)
    by_name = {tree.name.casefold(): tree.tag for tree in trees if tree.name and names[tree.name.casefold()] == 1}

    def tag(cell: str) -> str:
        bare = tags.get(tag_key(cell)) or by_name.get(cell.casefold()) or _range_of(cell, by_number)
        return bare or (by_number.get(int(cell), cell) if cell.isdecimal() and cell.isascii() else cell)

    return tag


def _range_of(cell: str, by_number: Mapping[int, str]) -> str:
    """A range with its ends as the trees' tags have them; an empty string for what is none."""
    ends = re.fullmatch(r"(\d{1,5})\s*[-–]\s*(\d{1,5})", cell)
    tags = [by_number.get(int(end), "") for end in ends.groups()] if ends else []
    return "-".join(tags) if all(tags) else ""


def _agreed(options: argparse.Namespace, notes: AsNotes, made: Plan) -> bool:
    if options.json or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    return confirmed(options, _lines(notes, made), f"write {counted(len(made.of('write')), 'entry', 'entries')}?")


def _row_of(notes: AsNotes, item: Item) -> int:
    return notes.rows[item.reading.number].number


def _lines(notes: AsNotes, made: Plan, *, written: bool = False) -> list[str]:
    """The plan for the eye; what is there already is only counted. `written`: it was carried out."""
    there = len(made.of("there"))
    items = [item for item in made.items if item.fate != "there"]
    lines = [item_line(item, f"row {_row_of(notes, item)}", written=written) for item in items]
    return lines + ([f"  {counted(there, 'entry', 'entries')} already there"] if there else [])


def _asked(options: argparse.Namespace, row: LogRow, item: Item) -> CellAsked:
    field = "" if item.entry else "date" if item.tag or row.unread else "tree"
    return {
        "file": str(options.file),
        "row": row.number,
        "field": field,
        "cell": row.said,
        "question": item.why,
        "choices": [],
    }


def _result(
    options: argparse.Namespace, notes: AsNotes, made: Plan, told: str, code: int = DONE, *, written: bool = False
) -> Result:
    waits = (*made.of("question"), *made.of("left over"))
    data: ImportData = {
        "told": told,
        "items": [
            {"row": _row_of(notes, i), "tag": i.tag, "fate": i.fate, "entry": dict(i.entry), "told": i.told}
            for i in made.items
        ],
        "questions": [_asked(options, notes.rows[i.reading.number], i) for i in waits],
    }
    code = QUESTION if waits and code == DONE else code
    return Result(code, (*_lines(notes, made, written=written), _sum(notes, made), told), data)


def _sum(notes: AsNotes, made: Plan) -> str:
    """Every row of the table, once: it waits where any of it does."""
    fates: dict[int, set[str]] = {row.number: set() for row in notes.rows.values()}
    for item in made.items:
        fates[_row_of(notes, item)].add("waiting" if item.fate in UNSETTLED else item.fate)
    waiting = sum("waiting" in found for found in fates.values())
    new = sum("write" in found and "waiting" not in found for found in fates.values())
    there = len(fates) - waiting - new
    parts = ((new, "to write"), (there, "already there"), (waiting, "waiting"))
    return f"{counted(len(fates), 'row')} = " + (" + ".join(f"{n} {word}" for n, word in parts if n) or "0")
