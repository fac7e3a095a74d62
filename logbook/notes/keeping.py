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

from ..problems import Place, Problem
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
    tag: str = ""


def keep_text(folder: Path, text: str, day: date) -> Path:
    """Write the typed text down, once; the same text on the same day is the same file."""
    name = f"{day.isoformat()}-{hashlib.sha256(text.encode('utf-8')).hexdigest()[:12]}.txt"
    path = folder / FOLDER / name
    if not path.exists():
        replace_file(path, text)
    return path


def keep_fates(path: Path, plan: Plan) -> None:
    """Write down what became of each line, behind the fates of earlier runs; a damaged record is left as it is."""
    record, runs = path.with_suffix(".json"), None
    for number in range(2, 1000):
        runs = _runs(record) if record.exists() else []
        if runs is not None:
            break
        record = path.with_name(f"{path.stem}-{number}.json")
    assert runs is not None
    runs.append([_fate(item) for item in plan.items])
    replace_file(record, json.dumps({"format": 1, "runs": runs}, ensure_ascii=False, indent=1) + "\n")


def damaged(folder: Path) -> list[Problem]:
    """Records of fates that can't be read: told, never overwritten."""
    hint = "restore it from a backup, or leave it: what it told is only asked again"
    return [
        Problem("this record of typed notes is damaged", Place(f"{FOLDER}/{p.name}"), hint, "warning")
        for p in sorted((folder / FOLDER).glob("*.json"))
        if _runs(p) is None
    ]


def dismiss(folder: Path, rows: Iterable[Waiting], day: date) -> None:
    """Set waiting lines aside for good; their text stays where it is."""
    fates = [
        {
            "number": r.number,
            "text": r.text,
            "header": r.header,
            "tag": r.tag,
            "fate": "dismissed",
            "key": r.key,
            "why": "",
            "hint": "",
            "of": r.notes,
        }
        for r in rows
    ]
    name = f"{day.isoformat()}-dismissed-{hashlib.sha256(json.dumps(fates).encode()).hexdigest()[:8]}.json"
    replace_file(
        folder / FOLDER / name, json.dumps({"format": 1, "runs": [fates]}, ensure_ascii=False, indent=1) + "\n"
    )


def history(folder: Path) -> History:
    """What earlier notes have written, by key."""
    written: dict[str, str] = {}
    for row in _rows(folder):
        if row["fate"] == "write":
            written[row["key"]] = row["text"]
    return History(written)


def waiting(folder: Path) -> list[Waiting]:
    """Lines that were never written, in the order they came; a line settled by a later run is gone from here."""
    open_rows: dict[tuple[str, int, str, str], Waiting] = {}
    settled: set[str] = set()
    for row in _rows(folder):
        spot = (row.get("of", row["notes"]), row["number"], row["tag"], row["key"])
        if row["fate"] in ("write", "there", "dismissed"):
            settled |= {row["key"], _line_key(row["key"]) + "*"} - {"", "*"}
            open_rows.pop(spot, None)
            if row["fate"] == "dismissed":
                settled.discard(row["key"])
        else:
            open_rows[spot] = Waiting(
                row["notes"],
                row["number"],
                row["header"],
                row.get("again", row["text"]),
                row["why"],
                row["hint"],
                row["key"],
                row["tag"],
            )
    return [w for w in open_rows.values() if not _is_settled(w.key, settled)]


def _is_settled(key: str, settled: set[str]) -> bool:
    """A part is settled by itself or by its whole line; a whole line by itself or any of its parts."""
    line = _line_key(key)
    return bool(key) and (key in settled or line in settled or (key == line and f"{line}*" in settled))


def _line_key(key: str) -> str:
    """A sheet line's key without the part of the line: `001 00142-4/3.2` → `001 00142-4/3`."""
    tag, _, source = key.rpartition(" ")
    return f"{tag} {source.split('.')[0]}" if "/" in source else key


def waiting_text(rows: Iterable[Waiting]) -> str:
    """What waits, as notes that can be mended and given again; lines with '?' are the tool's own words."""
    blocks: list[str] = []
    header = None
    for row in sorted(rows, key=lambda r: r.header != ""):
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
        "again": reading.again or " ".join(reading.text.split()),
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
    paths = [p for p in (folder / FOLDER).glob("*.json") if p.is_file()]
    for path in sorted(paths, key=lambda p: (p.name[:10], p.stat().st_mtime_ns)):
        for run in _runs(path) or []:
            rows += [{**row, "notes": path.with_suffix(".txt").name} for row in run]
    return rows


_TEXTS = ("text", "header", "tag", "fate", "key", "why", "hint")


def _runs(path: Path) -> list[list[dict[str, Any]]] | None:
    """The runs of a record; None where it is damaged."""
    try:
        runs = json.loads(path.read_text("utf-8"))["runs"]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
    sound = isinstance(runs, list) and all(
        isinstance(run, list)
        and all(
            isinstance(row, dict)
            and isinstance(row.get("number"), int)
            and all(isinstance(row.get(t), str) for t in _TEXTS)
            for row in run
        )
        for run in runs
    )
    return runs if sound else None
