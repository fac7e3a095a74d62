"""The one way to change a collection: finish what was cut short, plan edits, commit them; and undo.

    with opened(folder, hooks, load) as (store, collection):
        prepared = store.prepare([Entries("trees/014.yaml", [{"date": "2026-11-25", "work": "feeding"}])])
        outcome = store.commit(prepared, date(2026, 11, 25))

With `dry_run` the same calls are made over a disk whose writes stay in memory: a batch that was cut short is finished
there, so that what is planned is planned as if that had been done, and no byte of the folder changes.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import field, replace
from datetime import date

from ..diagnostics import Place, Problem, ProblemsFound, counted
from ..values import dataclass
from . import batch, in_the_way, known_trees, placing
from .batch import Outcome
from .disk import Disk, Overlay, why
from .journal import KEPT, Change, Hooks, Journal, NotNow, Row, last_done, next_id

TREES, PRINTED, PHOTOS = "trees", "printed", "photos"
EDITED = (TREES, "weather", "")  # the folders whose files a batch writes
PLANTED = ("", TREES)  # the folders of a collection that is begun
KEEPSAKE = "a text that was saved in the very moment of a run is kept"
CUT_SHORT = "an earlier run was cut short; the next run that writes finishes it first"


@dataclass(frozen=True, slots=True)
class Entries:
    """Log entries to be spliced into a tree's file, more told of some that stand there, and keys to stand at its end."""

    path: str
    entries: Sequence[Row] = ()
    keys: Row = field(default_factory=dict)
    amends: Sequence[Row] = ()


@dataclass(frozen=True, slots=True)
class NewFile:
    """A tree's file that must not exist yet."""

    path: str
    text: str


@dataclass(frozen=True, slots=True)
class NewText:
    """Another text in place of a whole one, which must still be as it was read."""

    path: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class NewPicture:
    """A picture in `photos/` that must not exist yet; `data` gives its bytes, the same ones each time it is asked."""

    path: str
    data: Callable[[], bytes]


Edit = Entries | NewFile | NewText | NewPicture


@dataclass(frozen=True, slots=True)
class Prepared:
    """The new text of every file, checked; what refused, with its reason, by path. `unread`: files that the disk would not give."""

    changes: tuple[Change, ...] = ()
    refused: Mapping[str, str] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    unread: frozenset[str] = frozenset()
    pictures: Mapping[str, Callable[[], bytes]] = field(default_factory=dict)

    def all_or_none(self) -> Prepared:
        """Itself. Raises ProblemsFound where any file refuses."""
        if self.problems:
            raise ProblemsFound(self.problems)
        return self


@dataclass(frozen=True, slots=True)
class Ahead:
    """What an undo would meet: files that can't be handled."""

    blocked: tuple[Problem, ...] = ()
    texts: tuple[tuple[Change, str], ...] = ()  # the files that are there, as they stand


