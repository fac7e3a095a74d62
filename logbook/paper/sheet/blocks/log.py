"""The newest days of the log, without what stands elsewhere on the front."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from itertools import islice

from ....collection.dates import When
from ....collection.entry_text import render_entry
from ....collection.fields import record_of
from ....collection.model import Entry
from ....planning.model import Plan
from ...flow import Chunk, Piece, baseline_text, line
from ...typesetting import line_mm, width_mm, wrap
from ..context import Given, SheetContext
from .jobs import newest_thought
from .tree import measured_of

DAY_MM = 15.0
GAP_MM = 1.5
UNSAID = ("date", "from")  # keys of an entry that tell nothing by themselves


def log(sheet: SheetContext, given: Given) -> Chunk:
    """The last days that say something, latest first, each with all that stands on it."""
    size = sheet.small(given)
    days = days_told(sheet, given.days)
    wide = max([DAY_MM, *(width_mm(day, size, True) + GAP_MM for day, _ in days)])
    wide = min(wide, sheet.width / 3)
    pieces = [row for day, told in days for row in _day(day, told, size, wide, sheet.width)]
    return Chunk("log", tuple(pieces), 1.2)


def _day(day: str, told: str, size: float, left: float, width: float) -> list[Piece]:
    rows = wrap(told, size, width - left)
    named = wrap(day, size, left - GAP_MM / 2, True)
    pieces = []
    for number in range(max(len(rows), len(named))):
        text = line(rows[number] if number < len(rows) else "", size, indent=left)
        items = text.items if number < len(rows) else ()
        if number < len(named):
            items = (baseline_text(named[number], 0.0, line_mm(size), size, bold=True), *items)
        pieces.append(Piece(line_mm(size), items, keep=number == 0 and len(rows) > 1))
    return pieces


def days_told(sheet: SheetContext, count: int) -> list[tuple[str, str]]:
    """So many days and what they say, latest first; works before measures before remarks. A day with nothing left is none."""
    days = sheet.once("days", lambda: _days(sheet.plan))
    return [sheet.once(("day", day), partial(_said, sheet, day, days[day])) for day in islice(days, count)]


def _days(plan: Plan) -> dict[str, list[Entry]]:
    """The days of the log, latest first, each with its entries as they were written."""
    days: dict[str, list[Entry]] = {}
    for entry in left_to_tell(plan):
        days.setdefault(short_day(entry.date), []).insert(0, entry)
    return days


def _said(sheet: SheetContext, day: str, entries: list[Entry]) -> tuple[str, str]:
    ordered = sorted(entries, key=lambda e: 0 if e.work else 2 if e.note else 1)
    return day, "; ".join(render_entry(entry, sheet.settings.units) for entry in ordered)


def short_day(when: When) -> str:
    """`10 Oct 26`; a span as it was written."""
    told = when.told()
    return f"{told[:-4]}{told[-2:]}" if when.is_day else told


def left_to_tell(plan: Plan) -> Iterable[Entry]:
    """The entries, latest first, without what the front says elsewhere: intentions on it, the head's vigour, the sparkline's last measure;
    and without where a photograph lies, which says nothing at a bench.
    """
    shown = {id(job.own) for job in plan.jobs if job.own}
    thought, measured = newest_thought(plan), measured_of(plan)
    for entry in reversed(plan.state.entries):
        meant = entry.intend and (entry is thought or id(entry.intend.what) in shown)
        left = replace(entry, intend=None) if meant else entry
        left = _without_what_the_head_says(left, plan)
        if measured and _holds_last(entry, measured.name, measured.readings[-1].value, plan):
            left = _without_measure(left, measured.name)
        if left is entry or _says_something(left):
            yield left


def _without_what_the_head_says(entry: Entry, plan: Plan) -> Entry:
    left = replace(entry, photo="") if entry.photo else entry
    return replace(left, vigour=None) if _has_the_vigour(entry, plan) else left


def _without_measure(entry: Entry, name: str) -> Entry:
    return replace(entry, measured={other: value for other, value in entry.measured.items() if other != name})


def _has_the_vigour(entry: Entry, plan: Plan) -> bool:
    """Whether the head of the sheet says this entry's vigour."""
    return bool(entry.vigour) and (entry.vigour, entry.date) == (plan.state.vigour, plan.state.vigour_on)


def _holds_last(entry: Entry, name: str, value: float, plan: Plan) -> bool:
    day = plan.state.readings[name][-1].day
    return entry.measured.get(name) == value and entry.date.earliest <= day <= entry.date.latest


def _says_something(entry: Entry) -> bool:
    record = record_of(entry.__class__)
    return any(key not in UNSAID for key in record.parts(entry))
