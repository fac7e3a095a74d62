"""New trees before they stand in files: rows given by hand or from a CSV table, checked as their files would be read.

Pure but for reading the table. Faults are told by row and column.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Protocol

from ..diagnostics import Place, Problem, ProblemsFound, errors_in, nearest, stop, tally
from .load import Lexicon, read_tree, tree_context
from .model import Collection, Tree, tag_key
from .yaml_editor import Value, file_with
from .yaml_reader import file_text

QUOTE_OPEN = "unexpected end of data"  # what the csv module says
TREE_KEYS = ("tag", "name", "species", "cultivar", "group", "started", "style", "bench", "aim", "front")
FOUND_KEYS = ("stage", "repotted", "vigour")
COLUMNS = (*TREE_KEYS, *FOUND_KEYS)


@dataclass(frozen=True, slots=True)
class Row:
    """One tree as given, and where each value came from."""

    values: Mapping[str, str]
    places: Mapping[str, Place] = field(default_factory=dict)
    place: Place = field(default_factory=lambda: Place(""))


@dataclass(frozen=True, slots=True)
class Ground:
    """What rows are checked against; `is_file` says whether a path of the collection is taken."""

    collection: Collection
    lexicon: Lexicon
    today: date
    is_file: Callable[[str], bool]


def read_table(path: Path) -> list[Row]:
    """Rows of a CSV table with a header. Raises ProblemsFound with row and column."""
    shown = str(path)
    text = file_text(path, shown)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    if not text.strip():
        raise stop("the table is empty", path=shown, hint="its first row names the columns, as in: tag,species,name")
    delimiter = max(",;\t", key=lines[0].count)
    reader = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
    header = [cell.strip().casefold() for cell in next(reader)]
    _check_header(header, lines[0], shown)
    rows: list[Row] = []
    problems: list[Problem] = []
    before = reader.line_num
    for cells in _rows_of(reader, shown):
        number, before = before + 1, reader.line_num
        source = lines[number - 1] if number <= len(lines) else ""
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) > len(header):
            problems.append(
                Problem(
                    f"row {number} has {len(cells)} cells, the header {len(header)}",
                    Place(shown, number, 1, len(source), source),
                    f"put a cell that holds '{delimiter}' in double quotes",
                )
            )
        places = _places(cells, header, number, source, shown)
        values = {name: cell.strip() for name, cell in zip(header, cells, strict=False) if cell.strip()}
        rows.append(Row(values, places, Place(shown, number, 1, max(1, len(source)), source)))
    if problems:
        raise ProblemsFound(problems)
    return rows


class _Reader(Protocol):
    """What the library reads a table with: its rows, and the number of the line it has come to, from 1."""

    @property
    def line_num(self) -> int: ...

    def __iter__(self) -> Iterator[list[str]]: ...


def _rows_of(reader: _Reader, shown: str) -> Iterator[list[str]]:
    """The reader's rows; what it can't read is told with its row."""
    try:
        yield from reader
    except csv.Error as error:
        what = "a quoted cell is never closed" if QUOTE_OPEN in str(error) else f"the row can't be read: {error}"
        raise ProblemsFound([Problem(what, Place(shown, reader.line_num, 1), "check the double quotes")]) from None


def _check_header(header: list[str], source: str, shown: str) -> None:
    problems = []
    for name in header:
        if name not in COLUMNS:
            close = nearest(name, COLUMNS)
            place = Place(shown, 1, source.casefold().find(name) + 1 if name else 1, max(1, len(name)), source)
            hint = f"did you mean '{close}'?" if close else f"columns: {', '.join(COLUMNS)}"
            problems.append(Problem(f"'{name}' is no column of a table of trees", place, hint))
    doubled = {n for n in header if header.count(n) > 1}
    problems += [
        Problem(f"the column '{n}' stands twice", Place(shown, 1, 1, len(source), source)) for n in sorted(doubled)
    ]
    if "tag" not in header:
        problems.append(
            Problem(
                "there is no column 'tag'", Place(shown, 1, 1, len(source), source), "every tree needs its own tag"
            )
        )
    if problems:
        raise ProblemsFound(problems)


def _places(cells: list[str], header: list[str], number: int, source: str, shown: str) -> dict[str, Place]:
    places: dict[str, Place] = {}
    at = 0
    for name, cell in zip(header, cells, strict=False):
        found = source.find(cell, at) if cell else -1
        if found >= 0:
            at = found + len(cell)
        places[name] = Place(shown, number, max(found, 0) + 1, max(1, len(cell)), source)
    return places


def checked(
    ground: Ground, rows: Sequence[Row], origin: Mapping[str, Value] | None = None
) -> tuple[dict[str, str], list[str]]:
    """Texts of new files by path, and tags already there. Raises ProblemsFound for any fault, with all of them."""
    problems: list[Problem] = []
    texts: dict[str, str] = {}
    there: list[str] = []
    seen: set[str] = set()
    for row in rows:
        text = _file_text(row.values, ground.today, origin)
        tree, faults = _read(ground, row, text)
        problems += faults
        if tree is None or faults:
            continue
        fault = _doubled(tree, row, seen) or _in_use(ground, tree, row)
        seen.add(tag_key(tree.tag))
        old = ground.collection.tree(tree.tag)
        if fault:
            problems.append(fault)
        elif old is not None:
            there.append(old.tag)
        else:
            texts[f"trees/{tree.tag}.yaml"] = text
    if problems:
        if any(p.place and p.place.line for p in problems):
            problems.append(Problem(tally(problems, 1, "nothing was written"), severity="warning"))
        raise ProblemsFound(problems)
    return texts, there


def _read(ground: Ground, row: Row, text: str) -> tuple[Tree | None, list[Problem]]:
    """The tree as its file would be read, and its faults, each at the cell it came from."""
    tree, faults = read_tree(text, "new", tree_context(ground.collection.settings, ground.lexicon))
    return tree, [_placed(fault, row) for fault in errors_in(faults)] + (
        _to_come(tree, row, ground.today) if tree else []
    )


def _doubled(tree: Tree, row: Row, seen: set[str]) -> Problem | None:
    if tag_key(tree.tag) not in seen:
        return None
    place = row.places.get("tag", row.place)
    return Problem(f"the tag '{tree.tag}' stands twice", place, "a tag is never used again")


def _in_use(ground: Ground, tree: Tree, row: Row) -> Problem | None:
    """The tag belongs to another tree, or to a file that can't be read."""
    old = ground.collection.tree(tree.tag)
    if old is not None:
        return _clash(old, tree, row)
    path = f"trees/{tree.tag}.yaml"
    if not ground.is_file(path):
        return None
    place = row.places.get("tag", row.place)
    return Problem(f"{path} exists already and can't be read as a tree", place, "mend it first: benchleaf check")


