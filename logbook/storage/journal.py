"""The journal: what a batch is going to do, written down whole before any file is touched.

One JSON file a batch in `.journal/`, with the old and new text of every file and the sums of both; done ones lie in
`.journal/done/`, which makes `undo` free. Format 2 names the kind of each change; format 1 knew entries alone and is still read.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import field
from typing import Any, Literal, get_args

from ..diagnostics import Problem
from ..values import dataclass
from .disk import Disk
from .json_text import json_text

FOLDER = ".journal"
DONE = f"{FOLDER}/done"
KEPT = f"{FOLDER}/kept"

Kind = Literal["write", "undo"]
ChangeKind = Literal["entries", "new", "text", "picture"]
Row = Mapping[str, Any]  # an object of JSON, checked where it is read

_ID = re.compile(r"\d{6}-\d{4}-\d{2}-\d{2}")
_TREE = re.compile(r"trees/[^/\\.][^/\\]*")
_WEATHER = re.compile(r"weather/[^/\\.][^/\\]*\.csv")
_PICTURE = re.compile(r"photos/[^/\\.][^/\\]*\.jpg")
_SUM = re.compile(r"[0-9a-f]{64}")


class NotNow(Exception):  # noqa: N818 - reads as what it says
    """A file that can't be written as planned; the message says why, and `problem` where."""

    def __init__(self, why: str, problem: Problem | None = None) -> None:
        super().__init__(why)
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Change:
    """One file of a batch: its text before and after, and what makes the difference.

    `entries`: log entries are spliced into the text, `amends` tell more of entries that stand there, and `keys` stand at its end. `new`: the file did not exist. `text`: the whole
    text is replaced, if it is still the old one. `picture`: a file of bytes that did not exist; `new` is their SHA-256, and the bytes
    lie beside its place before the journal is written.
    """

    path: str
    old: str
    new: str
    entries: tuple[Row, ...] = ()
    keys: Row = field(default_factory=dict)
    kind: ChangeKind = "entries"
    amends: tuple[Row, ...] = ()

    @property
    def count(self) -> int:
        """How many entries, keys or files it stands for."""
        return len(self.entries) + len(self.amends) + len(self.keys) or 1


@dataclass(frozen=True, slots=True)
class Journal:
    """A batch as it is written down before any file is touched. `rows` tell the fate of each typed line."""

    id: str
    day: str
    notes: str
    changes: tuple[Change, ...]
    rows: tuple[Row, ...] = ()
    kind: Kind = "write"
    of: str = ""  # the batch that an undo takes back

    @property
    def path(self) -> str:
        """The batch's file, from the collection's folder."""
        return f"{FOLDER}/{self.id}.json"


@dataclass(frozen=True, slots=True)
class Hooks:
    """What the store has to be told: how entries go into a text and out of it, and what else stands in the collection.

    `put_in` and `take_out` return None where nothing is left to do and raise NotNow where it can't be done safely. `settle` gets
    the files that refused, with their reasons; it may be called again for the same journal and must then change nothing.
    `tidy` sees to what a run that was cut short left elsewhere, before its batch is finished.
    """

    put_in: Callable[[str, Change], str | None]
    take_out: Callable[[str, Change], str | None]
    settle: Callable[[Disk, Journal, Mapping[str, str]], None]
    tidy: Callable[[Disk], None]


def next_id(disk: Disk, day: str) -> str:
    """A name for the next batch; names sort in the order of the batches."""
    names = [*disk.names(DONE), *disk.names(FOLDER), *disk.names(KEPT)]
    numbers = [int(name[:6]) for name in names if name[:6].isdecimal()]
    return f"{max(numbers, default=0) + 1:06d}-{day}"


def unfinished(disk: Disk) -> bool:
    """Whether a batch was cut short."""
    return any(name.endswith(".json") for name in disk.names(FOLDER))


def last_done(disk: Disk) -> Journal | None:
    """The latest finished batch that wrote something and was not undone since."""
    undone: set[str] = set()
    for journal in _latest_first(disk):
        if journal.kind == "undo":
            undone.add(journal.of)
        elif journal.changes and journal.id not in undone:
            return journal
    return None


def _latest_first(disk: Disk) -> Iterator[Journal]:
    for name in sorted(disk.names(DONE), reverse=True):
        journal = read_journal(disk, f"{DONE}/{name}") if name.endswith(".json") else None
        if journal is not None:
            yield journal


def cut_out(text: str, change: Change) -> str:
    """The text without what the batch had put in. Raises NotNow where that piece can't be told any more."""
    if text == change.new:
        return change.old
    start = 0
    limit = min(len(change.old), len(change.new))
    while start < limit and change.old[start] == change.new[start]:
        start += 1
    end = 0
    while end < limit - start and change.old[-1 - end] == change.new[-1 - end]:
        end += 1
    piece = change.new[start : len(change.new) - end]
    one_place = start + end == len(change.old)  # with two places, what lies between them is not ours
    if not piece or not one_place or text.count(piece) != 1:
        raise NotNow("the file was edited since: take the entries out by hand")
    return text.replace(piece, "")


