"""Take the last batch of typed notes back out of the trees' files. Its lines may then be typed again.

examples:
  benchleaf undo --dry-run
  benchleaf undo
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from ..collection.yaml_editor import entry_text
from ..diagnostics import Place, Problem, counted
from ..intake.archive import the_hand
from ..intake.filing import look_ahead, take_back
from ..storage.disk import RealDisk
from ..storage.journal import Journal, last_done
from .common import json_argument, open_collection, today_argument
from .locking import locked
from .results import DONE, PROBLEMS, QUESTION, Result


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--dry-run", action="store_true", help="show what would be taken out; write nothing")
    parser.add_argument("--yes", action="store_true", help="take it out without asking")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    opened = open_collection(options)
    if options.dry_run:
        return _shown(last_done(RealDisk(opened.folder)), "nothing changed (--dry-run)", DONE)
    with locked(opened.folder) as (disk, _):
        last = last_done(disk)
        if last is None or not (options.yes or _agreed(last, options)):
            return _shown(last, "nothing changed: run again with --yes", DONE if last is None else QUESTION)
        ahead = look_ahead(disk, the_hand(), last)
        if ahead.blocked:
            return Result(
                PROBLEMS, ("nothing was taken out; the batch can still be undone",), {"batch": last.id}, ahead.blocked
            )
        taken = take_back(disk, the_hand(), opened.today)
    assert taken is not None
    stays = {(path, entry_text(entry)) for path, entry in ahead.edited}
    refused = taken[1]
    problems = (
        *(Problem(f"{path}: {why}") for path, why in refused.items()),
        *(
            Problem(
                f"edited since, so it stays: {text}", Place(path), "take it out by hand, if it is to go", "warning"
            )
            for path, text in sorted(stays)
        ),
    )
    rows = [row for row in _rows(last) if row not in stays and row[0] not in refused]
    files = counted(len({path for path, _ in rows}), "file")
    result = _shown(last, f"taken out of {files}; the notes are kept in notes/{last.notes}", DONE, rows)
    return Result(PROBLEMS if refused else DONE, result.lines, {**result.data, "refused": dict(refused)}, problems)


def _agreed(last: Journal, options: argparse.Namespace) -> bool:
    if options.json or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    for line in _lines(_rows(last)):
        sys.stderr.write(line + "\n")
    sys.stderr.write("take these out again? [y/N] ")
    sys.stderr.flush()
    return sys.stdin.readline().strip().casefold() in ("y", "yes")


def _rows(last: Journal) -> list[tuple[str, str]]:
    return [(change.path, entry_text(entry)) for change in last.changes for entry in change.entries]


def _lines(rows: Sequence[tuple[str, str]]) -> list[str]:
    return [f"  -   {path}  {text}" for path, text in rows]


def _shown(last: Journal | None, told: str, code: int, rows: Sequence[tuple[str, str]] | None = None) -> Result:
    if last is None:
        return Result(lines=("there is no batch to undo",), data={"batch": None})
    entries = [{"path": c.path, "entry": dict(e)} for c in last.changes for e in c.entries]
    return Result(
        code,
        (*_lines(_rows(last) if rows is None else rows), told),
        {"batch": last.id, "notes": last.notes, "entries": entries},
    )