def _to_come(tree: Tree, row: Row, today: date) -> list[Problem]:
    """What can't have been yet."""
    found = tree.log[0].found if tree.log else None
    dated = {"started": tree.started, "repotted": found.repotted if found else None}
    return [
        Problem(f"{key}: {when.told()} is still to come", row.places.get(key, row.place), "correct the date")
        for key, when in dated.items()
        if when and when.earliest > today
    ]


def _file_text(values: Mapping[str, str], today: date, origin: Mapping[str, Value] | None) -> str:
    keys: dict[str, Value] = {key: values[key] for key in TREE_KEYS if key in values}
    keys |= {"origin": origin} if origin else {}
    keys.setdefault("tag", "")
    found: dict[str, Value] = {key: values[key] for key in FOUND_KEYS if key in values}
    return file_with(keys, [{"date": today.isoformat(), "found": found}] if found else [])


def _placed(fault: Problem, row: Row) -> Problem:
    """A fault of the new file's text, told at the cell its value came from: the key that stands before the spot."""
    place = row.place
    if fault.place:
        before = fault.place.source[: fault.place.column - 1]
        keys = re.findall(r"(\w+): ", before) or re.findall(r"^(\w+):", fault.place.source)
        if keys:
            place = row.places.get(keys[-1], row.place)
    return Problem(fault.message, place if place.path else None, fault.hint)


def _clash(old: Tree, new: Tree, row: Row) -> Problem | None:
    """The tag is in use: by the same tree (then nothing is to do), or by another."""
    for key in ("species", "group", "name", "cultivar"):
        was, now = getattr(old, key), getattr(new, key)
        if now and was != now:
            return Problem(
                f"tag {old.tag} is in use: {old.path} has {key} '{was}', this has '{now}'",
                row.places.get("tag", row.place) if row.place.path else None,
                "a tag is never used again: take another, or edit the file by hand",
            )
    return None
