"""From a plan to the disk: the batch is prepared, committed and settled; the last one can be taken back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from ..collection.yaml_editor import missing_entries
from ..diagnostics import Problem
from ..storage.disk import Disk
from ..storage.journal import Change, Hand, Journal, NotNow, commit, last_done, next_id
from . import archive
from .plan import Plan


@dataclass(frozen=True, slots=True)
class Filed:
    """A plan after it was carried out: items of files that refused are left over now."""

    plan: Plan
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class _Prepared:
    changes: tuple[Change, ...]
    refused: Mapping[str, str] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()


def carry_out(disk: Disk, hand: Hand, plan: Plan, notes: str, day: date) -> Filed:
    """Write what the plan wants written, all of it or what can be; the rest waits with its reason."""
    prepared = _prepare(disk, hand, plan)
    plan = _left_over(plan, prepared.refused)
    if not prepared.changes:
        archive.note_down(disk, notes, archive.fates(plan), day)
        return Filed(plan, prepared.problems)
    journal = Journal(next_id(disk, day.isoformat()), day.isoformat(), notes, prepared.changes, archive.fates(plan))
    outcome = commit(disk, hand, journal)
    faults = tuple(Problem(f"{path} can't be written: {why}") for path, why in outcome.refused.items())
    return Filed(_left_over(plan, outcome.refused), (*prepared.problems, *faults))


@dataclass(frozen=True, slots=True)
class Ahead:
    """What an undo would meet: files that can't be handled, and entries that no longer stand word for word."""

    blocked: tuple[Problem, ...] = ()
    edited: tuple[tuple[str, Mapping[str, Any]], ...] = ()


def look_ahead(disk: Disk, hand: Hand, last: Journal) -> Ahead:
    """Try an undo without writing. A file that is gone blocks nothing."""
    blocked: list[Problem] = []
    edited: list[tuple[str, Mapping[str, Any]]] = []
    for change in last.changes:
        try:
            raw = disk.read(change.path)
            if raw is not None:
                text = raw.decode("utf-8")
                hand.take_out(text, change)
                edited += [(change.path, e) for e in missing_entries(text, change.path, change.entries)]
        except NotNow as found:
            blocked.append(found.problem or Problem(f"{change.path}: {found}"))
        except (OSError, UnicodeDecodeError) as error:
            reason = (getattr(error, "strerror", None) or str(error)).lower()
            blocked.append(Problem(f"{change.path} can't be read: {reason}"))
    return Ahead(tuple(blocked), tuple(edited))


def take_back(disk: Disk, hand: Hand, day: date) -> tuple[Journal, Mapping[str, str]] | None:
    """Undo the last batch, file by file; None where there is none. Files edited where it wrote refuse, with the reason."""
    last = last_done(disk)
    if last is None:
        return None
    rows: tuple[dict[str, Any], ...] = archive.undone(last, last.rows)
    name = next_id(disk, day.isoformat())
    journal = Journal(name, day.isoformat(), last.notes, last.changes, rows, "undo", last.id)
    return last, commit(disk, hand, journal).refused


def _prepare(disk: Disk, hand: Hand, plan: Plan) -> _Prepared:
    """The new text of every file, checked before anything is written; a file that refuses leaves the others alone."""
    changes: list[Change] = []
    refused: dict[str, str] = {}
    problems: list[Problem] = []
    for path, entries in plan.edits.items():
        try:
            raw = disk.read(path)
            if raw is None:
                raise FileNotFoundError(2, "the file is gone", path)
            old = raw.decode("utf-8")
            change = Change(path, old, old, tuple(entries))
            new = hand.put_in(old, change)
            changes += [replace(change, new=new)] if new is not None else []
        except NotNow as found:
            problems.append(found.problem or Problem(f"{path}: {found}"))
            refused[path] = str(found)
        except (OSError, UnicodeDecodeError) as error:
            reason = (getattr(error, "strerror", None) or str(error)).lower()
            problems.append(Problem(f"{path} can't be written: {reason}"))
            refused[path] = f"the file can't be written: {reason}"
    return _Prepared(tuple(changes), refused, tuple(problems))


def _left_over(plan: Plan, refused: Mapping[str, str]) -> Plan:
    items = tuple(
        replace(i, fate="left over", why=refused[i.path]) if i.fate == "write" and i.path in refused else i
        for i in plan.items
    )
    return Plan(items)
