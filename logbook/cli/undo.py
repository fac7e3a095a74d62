"""Take the last batch back: typed notes out of the trees' files, an added tree's file, a tree's end. Printed sheets stay on record.

Lines of notes may then be typed again. What was edited since is left alone and named.

examples:
  benchleaf undo --dry-run
  benchleaf undo
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import NotRequired, TypedDict

from ..collection.splicing import as_told
from ..collection.yaml_editor import entry_text
from ..diagnostics import Place, Problem, counted
from ..intake.pictures_taken_down import pictures_that_stay
from ..intake.service import Ahead, keepsakes, look_ahead, take_back
from ..storage.batch import Outcome
from ..storage.journal import Change, Journal
from ..storage.store import Store
from .asking import confirmed
from .common import Opened, json_argument, today_argument
from .results import DONE, PROBLEMS, QUESTION, Result
from .writing import writing

Row = tuple[str, str]  # a file's path, and what goes out of it


class TakenEntry(TypedDict):
    """An entry of a log, as it was written."""

    path: str
    entry: dict[str, object]


class TakenKey(TypedDict):
    """A key of a tree's file, as it was written."""

    path: str
    key: str
    value: object


class UndoData(TypedDict):
    """The batch, and what goes out of which file; `refused` says by file why something stays. Null: there is no batch."""

    batch: str | None
    notes: NotRequired[str]
    entries: NotRequired[list[TakenEntry]]
    keys: NotRequired[list[TakenKey]]
    files: NotRequired[list[str]]
    refused: NotRequired[dict[str, str]]


SHAPE = UndoData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("--dry-run", action="store_true", help="show what would be taken out; write nothing")
    parser.add_argument("--yes", action="store_true", help="take it out without asking")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """What the verb does; the result it prints."""
    with writing(options) as (store, opened):
        finished = store.finished_undo()
        if finished is not None:
            return _finished(finished, store, dry_run=options.dry_run)
        last = store.last()
        if last is None:
            return Result(lines=(*store.told(), "there is no batch to undo"), data={"batch": None})
        if options.dry_run:
            return _shown(last, (*store.told(), *_lines(_rows(last)), "nothing changed (--dry-run)"), DONE)
        if not (options.yes or _agreed(last, options)):
            lines = (*store.told(), *_lines(_rows(last)), "nothing changed: run again with --yes")
            return _shown(last, lines, QUESTION)
        return _taken(store, opened, last)


def _finished(undo: Journal, store: Store, *, dry_run: bool) -> Result:
    """An undo that had been cut short was what was asked for: it is done, and no second batch is touched."""
    told = "nothing changed (--dry-run)" if dry_run else f"the undo that was cut short is finished; {_kept(undo)}"
    return _shown(undo, (*store.told(), *_lines(_rows(undo)), told), DONE, undo.of)


def _taken(store: Store, opened: Opened, last: Journal) -> Result:
    ahead = look_ahead(store, last)
    if ahead.blocked:
        lines = (*store.told(), "nothing was taken out; the batch can still be undone")
        return Result(PROBLEMS, lines, {"batch": last.id}, ahead.blocked)
    stay = pictures_that_stay(opened.collection, last, ahead)
    outcome = take_back(store, last, opened.today, stay)
    stays = {(path, entry_text(entry)) for path, entry in ahead.edited}
    rows = [row for row in _rows(last) if row not in stays and row[0] not in outcome.refused and row[0] not in stay]
    files = counted(len({path for path, _ in rows}), "file")
    lines = (*store.told(), *_lines(rows), f"taken out of {files}; {_kept(last)}")
    shown = _shown(last, lines, PROBLEMS if outcome.refused else DONE)
    data = {**shown.data, "refused": dict(outcome.refused)}
    return Result(shown.code, shown.lines, data, _problems(outcome, ahead))


def _problems(outcome: Outcome, ahead: Ahead) -> tuple[Problem, ...]:
    stays = sorted({(path, entry_text(entry)) for path, entry in ahead.edited})
    hint = "take it out by hand, if it is to go"
    return (
        *(Problem(f"{path}: {why}") for path, why in outcome.refused.items()),
        *keepsakes(outcome),
        *(Problem(f"edited since, so it stays: {text}", Place(path), hint, "warning") for path, text in stays),
    )


def _agreed(last: Journal, options: argparse.Namespace) -> bool:
    if options.json or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    return confirmed(options, _lines(_rows(last)), "take these out again?")


def _rows(last: Journal) -> list[Row]:
    return [(change.path, text) for change in last.changes for text in _texts(change)]


def _texts(change: Change) -> list[str]:
    if change.kind == "new":
        return ["the whole file, as it was added"]
    if change.kind == "picture":
        return ["the picture, as it was copied"]
    if change.kind == "text":
        return ["the text as it was before"]
    amends = [as_told(amendment) for amendment in change.amends]
    return [
        *map(entry_text, [*amends, *change.entries]),
        *(entry_text({key: value}) for key, value in change.keys.items()),
    ]


def _lines(rows: Sequence[Row]) -> list[str]:
    return [f"  -   {path}  {text}" for path, text in rows]


def _kept(last: Journal) -> str:
    return f"the notes are kept in notes/{last.notes}" if last.notes else "printed sheets stay on record"


def _shown(last: Journal, lines: Sequence[str], code: int, batch: str = "") -> Result:
    data: UndoData = {
        "batch": batch or last.id,
        "notes": last.notes,
        "entries": [
            {"path": c.path, "entry": dict(e)} for c in last.changes for e in (*map(as_told, c.amends), *c.entries)
        ],
        "keys": [{"path": c.path, "key": k, "value": v} for c in last.changes for k, v in c.keys.items()],
        "files": [c.path for c in last.changes if c.kind != "entries"],
    }
    return Result(code, tuple(lines), data)
