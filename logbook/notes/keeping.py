"""The notes folder: every typed text as it came, what became of each line, and what still waits.

Nothing here is ever removed. `<day>-<hash>.txt` is the text as typed, written before anything else happens;
`<day>-<hash>.json` tells the fate of its lines; `waiting.txt` is drawn up from those files after each run.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from ..record.writing import replace_file
from .reconcile import History, Item, Plan
from .shorthand import Reading

FOLDER = "notes"
WAITING = "waiting.txt"


@dataclass(frozen=True, slots=True)
class Waiting:
    """A line that was not written: its header, its text, why, and what to do."""

    notes: str
    number: int
    header: str
    text: str
    why: str
    hint: str
    key: str


def keep_text(folder: Path, text: str, day: date) -> Path:
    """Write the typed text down, once; the same text on the same day is the same file."""
    name = f"{day.isoformat()}-{hashlib.sha256(text.encode('utf-8')).hexdigest()[:12]}.txt"
    path = folder / FOLDER / name
    if not path.exists():
        replace_file(path, text)
    return path


def keep_fates(path: Path, plan: Plan) -> None:
    """Write down what became of each line; a line's later fate stands behind its earlier ones."""
    record = path.with_suffix(".json")
    runs = _runs(record)
    runs.append([_fate(item) for item in plan.items])
    replace_file(record, json.dumps({"format": 1, "runs": runs}, ensure_ascii=False, indent=1) + "\n")


def history(folder: Path) -> History:
    """What earlier notes have written, by key."""
    written: dict[str, str] = {}
    for row in _rows(folder):
        if row["fate"] == "write":
            written[row["key"]] = row["text"]
    return History(written)


def waiting(folder: Path) -> list[Waiting]:
    """Lines that were never written, in the order they came; a line settled by a later run is gone from here."""
    open_rows: dict[tuple[str, int, str], Waiting] = {}
    settled: set[str] = set()
    for row in _rows(folder):
        spot = (row["notes"], row["number"], row["tag"])
        if row["fate"] in ("write", "there"):
            settled |= {_stem(row["key"]), _spelt(row)}
            open_rows.pop(spot, None)
        else:
            open_rows[spot] = Waiting(
                row["notes"], row["number"], row["header"], row["text"], row["why"], row["hint"], row["key"]
            )
    return [w for w in open_rows.values() if not {_stem(w.key), f"{w.header}|{w.text}"} & settled]


def _stem(key: str) -> str:
    """A line's key without the part of the line: what a mended line is known by."""
    return key.split(".")[0] or "no key"


def _spelt(row: dict[str, Any]) -> str:
    return f"{row['header']}|{row['text']}"


def waiting_text(rows: Iterable[Waiting]) -> str:
    """What waits, as notes that can be mended and given again; lines with '?' are the tool's own words."""
    blocks: list[str] = []
    header = None
    for row in rows:
        if row.header != header:
            blocks.append(row.header)
            header = row.header
        why = f"? {row.notes} line {row.number}: {row.why}" + (f" ({row.hint})" if row.hint else "")
        blocks += [why, row.text if row.text != row.header else "? (the header itself)"]
    return "\n".join(b for b in blocks if b) + ("\n" if blocks else "")


def keep_waiting(folder: Path) -> list[Waiting]:
    """Draw up `notes/waiting.txt` anew; an empty one says so."""
    rows = waiting(folder)
    path = folder / FOLDER / WAITING
    if rows or path.exists():
        replace_file(path, waiting_text(rows) or "? nothing waits\n")
    return rows


def _fate(item: Item) -> dict[str, Any]:
    reading = item.reading
    return {
        "number": reading.number,
        "text": " ".join(reading.text.split()),
        "header": _header(reading),
        "tag": item.tag,
        "fate": item.fate,
        "key": item.key,
        "why": item.why,
        "hint": item.hint,
    }


def _header(reading: Reading) -> str:
    if reading.sheet is not None:
        return f"sheet {reading.sheet.serial}"
    if reading.text.split(" ")[0].casefold() in ("sheet", "tree", "trees") and reading.fault:
        return reading.text
    return f"{'tree' if len(reading.tags) == 1 else 'trees'} {' '.join(reading.tags)}" if reading.tags else ""


def _rows(folder: Path) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    paths = sorted((folder / FOLDER).glob("*.json"), key=lambda p: (p.name[:10], p.stat().st_mtime_ns))
    for path in paths:
        for run in _runs(path):
            rows += [{**row, "notes": path.with_suffix(".txt").name} for row in run]
    return rows


def _runs(path: Path) -> list[list[dict[str, Any]]]:
    try:
        runs: list[list[dict[str, Any]]] = json.loads(path.read_text("utf-8"))["runs"]
    except (OSError, ValueError, KeyError, TypeError):
        return []
    return runs
