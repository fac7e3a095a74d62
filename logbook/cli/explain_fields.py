"""The table of `explain fields`: the keys of the files, as they are declared."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from ..collection.fields.explained import RECORDS, FieldRow, field_rows, rows_of
from ..horticulture.work_fields import OWN_WORK
from .results import Result, table

WORK = "work"
ALL_RECORDS = (*RECORDS, WORK)
HEAD = ("key", "in a note", "what for", "what may stand there")
WHERE = {
    "tree": "a tree's file, trees/TAG.yaml",
    "entry": "an entry of a tree's log",
    "branch": "a row of a tree's branches",
    "site": "the site, in collection.yaml",
    "collection": "collection.yaml",
    "work": "a work of your own, or your own numbers for one, in collection.yaml",
}


def explain_fields(options: argparse.Namespace) -> Result:
    """Every key of the records asked for, one table a record; a star stands behind a key that must be there."""
    names = (options.record,) if options.record else ALL_RECORDS
    lines: list[str] = []
    for name in names:
        lines += [*([""] if lines else []), f"{name}: {WHERE[name]}", *table(_cells(_rows(name)), HEAD)]
    lines += ["", "* must be there. Keys of your own begin with x- and may hold anything."]
    return Result(lines=tuple(lines), data={name: [asdict(row) for row in _rows(name)] for name in names})


def _rows(name: str) -> tuple[FieldRow, ...]:
    return rows_of(OWN_WORK) if name == WORK else field_rows(name)


def _cells(rows: tuple[FieldRow, ...]) -> list[tuple[str, str, str, str]]:
    return [(row.key + "*" * row.required, row.typed, row.doc, row.kind) for row in rows]
