"""List the typed lines that were not written, with the reason; they also stand in notes/waiting.txt, to mend and give again.

examples:
  benchleaf waiting
  benchleaf waiting --dismiss 2      (set the second line aside for good)
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TypedDict

from ..diagnostics import counted
from ..intake import archive, line_status
from ..intake.service import dismiss, dismissed_before
from ..storage.disk import Disk, RealDisk
from ..storage.opening import cut_short
from .common import json_argument, open_collection, today_argument
from .results import DONE, QUESTION, Result
from .writing import writing


class WaitingData(TypedDict):
    """A line that was not written: where it stands, why, what to do; `key` names it for good.

    `text` can be given by itself; `typed` is how it was typed, and `day` what it took from a line above.
    """

    notes: str
    number: int
    header: str
    text: str
    why: str
    hint: str
    key: str
    tag: str
    typed: str
    day: str


class AuditData(TypedDict):
    """Where every typed line stands: `typed` is the sum of the others, or `astray` names by file what is missing."""

    typed: int
    written: int
    there: int
    waiting: int
    set_aside: int
    unread: int
    astray: list[list[str | int]]
    balanced: bool


class AllWaitingData(TypedDict):
    """The lines that wait, and the count of all that were ever typed."""

    waiting: list[WaitingData]
    audit: AuditData


SHAPE = AllWaitingData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument(
        "--dismiss", type=int, action="append", default=[], metavar="N", help="set the Nth waiting line aside"
    )
    parser.add_argument("--dry-run", action="store_true", help="with --dismiss: write nothing")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """The lines that wait for an answer; or set some of them aside."""
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
        lines.append(f"{number:3}  {row.header + ': ' if row.header and row.header != row.text else ''}{row.typed}")
        lines += [f"     {row.day}"] if row.day else []
        lines.append(
            f"     {row.why}" + (f" ({row.hint})" if row.hint else "") + f"  [{row.notes} line {row.number}]"
        )
    lines = [*before, *(lines or ["nothing waits"])]
    lines += [audit.summary()] if audit.typed else []
    if rows:
        lines.append(
            f"{counted(len(rows), 'line')} waiting; mend them in a copy of notes/{line_status.WAITING} and give it to: benchleaf reconcile FILE"
        )
    return Result(
        QUESTION if rows else DONE,
        tuple(lines),
        _data(rows, audit),
        tuple(archive.damaged(disk)),
    )


def _data(rows: Sequence[line_status.Waiting], audit: line_status.Audit) -> AllWaitingData:
    return {
        "waiting": [
            {
                "notes": row.notes,
                "number": row.number,
                "header": row.header,
                "text": row.text,
                "why": row.why,
                "hint": row.hint,
                "key": row.key,
                "tag": row.tag,
                "typed": row.typed,
                "day": row.day,
            }
            for row in rows
        ],
        "audit": {
            "typed": audit.typed,
            "written": audit.written,
            "there": audit.there,
            "waiting": audit.waiting,
            "set_aside": audit.set_aside,
            "unread": audit.unread,
            "astray": [[name, count] for name, count in audit.astray],
            "balanced": audit.balanced,
        },
    }
