"""What `start` leaves beside and inside a new collection for whoever does not live on a command line: a file to double-click,
and a page of plain text that says what the folder is.

The file runs this very installation on this very folder; on another computer it is made anew.
"""

from __future__ import annotations

import os
import shlex
import sys
from pathlib import Path

from ..storage.disk import fresh, read_regular

MOST_BYTES = 100_000
READ_ME = "READ-ME-FIRST.txt"
MARK = "opens a bonsai collection with benchleaf"
READ_ME_TEXT = """What this folder is
===================

The records of a bonsai collection, as plain text. Any editor opens them, today and in thirty years.

  collection.yaml   the garden: its place, its climate, how you like things; it explains itself
  trees/            one file a tree: what it is, and a log of what was done, oldest first
  inbox/            drop pictures of trees, photographed or scanned sheets, and typed notes here
  photos/           pictures of the trees, where there are any
  print/            paper made for you; may be thrown away at any time
  notes/            every line you ever typed, word for word; keep it
  printed/          what was printed, so that sheets can be read back; keep it

How to go on
============

Double-click the file beside this folder, or open a terminal in this folder and type: benchleaf
It says what waits, and asks what you want by numbers. Nothing is written before it was shown.

Moving to another computer
==========================

Copy the whole folder. Install benchleaf there, open a terminal in the folder, and type: benchleaf
Then choose 5 and 0, which makes the file to double-click anew.
A copy of the folder is a whole backup. If benchleaf is ever gone, the files are still yours: read them with any editor.
"""


def icon_path(folder: Path) -> Path:
    """The file to double-click: beside the collection, named like it."""
    endings = {"win32": ".bat", "darwin": ".command"}
    whole = folder.resolve()
    return whole.parent / f"{whole.name}{endings.get(sys.platform, '.desktop')}"


def icon_text(folder: Path, platform: str = sys.platform, python: str = sys.executable) -> str:
    """What stands in it: this interpreter, run on this folder, in a window that stays until the grower leaves."""
    whole = str(folder.resolve())
    if platform == "win32":
        quoted = [f'"{part.replace("%", "%%")}"' for part in (python, whole)]
        return f"@rem {MARK}\r\n@chcp 65001 >nul\r\n@{quoted[0]} -m logbook -C {quoted[1]}\r\n@pause\r\n"
    run = f"{shlex.quote(python)} -m logbook -C {shlex.quote(whole)}"
    if platform == "darwin":
        return f"#!/bin/sh\n# {MARK}\nexec {run}\n"
    escaped = "".join(f"\\{c}" if c in '"`$\\' else "%%" if c == "%" else c for c in run)
    name = folder.resolve().name.replace("\n", " ")
    return (
        "[Desktop Entry]\nType=Application\nTerminal=true\n"
        f'Name={name}\nComment={MARK}\nExec=sh -c "{escaped}"\n'.replace("\\", "\\\\")
    )


def made_icon(folder: Path) -> str:
    """Make the file to double-click; its name, or nothing where another file stands there or none can be written."""
    path = icon_path(folder)
    try:
        if os.path.lexists(path) and MARK.encode() not in read_regular(path, MOST_BYTES)[:1000]:
            return ""
        with os.fdopen(fresh(path), "wb") as file:
            file.write(icon_text(folder).encode())
        if os.name == "posix":
            path.chmod(0o755)
    except OSError:
        return ""
    return path.name


def remade(folder: Path) -> str:
    """Make the file anew, and say where it is or why not."""
    name = made_icon(folder)
    where = icon_path(folder)
    return f"double-click {where}" if name else f"{where} could not be written, or is another file"
