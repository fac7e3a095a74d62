"""A batch of entries into several files: all of it sooner or later, or none, whatever happens in between.

The journal is the commit point: a file in `.journal/` with the old and new text of every file. From there each file is
put in place in one step, and what it displaced is looked at: if someone saved meanwhile, theirs goes back and the entries are
spliced into it anew. A run that was cut short is finished by the next one. The journal then moves to `.journal/done/`, which
makes `undo` free. No text that this tool did not write is ever unlinked; what can't be told apart is kept in `.journal/kept/`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from ..diagnostics import Problem
from .disk import Disk

FOLDER = ".journal"
DONE = f"{FOLDER}/done"
KEPT = f"{FOLDER}/kept"
TRIES = 8

Kind = Literal["write", "undo"]
Row = Mapping[str, Any]


class NotNow(Exception):  # noqa: N818 - reads as what it says
    """A file that can't be written as planned; the message says why, and `problem` where."""

    def __init__(self, why: str, problem: Problem | None = None) -> None:
        super().__init__(why)
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Change:
    """One file of a batch: its text before and after, and the entries that make the difference."""

    path: str
    old: str
    new: str
    entries: tuple[Mapping[str, Any], ...]


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
        return f"{FOLDER}/{self.id}.json"


@dataclass(frozen=True, slots=True)
class Hand:
    """How entries go into a file's text and out of it again, and how a batch is settled once its files stand.

    `put_in` and `take_out` return None where nothing is left to do and raise NotNow where it can't be done safely. `settle` gets
    the files that refused, with their reasons; it may be called again for the same journal and must then change nothing.
    """

    put_in: Callable[[str, Change], str | None]
    take_out: Callable[[str, Change], str | None]
    settle: Callable[[Disk, Journal, Mapping[str, str]], None]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a finished batch left undone, by file."""

    journal: Journal
    refused: Mapping[str, str] = field(default_factory=dict)


def next_id(disk: Disk, day: str) -> str:
    """A name for the next batch; names sort in the order of the batches."""
    names = [*disk.names(DONE), *disk.names(FOLDER), *disk.names(KEPT)]
    numbers = [int(name[:6]) for name in names if name[:6].isdecimal()]
    return f"{max(numbers, default=0) + 1:06d}-{day}"


def commit(disk: Disk, hand: Hand, journal: Journal) -> Outcome:
    """Write the journal down, which is the point of no return, then finish it."""
    part = f"{FOLDER}/{journal.id}.part"
    disk.write(part, journal_text(journal).encode())
    disk.rename(part, journal.path)
    disk.sync_folder(FOLDER)
    return finish(disk, hand, journal)


def finish(disk: Disk, hand: Hand, journal: Journal) -> Outcome:
    """Put every file in place, settle the fates, close the journal. Safe to do again from anywhere.

    A file that refuses for what it says is given up, and its lines wait. One that the disk refuses is tried again by the next run:
    the journal stays open for it.
    """
    refused: dict[str, str] = {}
    failed = False
    for change in journal.changes:
        try:
            put(disk, hand, journal, change)
        except NotNow as why:
            refused[change.path] = str(why)
        except OSError as error:
            refused[change.path] = f"the file can't be written: {(error.strerror or str(error)).lower()}"
            failed = True
    hand.settle(disk, journal, refused)
    if failed:
        return Outcome(journal, refused)
    disk.rename(journal.path, f"{DONE}/{journal.id}.json")
    disk.sync_folder(DONE)
    disk.sync_folder(FOLDER)
    return Outcome(journal, refused)


def recover(disk: Disk, hand: Hand) -> list[Outcome]:
    """Finish every batch that was cut short; half-written journals were never committed and are dropped."""
    outcomes = []
    for name in disk.names(FOLDER):
        if name.endswith(".part"):
            disk.unlink(f"{FOLDER}/{name}")
        elif name.endswith(".json"):
            journal = read_journal(disk, f"{FOLDER}/{name}")
            if journal is None:
                disk.rename(f"{FOLDER}/{name}", f"{KEPT}/{name}")
                continue
            disk.sync_folder(FOLDER)  # the run that wrote it may not have come so far
            outcomes.append(finish(disk, hand, journal))
    return outcomes


def unfinished(disk: Disk) -> bool:
    """Whether a batch was cut short."""
    return any(name.endswith(".json") for name in disk.names(FOLDER))


def last_done(disk: Disk) -> Journal | None:
    """The latest finished batch that wrote something and was not undone since."""
    journals = [read_journal(disk, f"{DONE}/{name}") for name in disk.names(DONE) if name.endswith(".json")]
    found = [j for j in journals if j is not None]
    undone = {j.of for j in found if j.kind == "undo"}
    writes = [j for j in found if j.kind == "write" and j.changes and j.id not in undone]
    return max(writes, key=lambda j: j.id, default=None)


def put(disk: Disk, hand: Hand, journal: Journal, change: Change) -> None:
    """Bring one file to where the batch wants it. Raises NotNow."""
    folder, _, name = change.path.rpartition("/")
    part = f"{folder}/.{name}.{journal.id}.part"
    draft = f"{folder}/.{name}.{journal.id}.draft"  # half-written texts have this name, whole ones the other
    step = hand.put_in if journal.kind == "write" else hand.take_out
    disk.unlink(draft)
    _settle_leftover(disk, change, part, journal)
    for _ in range(TRIES):
        now = disk.read(change.path)
        if now is None:
            raise NotNow("the file is gone")
        text = _decoded(now)
        new = step(text, change)
        if new is None:
            disk.sync_folder(folder)
            return
        disk.write(draft, new.encode(), change.path)
        disk.rename(draft, part)
        if _placed(disk, part, change, now, new.encode(), journal):
            disk.sync_folder(folder)
            return
    raise NotNow("something else saves the file again and again")


def _placed(disk: Disk, part: str, change: Change, now: bytes, new: bytes, journal: Journal) -> bool:
    """Exchange the new text for the old and look at what came out; put it back where it is not what was read."""
    path = change.path
    if not disk.swap(part, path):
        return _moved_in(disk, part, change, now, journal)
    if disk.read(part) == now:
        disk.unlink(part)
        return True
    disk.swap(part, path)
    if disk.read(part) == new:
        disk.unlink(part)
        return False
    disk.swap(part, path)  # saved once more in that instant: the later text stays, the earlier one is kept aside
    keep_aside(disk, part, _aside(change, journal))
    return False


def _moved_in(disk: Disk, part: str, change: Change, now: bytes, journal: Journal) -> bool:
    """Where two files can't be exchanged: the old one steps aside and is looked at, and the new one takes a free name only."""
    path, old = change.path, _old_name(part)
    disk.rename(path, old)
    if disk.read(old) != now:
        _back(disk, old, change, journal)
        disk.unlink(part)
        return False
    disk.link(part, path)
    disk.sync_folder(path.rpartition("/")[0])  # the new name is safe before the old text goes
    if disk.read(path) == disk.read(part):
        disk.unlink(old)
        disk.unlink(part)
        return True
    keep_aside(disk, old, _aside(change, journal))  # someone saved under the free name
    disk.unlink(part)
    return False


