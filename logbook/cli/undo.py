"""Take the last batch of typed notes back out of the trees' files. Its lines may then be typed again.

examples:
  benchleaf undo --dry-run
  benchleaf undo
"""

from __future__ import annotations

import argparse
import sys

from ..notes.filing import take_back
from ..notes.keeping import the_hand
from ..problems import Problem, counted
from ..record.batch import Journal, last_done
from ..record.disk import RealDisk
from ..record.writing import entry_text
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
        taken = take_back(disk, the_hand(), opened.today)
    assert taken is not None
    refused = taken[1]
    problems = tuple(Problem(f"{path}: {why}") for path, why in refused.items())
    files = counted(len(last.changes) - len(refused), "file")
    result = _shown(last, f"taken out of {files}; the notes are kept in notes/{last.notes}", DONE)
    return Result(PROBLEMS if refused else DONE, result.lines, {**result.data, "refused": dict(refused)}, problems)


def _agreed(last: Journal, options: argparse.Namespace) -> bool:
    if options.json or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    for line in _lines(last):
        sys.stderr.write(line + "\n")
    sys.stderr.write("take these out again? [y/N] ")
    sys.stderr.flush()
    return sys.stdin.readline().strip().casefold() in ("y", "yes")


def _lines(last: Journal) -> list[str]:
    return [f"  -   {change.path}  {entry_text(entry)}" for change in last.changes for entry in change.entries]


def _shown(last: Journal | None, told: str, code: int) -> Result:
    if last is None:
        return Result(lines=("there is no batch to undo",), data={"batch": None})
    entries = [{"path": c.path, "entry": dict(e)} for c in last.changes for e in c.entries]
    return Result(code, (*_lines(last), told), {"batch": last.id, "notes": last.notes, "entries": entries})
