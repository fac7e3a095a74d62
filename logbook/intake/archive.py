"""The notes folder: every typed text as it came, what became of each line, and what still waits.

Nothing here is ever removed. `<day>-<hash>.txt` is the text as typed, written before anything else happens;
`<day>-<hash>.json` tells the fate of its lines, run by run; `waiting.txt` is drawn up from those files after each run.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import cast

from ..collection.splicing import put_in, take_out
from ..diagnostics import Place, Problem
from ..storage.disk import Disk
from ..storage.journal import Hooks, Journal, next_id
from ..storage.json_text import json_text
from ..storage.placing import keep_aside
from .grammar.readings import Reading
from .line_names import is_header
from .line_status import FOLDER, WAITING, Row, Run, Waiting, rows_of, runs_of, waiting
from .plan_items import History, Item, Plan

PICTURES = f"{FOLDER}/pictures"


def keep_text(disk: Disk, raw: bytes, day: date) -> str:
    """Write the typed text down as it came, once, before anything else; the same text given again is the same file."""
    end = f"-{hashlib.sha256(raw).hexdigest()[:12]}.txt"
    name = next(
        (n for n in disk.names(FOLDER) if n.endswith(end) and n[0] != "." and disk.read(f"{FOLDER}/{n}") == raw),
        f"{day.isoformat()}{end}",
    )
    path, part = f"{FOLDER}/{name}", f"{FOLDER}/.{name}.part"
    kept = disk.read(path)
    if kept == raw:
        return name
    if kept is not None:
        keep_aside(disk, path, name)  # a disk that lost half of it
    disk.write(part, raw)
    disk.link(part, path)
    disk.unlink(part)
    disk.sync_folder(FOLDER)
    return name


def unread(disk: Disk) -> list[str]:
    """Texts that were kept, and of whose lines nothing was ever decided: somebody stopped, or said no. The newest last."""
    names = disk.names(FOLDER)
    kept = (name for name in names if re.fullmatch(r"\d{4}-\d\d-\d\d-[0-9a-f]{12}\.txt", name))
    return sorted(name for name in kept if f"{name.removesuffix('.txt')}.json" not in names)


def hooks() -> Hooks:
    """What the store has to be told of a collection: how entries go into a file, and what stands in `notes/`."""
    return Hooks(put_in, take_out, _settle, tidy)


def tidy(disk: Disk) -> None:
    """See to what a run that was cut short left in `notes/`."""
    for name in disk.names(FOLDER):
        if name.startswith(".") and name.endswith(".part"):
            _see_to(disk, f"{FOLDER}/{name}", name[1:].removesuffix(".part"))
    for name in disk.names(PICTURES):
        if name.startswith(".") and name.endswith(".part"):
            disk.unlink(f"{PICTURES}/{name}")


def _see_to(disk: Disk, part: str, name: str) -> None:
    """A typed text that is whole takes its name; half of one is kept aside; our own records are drawn up anew."""
    raw = disk.read(part) or b""
    if name.endswith(".txt") and name != WAITING:
        if hashlib.sha256(raw).hexdigest()[:12] == name.removesuffix(".txt")[-12:]:
            again = f"{FOLDER}/.{name}.again.part"
            disk.write(again, raw)  # it may never have been synced
            disk.link(again, f"{FOLDER}/{name}")
            disk.unlink(again)
        elif raw and disk.read(f"{FOLDER}/{name}") is None:
            keep_aside(disk, part, name)
            return
    disk.unlink(part)
    disk.sync_folder(FOLDER)


def fates(plan: Plan) -> tuple[Row, ...]:
    """What became of each line, as rows for the journal and the notes folder."""
    return tuple(_fate(item) for item in plan.items)


def _settle(disk: Disk, journal: Journal, refused: Mapping[str, str]) -> None:
    """Add the run's fates to its notes, once, and draw up what waits. A batch that no notes led to has none."""
    if journal.notes:
        _add_run(disk, journal.notes, journal.id, [_after_refusal(row, refused) for row in _rows(journal)])
        keep_waiting(disk)


def _rows(journal: Journal) -> Sequence[Row]:
    """The fates that a journal carries: what `fates` or `dismissal` made of them, unseen by the store."""
    return cast(Sequence[Row], journal.rows)


def _after_refusal(row: Row, refused: Mapping[str, str]) -> Row:
    why = refused.get(row.get("path", ""))
    if why is None or row["fate"] not in ("write", "undone"):
        return row
    fate = "left over" if row["fate"] == "write" else "write"
    return {**row, "fate": fate, "why": why, "hint": "mend the file, and give this line again"}


def _add_run(disk: Disk, notes: str, batch: str, rows: Sequence[Row]) -> None:
    """A damaged record is left as it is, and another one begun beside it."""
    stem = f"{FOLDER}/{notes.removesuffix('.txt')}"
    path, number = f"{stem}.json", 2
    while (runs := runs_of(disk, path)) is None:
        path, number = f"{stem}-{number}.json", number + 1
    run: Run = {"batch": batch, "rows": list(rows)}
    if run in runs:
        return
    runs = [r for r in runs if r["batch"] != batch or not batch] + [run]
    _put_text(disk, path, json_text({"format": 2, "runs": runs}))