def _back(disk: Disk, old: str, change: Change, journal: Journal) -> None:
    """A text that stepped aside takes its name again, unless somebody saved under it."""
    disk.link(old, change.path)
    disk.sync_folder(change.path.rpartition("/")[0])
    if disk.read(change.path) == disk.read(old):
        disk.unlink(old)
    else:
        keep_aside(disk, old, _aside(change, journal))


def _old_name(part: str) -> str:
    return part.removesuffix(".part") + ".old"


def _settle_leftover(disk: Disk, change: Change, part: str, journal: Journal) -> None:
    """Files of a run that was cut short. Only texts that are known word for word go; all others go back or are kept aside."""
    _settle_old(disk, change, part, journal)
    left = disk.read(part)
    if left is None:
        return
    now, ours = disk.read(change.path), _ours(change, journal)
    if left in (change.old.encode(), change.new.encode()):
        disk.unlink(part)
    elif now == ours and disk.swap(part, change.path):  # saved by somebody just as our text went in: theirs goes back
        disk.sync_folder(change.path.rpartition("/")[0])
        if disk.read(part) == ours:
            disk.unlink(part)
        else:
            keep_aside(disk, part, _aside(change, journal))
    else:
        keep_aside(disk, part, _aside(change, journal))


def _settle_old(disk: Disk, change: Change, part: str, journal: Journal) -> None:
    """The text that had stepped aside, where two files can't be exchanged."""
    old = _old_name(part)
    left = disk.read(old)
    if left is None:
        return
    now, ours = disk.read(change.path), _ours(change, journal)
    if now is None or now == left:
        _back(disk, old, change, journal)
    elif now != ours or left in (change.old.encode(), change.new.encode()):
        keep_aside(disk, old, _aside(change, journal))
    else:  # theirs stepped aside for ours: ours goes, and is made anew from theirs
        disk.unlink(part)
        disk.rename(change.path, part)
        if disk.read(part) == ours:
            disk.unlink(part)
        else:
            disk.link(part, change.path)
            keep_aside(disk, part, _aside(change, journal))
        _back(disk, old, change, journal)
    disk.sync_folder(change.path.rpartition("/")[0])


