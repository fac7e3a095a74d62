"""What waits in a collection tonight, in at most six lines."""

from __future__ import annotations

import argparse
from datetime import date, timedelta
from pathlib import Path

from ..collection.dates import day_told
from ..diagnostics import counted, errors_in
from ..intake.archive import unread
from ..intake.line_status import waiting
from ..planning.lists.due_rows import FIRST, OPEN, Shown, due_rows, heard_and_silent, takes_wire
from ..planning.model import Plan, Status
from ..storage.disk import RealDisk
from ..storage.opening import cut_short
from ..storage.printed import load_ledger
from ..values import dataclass
from .common import Opened, open_collection
from .inbox import INBOX, Inbox, look_into

KEPT_IN_MIND = timedelta(days=31)  # how long a text that was typed and not written is spoken of
WIRE_SOON = timedelta(days=14)
MOST_WIRES = 3
SILENT_SHARE = 4  # one tree in so many without a note for a year: a first look is offered


@dataclass(frozen=True, slots=True)
class Tonight:
    """A collection as it is met: what waits in it, and what its grower may want first."""

    opened: Opened
    inbox: Inbox
    lines: int
    unread: tuple[str, ...]
    wires: tuple[str, ...]
    first: str
    printed: bool
    silent: bool

    @property
    def today(self) -> date:
        """The day."""
        return self.opened.today


def tonight(folder: Path, day: date | None) -> Tonight:
    """Look at everything once. Raises ProblemsFound where the collection's settings can't be used."""
    opened = open_collection(argparse.Namespace(folder=str(folder), today=day), waits=True)
    plans = opened.plans(opened.collection.living)
    heard, silent = heard_and_silent(plans)
    rows = [row for row in due_rows(heard, Shown(opened.today)) if row.group in (FIRST, OPEN)]
    first = min(rows, key=lambda row: (row.group != FIRST, row.order), default=None)
    return Tonight(
        opened,
        look_into(folder),
        len(waiting(RealDisk(folder))),
        tuple(name for name in unread(RealDisk(folder)) if name >= (opened.today - KEPT_IN_MIND).isoformat()),
        tuple(_wires(plans, opened.today)),
        _named(first.plan, ", ".join(job.what for job in first.jobs)) if first else "",
        bool(load_ledger(folder).sheets),
        bool(silent) and SILENT_SHARE * len(silent) >= len(plans),
    )


def _wires(plans: list[Plan], today: date) -> list[str]:
    """Trees whose wire comes off within a fortnight, the most pressing first."""
    soon = [
        (job.status is not Status.OVERDUE, job.closes or today, plan.tree.tag)
        for plan in plans
        for job in plan.jobs
        if takes_wire(job) and (job.status is Status.OVERDUE or (job.closes and job.closes <= today + WIRE_SOON))
    ]
    told = (
        f"{tag} by {day_told(day, today)}" if later and day > today else f"{tag} overdue"
        for later, day, tag in sorted(soon)
    )
    return list(dict.fromkeys(told))


def _named(plan: Plan, what: str) -> str:
    return f"{plan.tree.tag} {plan.tree.name or plan.tree.full_name}: {what}"


def told(now: Tonight) -> list[str]:
    """The lines above the menu: six at most."""
    collection = now.opened.collection
    lines = [f"{collection.settings.title} · {counted(len(collection.living), 'tree')} · {day_told(now.today)}"]
    faults = errors_in(collection.problems)
    if faults:
        files = len({problem.place.path for problem in faults if problem.place})
        lines.append(f"{counted(files, 'file')} with a fault: left out until it is mended (5, then check)")
    lines += cut_short(now.opened.folder)[:1] if not faults else []
    if now.inbox.waiting:
        lines.append(f"in {INBOX}/: {', '.join(now.inbox.told())}")
    elif now.inbox.strange:
        lines.append(f"in {INBOX}/: {now.inbox.strange[0].name} is nothing that can be read")
    if now.unread:
        lines.append(
            f"{counted(len(now.unread), 'text')} you typed and did not write yet: {now.unread[-1]} (5, then 1)"
        )
    elif now.lines:
        lines.append(
            f"{counted(now.lines, 'line')} you wrote {'waits' if now.lines == 1 else 'wait'} for an answer (5)"
        )
    if now.wires:
        more = f", and {len(now.wires) - MOST_WIRES} more" if len(now.wires) > MOST_WIRES else ""
        lines.append(f"wire off: {', '.join(now.wires[:MOST_WIRES])}{more}")
    if now.silent:
        lines.append("of many trees nothing was written for a year: a first look comes before dates")
    elif now.first:
        lines.append(f"first: {now.first}")
    return lines