class Store:
    """A collection's files, open to be changed. Made by `opened`, which holds the lock."""

    def __init__(self, disk: Disk, hooks: Hooks, *, dry_run: bool = False) -> None:
        self.disk = disk
        self.hooks = hooks
        self.dry_run = dry_run
        self.finished: list[Outcome] = []
        self.set_aside: list[str] = []  # damaged records of batches
        self.kept: list[str] = []  # texts that nobody could place
        self.moved: list[str] = []  # what stood in the way of records
        self.gone: frozenset[str] = frozenset()  # trees' files that stood there the last time

    def recover(self) -> list[Outcome]:
        """Finish every batch that was cut short, and see to half-written files. To be called before anything else."""
        if not self.dry_run:
            self.moved = in_the_way.clear(self.disk)
        self.set_aside = batch.set_damaged_aside(self.disk)
        before = set(self.disk.names(KEPT))
        self.hooks.tidy(self.disk)
        self.finished = batch.recover(self.disk, self.hooks)
        placing.sweep(self.disk, EDITED, PRINTED, PHOTOS)
        placing.clear_planted(self.disk, PLANTED)
        self.kept = [name for name in self.disk.names(KEPT) if name not in before]
        self.gone = known_trees.gone(self.disk)
        return self.finished

    def note_trees(self) -> None:
        """Put on record which trees' files there are. To be called at the end of a run that was not refused."""
        if not self.dry_run:
            with contextlib.suppress(OSError):  # what the run did is done; the next one takes note
                known_trees.note(self.disk)

    @property
    def instead(self) -> Mapping[str, bytes | None]:
        """What stands in memory in place of files, by path, for who reads the folder itself; None where a file is gone."""
        return self.disk.changed if isinstance(self.disk, Overlay) else {}

    def told(self) -> list[str]:
        """What had to be done first, a line each."""
        aside = [f"a damaged record of a batch is kept in {KEPT}/{name}" for name in self.set_aside]
        aside += [f"what stood in the place of a record is kept in {path}" for path in self.moved]
        if self.dry_run:
            return [CUT_SHORT] if self.finished else []
        if self.gone:
            aside.append(f"not there any more: {known_trees.gone_told(self.gone)}")
        return aside + [f"{KEEPSAKE}: {KEPT}/{name}" for name in self.kept] + [_told(o) for o in self.finished]

    def prepare(self, edits: Sequence[Edit]) -> Prepared:
        """Make the new text of every file, writing nothing; a file that refuses leaves the others alone."""
        changes: list[Change] = []
        refused: dict[str, str] = {}
        problems: list[Problem] = []
        unread: set[str] = set()
        for edit in edits:
            try:
                change = self._change(edit)
                changes += [change] if change else []
            except NotNow as found:
                problems.append(found.problem or Problem(f"{edit.path}: {found}"))
                refused[edit.path] = str(found)
            except (OSError, UnicodeDecodeError) as error:
                reason = why(error)
                problems.append(Problem(f"{edit.path} can't be written: {reason}"))
                refused[edit.path] = f"the file can't be written: {reason}"
                unread |= {edit.path} if isinstance(error, OSError) else set()
        pictures = {edit.path: edit.data for edit in edits if isinstance(edit, NewPicture)}
        changes.sort(key=lambda change: change.kind != "picture")  # no text names one before it is there
        return Prepared(tuple(changes), refused, tuple(problems), frozenset(unread), pictures)

    def _change(self, edit: Edit) -> Change | None:
        """What an edit makes of its file; None where that stands there already. Raises NotNow, OSError, UnicodeDecodeError."""
        if self.disk.leads_to(edit.path) is None:
            raise NotNow(placing.LEADS_OUT)
        raw = self.disk.read(edit.path)
        if isinstance(edit, NewPicture):
            return self._new_picture(edit, raw)
        if isinstance(edit, NewFile):
            if raw == edit.text.encode():
                return None
            if raw is not None:
                raise NotNow("there is a file of this name already")
            return Change(edit.path, "", edit.text, kind="new")
        if raw is None:
            raise FileNotFoundError(2, "the file is gone", edit.path)
        old = raw.decode("utf-8")
        if isinstance(edit, NewText):
            if old not in (edit.old, edit.new):
                raise NotNow(placing.EDITED)
            return Change(edit.path, old, edit.new, kind="text") if old != edit.new else None
        change = Change(edit.path, old, old, tuple(edit.entries), dict(edit.keys), amends=tuple(edit.amends))
        new = self.hooks.put_in(old, change)
        return replace(change, new=new) if new is not None else None

    def _new_picture(self, edit: NewPicture, raw: bytes | None) -> Change | None:
        wanted = placing.sum_of(edit.data())
        if raw is None:
            return Change(edit.path, "", wanted, kind="picture")
        if placing.sum_of(raw) != wanted:
            raise NotNow("there is a file of this name already")
        return None

    def commit(self, prepared: Prepared, day: date, notes: str = "", rows: Sequence[Row] = ()) -> Outcome | None:
        """Write the batch down and carry it out; None where nothing is to be changed."""
        return self._commit(prepared.changes, day, notes, rows, prepared.pictures) if prepared.changes else None

    def settle(self, day: date, notes: str, rows: Sequence[Row]) -> Outcome:
        """A batch that changes no tree: the fates of typed lines alone. It is finished like any other, and never undone."""
        return self._commit((), day, notes, rows)

    def _commit(
        self,
        changes: tuple[Change, ...],
        day: date,
        notes: str,
        rows: Sequence[Row],
        pictures: Mapping[str, Callable[[], bytes]] | None = None,
    ) -> Outcome:
        name = next_id(self.disk, day.isoformat())
        journal = Journal(name, day.isoformat(), notes, changes, tuple(rows))
        return batch.commit(self.disk, self.hooks, journal, pictures)

    def create(self, path: str, data: bytes) -> None:
        """A new file at once, never over another one; no batch for `undo`. Raises FileExistsError, OSError."""
        placing.create_now(self.disk, path, data)

    def last(self) -> Journal | None:
        """The batch that `undo` would take back."""
        return last_done(self.disk)

    def finished_undo(self) -> Journal | None:
        """The undo that had been cut short and was finished on opening: asked for again, it has its answer."""
        found = [outcome.journal for outcome in self.finished if outcome.journal.kind == "undo"]
        return found[-1] if found else None

    def look_ahead(self, last: Journal) -> Ahead:
        """Try an undo without writing. A file that is gone blocks nothing."""
        blocked: list[Problem] = []
        texts: list[tuple[Change, str]] = []
        for change in last.changes:
            try:
                raw = self.disk.read(change.path)
                if change.kind == "picture":
                    if raw is not None and placing.sum_of(raw) != change.new:
                        raise NotNow(placing.EDITED)
                elif raw is not None:
                    text = raw.decode("utf-8")
                    self._try_out(text, change)
                    texts.append((change, text))
            except NotNow as found:
                blocked.append(found.problem or _blocked(change, str(found)))
            except (OSError, UnicodeDecodeError) as error:
                blocked.append(Problem(f"{change.path} can't be read: {why(error)}"))
        return Ahead(tuple(blocked), tuple(texts))

    def _try_out(self, text: str, change: Change) -> None:
        """Raises NotNow where a change can't be taken back."""
        if change.kind == "entries":
            self.hooks.take_out(text, change)
        elif text not in ((change.new,) if change.kind == "new" else (change.old, change.new)):
            raise NotNow(placing.EDITED)

    def undo(self, last: Journal, day: date, rows: Sequence[Row] = (), stay: Container[str] = ()) -> Outcome:
        """Take a batch back, file by file, but for pictures that `stay`. Files edited where it wrote refuse, with the reason."""
        name = next_id(self.disk, day.isoformat())
        changes = [c for c in last.changes if c.kind != "picture" or c.path not in stay]
        changes.sort(key=lambda change: change.kind == "picture")  # what names one goes before it
        journal = Journal(name, day.isoformat(), last.notes, tuple(changes), tuple(rows), "undo", last.id)
        return batch.commit(self.disk, self.hooks, journal)


def _blocked(change: Change, reason: str) -> Problem:
    hint = "delete it by hand, if it is to go" if change.kind == "new" else "take it out by hand"
    return Problem(reason, Place(change.path), hint)


def _told(outcome: Outcome) -> str:
    journal = outcome.journal
    if not journal.changes:
        return f"finished a run of {journal.day} that was cut short ({counted(len(journal.rows), 'line')})"
    files = sum(change.kind != "entries" for change in journal.changes)
    entries = sum(change.count for change in journal.changes if change.kind == "entries")
    parts = [counted(entries, "entry", "entries")] if entries or not files else []
    parts += [counted(files, "file")] if files else []
    left = f"; left undone: {', '.join(outcome.refused)}" if outcome.refused else ""
    return f"finished a run of {journal.day} that was cut short ({', '.join(parts)}{left})"