# -- a journal as text ---------------------------------------------------------------------------------------------


def journal_text(journal: Journal) -> str:
    """The JSON text of a journal, in format 2."""
    rows = [
        {
            "kind": change.kind,
            "path": change.path,
            "old_sha256": _sha(change.old),
            "new_sha256": _sha(change.new),
            "old": change.old,
            "new": change.new,
            "entries": [dict(entry) for entry in change.entries],
            "keys": dict(change.keys),
            **({"amends": [dict(amendment) for amendment in change.amends]} if change.amends else {}),
        }
        for change in journal.changes
    ]
    said = {
        "format": 2,
        "id": journal.id,
        "day": journal.day,
        "kind": journal.kind,
        "notes": journal.notes,
        "of": journal.of,
        "files": rows,
        "fates": [dict(row) for row in journal.rows],
    }
    return json_text(said)


def read_journal(disk: Disk, path: str) -> Journal | None:
    """A journal of either format; None where the file is none, its texts do not match their sums, or a name leads elsewhere."""
    raw = disk.read(path)
    try:
        said = json.loads((raw or b"").decode("utf-8"))
        changes = tuple(_change(f) for f in said["files"])
        sums = [(f["old_sha256"], f["new_sha256"]) for f in said["files"]]
        journal = Journal(
            said["id"], said["day"], said["notes"], changes, tuple(said["fates"]), said["kind"], said["of"]
        )
        sound = sums == [(_sha(c.old), _sha(c.new)) for c in changes] and _is_sound(journal)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    return journal if sound else None


def _change(said: Row) -> Change:
    """One file of a journal; in format 1 every change was one of entries."""
    return Change(
        said["path"],
        said["old"],
        said["new"],
        tuple(said["entries"]),
        dict(said.get("keys", {})),
        said.get("kind", "entries"),
        tuple(said.get("amends", ())),
    )


def _is_sound(journal: Journal) -> bool:
    """Types are strict and names bare, since a journal may have come from elsewhere with a synced folder."""
    texts = (journal.id, journal.day, journal.notes, journal.of)
    return (
        all(isinstance(text, str) for text in texts)
        and _ID.fullmatch(journal.id) is not None
        and journal.kind in get_args(Kind)
        and _is_bare(journal.notes)
        and all(_is_row(row) for row in journal.rows)
        and all(_is_change(change) for change in journal.changes)
    )


def _is_change(change: Change) -> bool:
    settings = change.kind == "text" and change.path == "collection.yaml"
    days = change.kind != "entries" and _WEATHER.fullmatch(change.path) is not None
    tree = change.kind in ("entries", "new") and _TREE.fullmatch(change.path) is not None
    place = tree or settings or days
    if change.kind == "picture":
        return _PICTURE.fullmatch(change.path) is not None and change.old == "" and bool(_SUM.fullmatch(change.new))
    return (
        change.kind in get_args(ChangeKind)
        and place
        and all(isinstance(entry, dict) and _is_value(entry) for entry in change.entries)
        and _is_value(change.keys)
        and all(_is_amendment(amendment) for amendment in change.amends)
    )


def _is_amendment(said: object) -> bool:
    if not isinstance(said, dict) or not _is_value(said):
        return False
    mappings, lists = (said.get(k) for k in ("where", "add", "stood")), (said.get(k) for k in ("from", "lines"))
    return all(isinstance(m, Mapping) for m in mappings) and all(isinstance(found, list) for found in lists)


def _is_value(value: object) -> bool:
    """What an entry may hold: texts, numbers, and lists and mappings of them."""
    if isinstance(value, Mapping):
        return all(isinstance(key, str) and _is_value(item) for key, item in value.items())
    if isinstance(value, list):
        return all(_is_value(item) for item in value)
    return isinstance(value, str | int | float)


def _is_row(row: object) -> bool:
    return isinstance(row, dict) and all(isinstance(row.get(key), str) for key in ("fate", "key", "text"))


def _is_bare(name: str) -> bool:
    return not name.startswith(".") and not re.search(r"[/\\\0]", name)


def _sha(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def damaged(disk: Disk) -> Sequence[str]:
    """Open journals that can't be followed, or stand under another name than their own, as a synced copy does."""
    names = [name for name in disk.names(FOLDER) if name.endswith(".json")]
    found = {name: read_journal(disk, f"{FOLDER}/{name}") for name in names}
    return [name for name, journal in found.items() if journal is None or f"{journal.id}.json" != name]
