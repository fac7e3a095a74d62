"""Add one tree, or many from a CSV table. Adding the same again changes nothing.

examples:
  benchleaf add 014 --species "Larix kaempferi" --name "Ridge larch" --bench "east 2" --stage ramification
  benchleaf add 031 --from 014 --how layer
  benchleaf add --table trees.csv

a table's first row names its columns: tag and species (or group), and any of name, cultivar, bench, style, started,
aim, front, stage, vigour, repotted. Faults are told by row and column, and then nothing is written.
"""

from __future__ import annotations

import argparse
import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from ..collection.load import read_tree, tree_context
from ..collection.model import Tree, tag_key
from ..collection.yaml_editor import Value, file_with, replace_file, with_entries
from ..collection.yaml_reader import file_text
from ..diagnostics import Place, Problem, ProblemsFound, counted, errors_in, nearest, stop, tally
from ..horticulture.species_advice import said_of, written_name
from ..horticulture.species_names import named_in
from .common import Opened, json_argument, no_tree, open_collection, today_argument
from .locking import locked
from .results import Result

TREE_KEYS = ("tag", "name", "species", "cultivar", "group", "started", "style", "bench", "aim", "front")
FOUND_KEYS = ("stage", "repotted", "vigour")
COLUMNS = (*TREE_KEYS, *FOUND_KEYS)
QUOTE_OPEN = "unexpected end of data"  # what the csv module says
FROM_WAYS = ("layer", "cutting", "split", "seed", "graft")


@dataclass(frozen=True, slots=True)
class Row:
    """One tree as given, and where each value came from."""

    values: Mapping[str, str]
    places: Mapping[str, Place]
    place: Place


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("tag", nargs="?", help="the new tree's tag")
    for key in COLUMNS[1:]:
        parser.add_argument(f"--{key}", metavar=key.upper())
    parser.add_argument(
        "--from", dest="parent", metavar="TAG", help="the tree it was taken from; its log says so too"
    )
    parser.add_argument("--how", choices=FROM_WAYS, default="layer", help="how it was taken (default: layer)")
    parser.add_argument("--table", type=Path, metavar="FILE.csv", help="many trees from a table")
    parser.add_argument("--dry-run", action="store_true", help="tell what would be added; write nothing")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    opened = open_collection(options)
    if options.table:
        rows = _table(options.table)
    elif options.tag and options.parent:
        return _taken_from(opened, options)
    elif options.tag:
        given = {key: getattr(options, key) for key in COLUMNS if getattr(options, key)}
        rows = [Row(given, {}, Place(""))]
    else:
        raise stop(
            "give a tag with its species, or --table FILE.csv", hint="benchleaf add 014 --species 'Larix kaempferi'"
        )
    texts, there = _checked(opened, rows)
    if not options.dry_run:
        for path, text in texts.items():
            replace_file(opened.folder / path, text)
    done = f"{'would add' if options.dry_run else 'added'} {counted(len(texts), 'tree')}"
    line = done + (f"; {len(there)} already there" if there else "")
    shown = [f"  {path}" for path in texts] if len(texts) <= 5 else []
    said = dict.fromkeys(s for row in rows for s in _said(row.values, opened))
    return Result(lines=(line, *shown, *said), data={"added": list(texts), "there": there})


def _taken_from(opened: Opened, options: argparse.Namespace) -> Result:
    """A layer, cutting or division: its own file, with its parent's species, and a line in the parent's log."""
    parent = opened.collection.tree(options.parent)
    if parent is None:
        raise no_tree(opened, options.parent)
    given = {key: getattr(options, key) for key in COLUMNS if getattr(options, key)}
    if not ({"species", "group"} & set(given)):
        given |= {k: v for k in ("species", "cultivar", "group") if (v := getattr(parent, k))}
    today = opened.today.isoformat()
    texts, there = _checked(
        opened, [Row(given, {}, Place(""))], {"kind": options.how, "date": today, "parent": parent.tag}
    )
    told = any(options.tag in entry.new for entry in parent.log)
    path = opened.folder / parent.path
    entry: dict[str, Value] = {"date": today, "new": options.tag}
    with locked(opened.folder):
        text = with_entries(path.read_bytes().decode("utf-8"), parent.path, [] if told else [entry])
        if not options.dry_run:
            for new, new_text in texts.items():
                replace_file(opened.folder / new, new_text)
            if not told:
                replace_file(path, text)
    done = "would add" if options.dry_run else "added"
    line = f"{done} {options.tag}, {options.how} of {parent.tag}" if texts else f"{options.tag} is there already"
    return Result(lines=(line,), data={"added": list(texts), "there": there, "parent": parent.tag})


def _table(path: Path) -> list[Row]:
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


def _rows_of(reader: Any, shown: str) -> Iterator[list[str]]:
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


def _checked(
    opened: Opened, rows: list[Row], origin: Mapping[str, Value] | None = None
) -> tuple[dict[str, str], list[str]]:
    """Texts of new files by path, and tags already there. Raises ProblemsFound, nothing being written, for any fault."""
    problems: list[Problem] = []
    texts: dict[str, str] = {}
    there: list[str] = []
    seen: dict[str, Row] = {}
    context = tree_context(opened.collection.settings, opened.knowledge)
    for row in rows:
        text = _file_text(_named(row.values, opened), opened.today, origin)
        tree, faults = read_tree(text, "new", context)
        faults = [_placed(fault, row) for fault in errors_in(faults)]
        faults += _to_come(tree, row, opened.today) if tree else []
        problems += faults
        if tree is None or faults:
            continue
        key = tag_key(tree.tag)
        if key in seen:
            problems.append(
                Problem(
                    f"the tag '{tree.tag}' stands twice",
                    row.places.get("tag", row.place),
                    "a tag is never used again",
                )
            )
        elif (old := opened.collection.tree(tree.tag)) is not None:
            clash = _clash(old, tree, row)
            if clash:
                problems.append(clash)
            else:
                there.append(old.tag)
        elif (opened.folder / f"trees/{tree.tag}.yaml").exists():
            problems.append(
                Problem(
                    f"trees/{tree.tag}.yaml exists already and can't be read as a tree",
                    row.places.get("tag", row.place),
                    "mend it first: benchleaf check",
                )
            )
        else:
            texts[f"trees/{tree.tag}.yaml"] = text
        seen[key] = row
    if problems:
        if any(p.place and p.place.line for p in problems):
            problems.append(Problem(tally(problems, 1, "nothing was written"), severity="warning"))
        raise ProblemsFound(problems)
    return texts, there


def _to_come(tree: Tree, row: Row, today: date) -> list[Problem]:
    """What can't have been yet."""
    found = tree.log[0].found if tree.log else None
    dated = {"started": tree.started, "repotted": found.repotted if found else None}
    return [
        Problem(f"{key}: {when.told()} is still to come", row.places.get(key, row.place), "correct the date")
        for key, when in dated.items()
        if when and when.earliest > today
    ]


def _said(values: Mapping[str, str], opened: Opened) -> list[str]:
    """What the grower should hear of how the species was taken; nothing where the name is plain, or their own."""
    given = values.get("species", "")
    own = not given or named_in(given, opened.collection.settings.species)
    return [] if own else said_of(given, opened.knowledge.register.find(given))


def _named(values: Mapping[str, str], opened: Opened) -> Mapping[str, str]:
    """The values with a common name put into botanical words; any other name stays as it was given."""
    given = values.get("species", "")
    if not given or named_in(given, opened.collection.settings.species):
        return values
    return {**values, "species": written_name(given, opened.knowledge.register.find(given))}


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
