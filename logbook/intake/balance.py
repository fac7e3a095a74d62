"""What a collection's records owe one another, held against each other: trees, notes, batches and printed sheets.

`notes/`, `.journal/` and `printed/` may each be deleted: what only they could tell is not asked then. Everything here reads, and
nothing is decided for the grower: an entry that was taken out by hand is told like one that was lost.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from ..collection.model import Collection
from ..diagnostics import Place, Problem
from ..storage import journal as batches
from ..storage.disk import Disk
from ..storage.journal import DONE, KEPT, Journal, read_journal
from ..storage.printed import FOLDER as PRINTED
from ..storage.printed import Ledger, is_serial, serial_owners
from ..values import dataclass
from .archive import damaged
from .line_status import FOLDER, WAITING, KeptRow, audit, rows_of

AGAIN = "if you took it out yourself all is well; else give the line again"


@dataclass(frozen=True, slots=True)
class Counts:
    """How much was held against each other."""

    typed: int
    entries: int
    sheets: int
    batches: int

    @property
    def told(self) -> str:
        """In a line of words."""
        return (
            f"held against each other: typed lines {self.typed}, entries that name one {self.entries}, "
            f"printed sheets {self.sheets}, batches {self.batches}"
        )


def balance(folder: Path, disk: Disk, collection: Collection, ledger: Ledger) -> tuple[Counts, list[Problem]]:
    """What was counted, and every finding."""
    rows, done = rows_of(disk), _done(disk)
    journals = [journal for journal in done.values() if journal is not None]
    problems = [
        *_typed_and_gone(rows, collection),
        *_batches_gone(journals, collection),
        *_from_nowhere(rows, collection, ledger),
        *_serials(folder, ledger),
        *_texts(disk),
        *damaged(disk),
        *_astray(disk),
        *_batches(disk, done),
    ]
    named = sum(len(entry.sources) for tree in collection.trees for entry in tree.log)
    return Counts(audit(disk).typed, named, len(ledger.sheets), len(journals)), problems


def _names(disk: Disk, folder: str) -> list[str]:
    return disk.names(folder) if disk.kind(folder) == "folder" else []


def _sources(collection: Collection) -> set[str]:
    return {source for tree in collection.trees for entry in tree.log for source in entry.sources}


def _source(key: str) -> str:
    """The sheet's line that a key names; empty where it names none."""
    source = key.rpartition(" ")[2]
    return source if "/" in source else ""


def _typed_and_gone(rows: Iterable[KeptRow], collection: Collection) -> Iterator[Problem]:
    """Lines of sheets that were written, and whose entry stands nowhere."""
    standing: dict[str, KeptRow] = {}
    for row in rows:
        if row["fate"] in ("write", "there"):
            standing.setdefault(row["key"], row)
        elif row["fate"] == "undone":
            standing.pop(row["key"], None)
    there = _sources(collection)
    for key, row in standing.items():
        source = _source(key)
        if source and source not in there:
            told = f"this line was written as {source} of tree {row['tag']}, and no entry names it"
            yield Problem(told, Place(f"{FOLDER}/{row['notes']}", row["number"]), AGAIN, "warning")


def _batches_gone(journals: Iterable[Journal], collection: Collection) -> Iterator[Problem]:
    """Entries without a sheet's line that a batch wrote, of whose day the tree has none."""
    days = {tree.path: {entry.date.text for entry in tree.log} for tree in collection.trees}
    for journal in _standing(list(journals)):
        for path, day in _days_written(journal):
            if path in days and day not in days[path]:
                where = f"{FOLDER}/{journal.notes}" if journal.notes else f"{DONE}/{journal.id}.json"
                told = f"an entry of {day} that was written on {journal.day} is not there ({where})"
                yield Problem(told, Place(path, 1), AGAIN, "warning")


def _standing(journals: Sequence[Journal]) -> list[Journal]:
    """The batches that were not taken back."""
    undone = {journal.of for journal in journals if journal.kind == "undo"}
    return [journal for journal in journals if journal.kind != "undo" and journal.id not in undone]


def _days_written(journal: Journal) -> Iterator[tuple[str, str]]:
    """The file and the day of each entry of a batch that names no sheet's line."""
    for change in journal.changes:
        yield from ((change.path, str(entry.get("date", ""))) for entry in change.entries if "from" not in entry)