def note_down(disk: Disk, notes: str, rows: Sequence[Row], day: date) -> None:
    """The fates of a run that wrote nothing; the same ones as last time are not written again."""
    runs = runs_of(disk, f"{FOLDER}/{notes.removesuffix('.txt')}.json") or []
    if not runs or runs[-1]["rows"] != list(rows):
        _add_run(disk, notes, _stamp(disk, day), rows)
    keep_waiting(disk)


def _put_text(disk: Disk, path: str, text: str) -> None:
    folder, _, name = path.rpartition("/")
    part = f"{folder}/.{name}.part"
    disk.write(part, text.encode())
    disk.rename(part, path)
    disk.sync_folder(folder)


def damaged(disk: Disk) -> list[Problem]:
    """Records of fates that can't be read: told, never overwritten."""
    hint = "restore it from a backup, or leave it: what it told is only asked again"
    return [
        Problem("this record of typed notes is damaged", Place(f"{FOLDER}/{name}"), hint, "warning")
        for name in disk.names(FOLDER)
        if (name.endswith(".json") and runs_of(disk, f"{FOLDER}/{name}") is None)
        or (name.endswith(".txt") and disk.kind(f"{FOLDER}/{name}") != "file")
    ]


def dismissal(rows: Iterable[tuple[int, Waiting]], day: date) -> tuple[str, list[Row]]:
    """The record's name and the rows that set waiting lines aside for good, each by its number in the list; texts stay."""
    dismissed: list[Row] = [
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
            "nth": nth,
        }
        for nth, r in rows
    ]
    return f"{day.isoformat()}-dismissed-{hashlib.sha256(json.dumps(dismissed).encode()).hexdigest()[:8]}", dismissed


def _stamp(disk: Disk, day: date) -> str:
    """A name for a run without a batch: it sorts behind all that stands, and before the next batch."""
    count = sum(len(runs_of(disk, f"{FOLDER}/{n}") or ()) for n in disk.names(FOLDER) if n.endswith(".json"))
    return f"{int(next_id(disk, '')[:6]) - 1:06d}-{day.isoformat()}.{count:05d}"


def undone(journal: Journal) -> tuple[Row, ...]:
    """The rows of a batch that is taken back: what it wrote may be typed again."""
    if not journal.changes:
        return ()
    return tuple(_as_undone(row) for row in _rows(journal) if row["fate"] == "write")


def _as_undone(row: Row) -> Row:
    return {**row, "fate": "undone"}


def history(disk: Disk) -> History:
    """What earlier notes have written, by key."""
    written: dict[str, str] = {}
    moved: set[str] = set()
    for row in rows_of(disk):
        if row["fate"] in ("write", "there"):
            moved |= set(row.get("instead", ()))
        if row["fate"] == "write":
            written[row["key"]] = row["text"]
        elif row["fate"] == "undone":
            written.pop(row["key"], None)
            moved -= set(row.get("instead", ()))
    return History(written, frozenset(moved))


def waiting_text(rows: Iterable[Waiting]) -> str:
    """What waits, as notes that can be mended and given again; lines with '?' are the tool's own words."""
    blocks: list[str] = []
    header = None
    for row in sorted(rows, key=lambda r: r.header != ""):
        if row.header != header:
            blocks.append(row.header)
            header = row.header
        more = [f"({row.hint})"] if row.hint else []
        more += [f"(typed: {row.typed}; {row.day})"] if row.day else []
        why = " ".join([f"? {row.notes} line {row.number}: {row.why}", *more])
        blocks += [why, row.text if row.text != row.header else "? (the header itself)"]
    return "\n".join(b for b in blocks if b) + ("\n" if blocks else "")


def keep_waiting(disk: Disk) -> list[Waiting]:
    """Draw up `notes/waiting.txt` anew; an empty one says so."""
    rows = waiting(disk)
    path = f"{FOLDER}/{WAITING}"
    if rows or disk.read(path) is not None:
        _put_text(disk, path, waiting_text(rows) or "? nothing waits\n")
    return rows


def _fate(item: Item) -> Row:
    reading = item.reading
    row: Row = {
        "number": reading.number,
        "text": " ".join(reading.text.split()),
        "header": header_told(reading),
        "again": reading.again or " ".join(reading.text.split()),
        "tag": item.tag,
        "fate": item.fate,
        "key": item.key,
        "why": item.why,
        "hint": item.hint,
        "path": item.path,
    }
    if item.instead:
        row["instead"] = list(item.instead)
    if reading.typed:
        row["typed"] = reading.typed
    if reading.mends:
        row["mends"] = list(reading.mends)
    return row


def header_told(reading: Reading) -> str:
    """The header that a line stands under, as it can be given again."""
    if reading.sheet is not None:
        return f"sheet {reading.sheet.serial}"
    if is_header(reading):
        return reading.text
    return f"{'tree' if len(reading.tags) == 1 else 'trees'} {' '.join(reading.tags)}" if reading.tags else ""


def with_answers(plan: Plan, answers: Mapping[int, Sequence[Item]]) -> Plan:
    """The plan with other items in the place of some."""
    return replace(plan, items=tuple(i for n, item in enumerate(plan.items) for i in answers.get(n, (item,))))
