"""List the typed lines that were not written, with the reason; they also stand in notes/waiting.txt, to mend and give again.

examples:
  benchleaf waiting
  benchleaf waiting --dismiss 2      (set the second line aside for good)
"""

from __future__ import annotations

import argparse
from dataclasses import asdict

from ..diagnostics import counted
from ..intake import archive, line_status
from ..intake.service import dismiss, dismissed_before
from ..storage.disk import Disk, RealDisk
from ..storage.opening import cut_short
from .common import json_argument, open_collection, today_argument
from .results import DONE, QUESTION, Result
from .writing import writing


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--dismiss", type=int, action="append", default=[], metavar="N", help="set the Nth waiting line aside"
    )
    parser.add_argument("--dry-run", action="store_true", help="with --dismiss: write nothing")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    if not options.dismiss:
        opened = open_collection(options)
        return _result(RealDisk(opened.folder), cut_short(opened.folder))
    with writing(options) as (store, opened):
        if not dismissed_before(store, options.dismiss):
            dismiss(store, options.dismiss, opened.today)
        return _result(store.disk, store.told())


def _result(disk: Disk, before: list[str]) -> Result:
    rows, audit = line_status.waiting(disk), line_status.audit(disk)
    lines = []
    for number, row in enumerate(rows, start=1):
        lines.append(f"{number:3}  {row.header + ': ' if row.header and row.header != row.text else ''}{row.text}")
        lines.append(
            f"     {row.why}" + (f" ({row.hint})" if row.hint else "") + f"  [{row.notes} line {row.number}]"
        )
    lines = [*before, *(lines or ["nothing waits"])]
    lines += [audit.told()] if audit.typed else []
    if rows:
        lines.append(
            f"{counted(len(rows), 'line')} waiting; mend them in a copy of notes/{line_status.WAITING} and give it to: benchleaf reconcile FILE"
        )
    return Result(
        QUESTION if rows else DONE,
        tuple(lines),
        {"waiting": [asdict(row) for row in rows], "audit": {**asdict(audit), "balanced": audit.balanced}},
        tuple(archive.damaged(disk)),
    )