def _ours(change: Change, journal: Journal) -> bytes:
    """What this batch makes of the file, where nobody else has a hand in it."""
    return (change.new if journal.kind == "write" else change.old).encode()


def _aside(change: Change, journal: Journal) -> str:
    return f"{journal.id}-{change.path.rpartition('/')[2]}"


def keep_aside(disk: Disk, part: str, name: str) -> None:
    """Move a file that nobody can place into `.journal/kept/`, under a name that is free."""
    taken, number = set(disk.names(KEPT)), 2
    free = name
    while free in taken:
        free, number = f"{name}.{number}", number + 1
    disk.sync_folder(
        part.rpartition("/")[0]
    )  # what led here is safe first: else a power cut could bring the name back
    disk.rename(part, f"{KEPT}/{free}")
    disk.sync_folder(KEPT)


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise NotNow("the file is not UTF-8 text") from None


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
    if not piece or text.count(piece) != 1:
        raise NotNow("the file was edited since: take the entries out by hand")
    return text.replace(piece, "")


# -- a journal as text ---------------------------------------------------------------------------------------------


def journal_text(journal: Journal) -> str:
    rows = [
        {
            "path": change.path,
            "old_sha256": _sha(change.old),
            "new_sha256": _sha(change.new),
            "old": change.old,
            "new": change.new,
            "entries": [dict(entry) for entry in change.entries],
        }
        for change in journal.changes
    ]
    said = {
        "format": 1,
        "id": journal.id,
        "day": journal.day,
        "kind": journal.kind,
        "notes": journal.notes,
        "of": journal.of,
        "files": rows,
        "fates": [dict(row) for row in journal.rows],
    }
    return json.dumps(said, ensure_ascii=False, indent=1) + "\n"


def read_journal(disk: Disk, path: str) -> Journal | None:
    """A journal; None where the file is none, or its texts do not match their sums."""
    raw = disk.read(path)
    try:
        said = json.loads((raw or b"").decode("utf-8"))
        changes = tuple(Change(f["path"], f["old"], f["new"], tuple(f["entries"])) for f in said["files"])
        sums = [(f["old_sha256"], f["new_sha256"]) for f in said["files"]]
        sound = sums == [(_sha(c.old), _sha(c.new)) for c in changes]
        journal = Journal(
            said["id"], said["day"], said["notes"], changes, tuple(said["fates"]), said["kind"], said["of"]
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    return journal if sound and all(_inside(c.path) for c in changes) else None


def _inside(path: str) -> bool:
    return path.startswith("trees/") and ".." not in path.split("/")


def _sha(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