def _from_nowhere(rows: Iterable[KeptRow], collection: Collection, ledger: Ledger) -> Iterator[Problem]:
    """Entries that name a line no note has, or a sheet that is on no record."""
    typed = {_source(row["key"]) for row in rows} - {""}
    printed = {*ledger.sheets, *ledger.doubled}
    for tree in collection.trees:
        for entry in tree.log:
            for source in entry.sources:
                serial = source.partition("/")[0]
                if typed and source not in typed:
                    told, hint = f"no note in {FOLDER}/ has the line {source}", "bring the notes back from a backup"
                elif printed and serial not in printed:
                    told, hint = (
                        f"no record in {PRINTED}/ has the sheet {serial}",
                        "bring the record back from a backup",
                    )
                else:
                    continue
                yield Problem(
                    told, tree.place_of(entry), f"{hint}, or leave it: the entry counts all the same", "warning"
                )


def _serials(folder: Path, ledger: Ledger) -> Iterator[Problem]:
    """Serials with two owners, and such as no run of this tool draws."""
    for serial, names in sorted(serial_owners(folder).items()):
        if serial in ledger.doubled:
            told = f"the serial {serial} is on record twice, for different sheets: {', '.join(names)}"
            yield Problem(told, Place(f"{PRINTED}/{names[-1]}", 1), "print one of the two sheets anew", "error")
        if not is_serial(serial):
            told = f"the serial {serial} has another check digit"
            yield Problem(told, Place(f"{PRINTED}/{names[0]}", 1), "restore the record from a backup", "warning")


def _texts(disk: Disk) -> Iterator[Problem]:
    """Typed texts that do not say what their name was made of."""
    for name in _names(disk, FOLDER):
        path = f"{FOLDER}/{name}"
        if name.startswith(".") or not name.endswith(".txt") or name == WAITING or disk.kind(path) != "file":
            continue
        if hashlib.sha256(disk.read(path) or b"").hexdigest()[:12] != name.removesuffix(".txt")[-12:]:
            hint = "what was written stands in the trees; bring the text back from a backup, or leave it"
            yield Problem("this typed text was changed since it was kept", Place(path, 1), hint, "warning")


def _astray(disk: Disk) -> Iterator[Problem]:
    for name, number in audit(disk).astray:
        hint = "give the text again with: benchleaf reconcile"
        yield Problem("what became of this line is not on record", Place(f"{FOLDER}/{name}", number), hint, "warning")


def _done(disk: Disk) -> Mapping[str, Journal | None]:
    names = (name for name in _names(disk, DONE) if name.endswith(".json") and not name.startswith("."))
    return {n: read_journal(disk, f"{DONE}/{n}") if disk.kind(f"{DONE}/{n}") == "file" else None for n in names}


def _batches(disk: Disk, done: Mapping[str, Journal | None]) -> Iterator[Problem]:
    """Batches that are not finished, records of batches that can't be read, and what was kept aside."""
    for name in _names(disk, batches.FOLDER):
        if name.endswith(".json"):
            told, hint = "this batch is not finished", "the next run that writes finishes it"
            yield Problem(told, Place(f"{batches.FOLDER}/{name}", 1), hint, "warning")
    for name, journal in done.items():
        if journal is None:
            told, hint = "this record of a batch is damaged", "'undo' passes over it; nothing else needs it"
            yield Problem(told, Place(f"{DONE}/{name}", 1), hint, "warning")
        elif journal.notes and not _has_notes(disk, journal):
            told = f"the typed text of this batch is not in {FOLDER}/: {journal.notes}"
            yield Problem(told, Place(f"{DONE}/{name}", 1), "bring it back from a backup, or leave it", "warning")
    for name in _names(disk, KEPT):
        hint = "look whether something of it is missing elsewhere, then delete it"
        yield Problem(
            "this was kept aside, since nothing could be made of it", Place(f"{KEPT}/{name}", 1), hint, "warning"
        )


def _has_notes(disk: Disk, journal: Journal) -> bool:
    """Whether the text or the record of a batch's notes is there; where there are no notes at all, none is missed."""
    stem = journal.notes.removesuffix(".txt")
    found: list[Any] = _names(disk, FOLDER)
    return not found or f"{stem}.txt" in found or f"{stem}.json" in found
