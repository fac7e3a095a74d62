"""A batch of changes to several files: all of it sooner or later, or none, whatever happens in between.

The journal is the commit point. From there each file is put in place, the fates of typed lines are settled, and the journal
moves to `.journal/done/`. A run that was cut short is finished by the next one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field

from ..values import dataclass
from . import known_trees
from .disk import Disk
from .journal import DONE, FOLDER, KEPT, Change, Hooks, Journal, NotNow, damaged, journal_text, read_journal
from .placing import keep_aside, lay_beside, put


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a finished batch left undone, by file, and the texts it found in its way and `kept` aside, by name."""

    journal: Journal
    refused: Mapping[str, str] = field(default_factory=dict)
    kept: tuple[str, ...] = ()


def commit(
    disk: Disk, hooks: Hooks, journal: Journal, pictures: Mapping[str, Callable[[], bytes]] | None = None
) -> Outcome:
    """Write the journal down, which is the point of no return, then finish it. What `pictures` give is laid beside its place first."""
    for change in journal.changes:
        if change.kind == "picture" and pictures:
            lay_beside(disk, journal, change, pictures[change.path]())
    part = f"{FOLDER}/{journal.id}.part"
    disk.write(part, journal_text(journal).encode())
    disk.rename(part, journal.path)
    disk.sync_folder(FOLDER)
    return finish(disk, hooks, journal)


def finish(disk: Disk, hooks: Hooks, journal: Journal) -> Outcome:
    """Put every file in place, settle the fates, close the journal. Safe to do again from anywhere.

    A file that refuses for what it says is given up, and its lines wait. One that the disk refuses is tried again by the next run:
    the journal stays open for it.
    """
    refused: dict[str, str] = {}
    failed = False
    before = set(disk.names(KEPT))
    for change in journal.changes:
        try:
            _has_its_pictures(change, journal, refused)
            put(disk, hooks, journal, change)
        except NotNow as why:
            refused[change.path] = str(why)
        except OSError as error:
            refused[change.path] = f"the file can't be written: {(error.strerror or str(error)).lower()}"
            failed = True
    known_trees.follow(disk, journal, refused)
    hooks.settle(disk, journal, refused)
    if not failed:
        _close(disk, journal)
    return Outcome(journal, refused, tuple(name for name in disk.names(KEPT) if name not in before))


def _has_its_pictures(change: Change, journal: Journal, refused: Mapping[str, str]) -> None:
    """Raises NotNow for a text that names a picture which could not be placed: it would name somebody else's."""
    if journal.kind != "write" or change.kind == "picture":
        return
    for other in journal.changes:
        if other.kind == "picture" and other.path in refused and other.path in change.new:
            raise NotNow(f"its picture {other.path} could not be placed: {refused[other.path]}")


def _close(disk: Disk, journal: Journal) -> None:
    """Move the journal to those that are done.

    For what would do more if it were done twice (an undo, or lines set aside by their numbers) that is the very last step: one
    that was cut short anywhere before is finished when it is asked for again, and nothing more is touched. Its new place
    need not be safe at once: the next batch syncs the folder before it does anything.
    """
    if journal.kind == "undo" or not journal.changes:
        disk.sync_folder(FOLDER)
        disk.rename(journal.path, f"{DONE}/{journal.id}.json")
        return
    disk.rename(journal.path, f"{DONE}/{journal.id}.json")
    disk.sync_folder(DONE)
    disk.sync_folder(FOLDER)


def recover(disk: Disk, hooks: Hooks) -> list[Outcome]:
    """Finish every batch that was cut short; half-written journals were never committed and are dropped."""
    outcomes = []
    for name in disk.names(FOLDER):
        if name.endswith(".part"):
            disk.unlink(f"{FOLDER}/{name}")
        elif name.endswith(".json"):
            journal = read_journal(disk, f"{FOLDER}/{name}")
            if journal is not None:
                disk.sync_folder(FOLDER)  # the run that wrote it may not have come so far
                outcomes.append(finish(disk, hooks, journal))
    return outcomes


def set_damaged_aside(disk: Disk) -> list[str]:
    """Move journals that can't be followed to `.journal/kept/`, so that nothing waits for them. Gives their names there."""
    return [keep_aside(disk, f"{FOLDER}/{name}", name) for name in damaged(disk)]
