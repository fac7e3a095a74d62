"""List the typed lines that were not written, with the reason; they also stand in notes/waiting.txt, to mend and give again.

example: benchleaf waiting
"""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path

from ..notes import keeping
from ..problems import counted
from .common import json_argument, open_collection
from .results import DONE, QUESTION, Result


def arguments(parser: argparse.ArgumentParser) -> None:
    json_argument(parser)


def run(options: argparse.Namespace) -> Result:
    open_collection(options)
    rows = keeping.waiting(Path(options.folder))
    lines = keeping.waiting_text(rows).splitlines() if rows else ["nothing waits"]
    if rows:
        lines.append(
            f"{counted(len(rows), 'line')} waiting; mend them in a file of your own and give it to: benchleaf reconcile FILE"
        )
    return Result(QUESTION if rows else DONE, tuple(lines), {"waiting": [asdict(row) for row in rows]})
