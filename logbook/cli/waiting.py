"""List the typed lines that were not written, with the reason; they also stand in notes/waiting.txt, to mend and give again.

examples:
  benchleaf waiting
  benchleaf waiting --dismiss 2      (set the second line aside for good)
"""

from __future__ import annotations

import argparse
from dataclasses import asdict

from ..diagnostics import counted, stop
from ..intake import archive, line_status
from ..storage.disk import Disk, RealDisk
from .common import json_argument, open_collection, today_argument
from .locking import cut_short, locked
from .results import DONE, QUESTION, Result


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--dismiss", type=int, action="append", default=[], metavar="N", help="set the Nth waiting line aside"
    )
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    opened = open_collection(options)
    disk: Disk = RealDisk(opened.folder)
    rows, before = line_status.waiting(disk), cut_short(opened.folder)
    if options.dismiss:
        with locked(opened.folder) as (disk, before):
            rows = line_status.waiting(disk)
            for number in options.dismiss:
                if not 1 <= number <= len(rows):
                    raise stop(
                        f"no waiting line has the number {number}",
                        hint=f"there are {counted(len(rows), 'line')}: see benchleaf waiting",
                    )
            archive.dismiss(disk, [rows[n - 1] for n in options.dismiss], opened.today)
            rows = archive.keep_waiting(disk)
    audit = line_status.audit(disk)
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
