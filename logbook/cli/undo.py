"""Take the last batch back: typed notes out of the trees' files, an added tree's file, a tree's end. Printed sheets stay on record.

Lines of notes may then be typed again. What was edited since is left alone and named.

examples:
  benchleaf undo --dry-run
  benchleaf undo
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import PurePosixPath
from typing import NotRequired, TypedDict

from ..collection.entry_text import render_entry
from ..collection.splicing import as_told
from ..collection.tree_text import tree_context
from ..collection.yaml_editor import Value, entry_text
from ..diagnostics import Place, Problem, counted
from ..intake.pictures_taken_down import pictures_that_stay
from ..intake.plan import entry_reader
from ..intake.service import Ahead, keepsakes, look_ahead, take_back
from ..storage.batch import Outcome
from ..storage.journal import Journal
from ..storage.store import Store
from ..values import dataclass
from .asking import confirmed
from .common import Opened, json_argument, today_argument
from .results import DONE, PROBLEMS, QUESTION, Result
from .writing import writing


@dataclass(frozen=True, slots=True)
class Row:
    """What goes out of a file: as it stands there, and in the words of the log."""

    path: str
    text: str
    told: str


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
            return _finished(finished, store, opened, dry_run=options.dry_run)
        last = store.last()
        if last is None:
            return Result(lines=(*store.told(), "there is no batch to undo"), data={"batch": None})
        rows = list(_rows(last, opened))
        if options.dry_run:
            return _shown(last, (*store.told(), *_lines(rows), "nothing changed (--dry-run)"), DONE)
        can_ask = not options.json and sys.stdin.isatty() and sys.stderr.isatty()
        asked = can_ask and not options.yes
        if asked and not confirmed(options, _lines(rows), "take these out again?"):
            return _shown(last, (*store.told(), "nothing changed"), QUESTION)
        if not (asked or options.yes):
            lines = (*store.told(), *_lines(rows), "nothing changed: run again with --yes")
            return _shown(last, lines, QUESTION)
        return _taken(store, opened, last, rows, told_already=asked)


def _finished(undo: Journal, store: Store, opened: Opened, *, dry_run: bool) -> Result:
    """An undo that had been cut short was what was asked for: it is done, and no second batch is touched."""
    told = "nothing changed (--dry-run)" if dry_run else f"the undo that was cut short is finished; {_kept(undo)}"
    return _shown(undo, (*store.told(), *_lines(list(_rows(undo, opened))), told), DONE, undo.of)


def _taken(store: Store, opened: Opened, last: Journal, whole: Sequence[Row], *, told_already: bool) -> Result:
    """Take it out, and tell what went: once, so not again where it was shown a moment ago and all of it went."""
    ahead = look_ahead(store, last)
    if ahead.blocked:
        lines = (
            *store.told(),
            "nothing was taken out; once that is out of the way it can be undone, and what was before it",
        )
        return Result(PROBLEMS, lines, {"batch": last.id}, ahead.blocked)
    stay = pictures_that_stay(opened.collection, last, ahead)
    outcome = take_back(store, last, opened.today, stay)
    stays = {(path, entry_text(entry)) for path, entry in ahead.edited}
    kept = {*outcome.refused, *stay}
    rows = [row for row in whole if (row.path, row.text) not in stays and row.path not in kept]
    files = counted(len({row.path for row in rows}), "file")
    shown_rows = [] if told_already and rows == list(whole) else _lines(rows)
    lines = (*store.told(), *shown_rows, f"taken out of {files}; {_kept(last)}")
    shown = _shown(last, lines, PROBLEMS if outcome.refused else DONE)
    data = {**shown.data, "refused": dict(outcome.refused)}
    named = (Problem(f"{path} stays: a log still names it", severity="warning") for path in sorted(stay))
    return Result(shown.code, shown.lines, data, (*_problems(outcome, ahead, opened), *named))


def _problems(outcome: Outcome, ahead: Ahead, opened: Opened) -> tuple[Problem, ...]:
    stays = sorted({(path, _in_words(opened, entry)) for path, entry in ahead.edited})
    hint = "take it out by hand, if it is to go"
    return (
        *(Problem(f"{path}: {why}") for path, why in outcome.refused.items()),
        *keepsakes(outcome),
        *(Problem(f"edited since, so it stays: {text}", Place(path), hint, "warning") for path, text in stays),
    )


def _rows(last: Journal, opened: Opened) -> Iterator[Row]:
    """All that goes out, in the words that paper has for a log."""
    tags = {tree.path: tree.tag for tree in opened.collection.trees}
    for change in last.changes:
        of = tags.get(change.path) or PurePosixPath(change.path).stem
        if change.kind in _WHOLE:
            yield Row(change.path, "", f"{change.path}  {_WHOLE[change.kind]}")
        for entry in (*map(as_told, change.amends), *change.entries):
            yield Row(change.path, entry_text(entry), f"{of} {_in_words(opened, entry)}")
        for key, value in change.keys.items():
            yield Row(change.path, entry_text({key: value}), f"{of} {_key_in_words(key, value)}")


_WHOLE = {
    "new": "the whole file, as it was added",
    "picture": "the picture, as it was copied",
    "text": "the text as it was before",
}


def _in_words(opened: Opened, entry: Mapping[str, Value]) -> str:
    """An entry as paper tells it, behind its day; as it stands in the file where it can't be read any more."""
    read = entry_reader(tree_context(opened.collection.settings, opened.knowledge))
    model = read(entry_text(entry))
    if isinstance(model, Problem):
        return entry_text(entry)
    plain = render_entry(model, opened.units)
    return f"{model.date.told()}  {plain or entry_text(entry)}"


def _key_in_words(key: str, value: Value) -> str:
    """A key of a tree's file: `ended: died, 2027-01-14`."""
    told = ", ".join(map(str, reversed(list(value.values())))) if isinstance(value, Mapping) else str(value)
    return f"{key}: {told}"


def _lines(rows: Sequence[Row]) -> list[str]:
    return [f"  -   {row.told}" for row in rows]


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
