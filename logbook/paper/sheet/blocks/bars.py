"""The bars across the top: wire that is on, and states in which the tree is left alone."""

from __future__ import annotations

from ....collection.dates import day_told
from ....collection.entry_text import wire_told
from ....planning.model import Job
from ....planning.tree_state import WireOn
from ...flow import Chunk, Piece, lines
from ...page import Box, Item, moved
from ..context import SheetContext


def wire_bars(sheet: SheetContext) -> Chunk:
    """A black bar for each wire, with the day to look and the day it must be off."""
    pieces = [_bar(_wire_rows(sheet, wire), sheet.width) for wire in sheet.plan.state.wires]
    for hold in sheet.plan.holds:
        rows = lines(sheet.wording.hold(hold), sheet.bench, sheet.width - 4.0, bold=True, white=True)
        pieces.append(_bar(rows, sheet.width))
    return Chunk("wire", tuple(pieces))


def _wire_rows(sheet: SheetContext, wire: WireOn) -> list[Piece]:
    """Where and since when, large; below it what wire, when to look and when it must be off."""
    job = sheet.plan.wire_job(wire.branches)
    where = f" {', '.join(wire.branches)}" if wire.branches else ""
    inner = sheet.width - 4.0
    rows = lines(f"WIRE ON{where} since {wire.on.told()}", 10.5, inner, bold=True, white=True)
    details = [wire_told(wire.metal, wire.sizes), *_days_of(wire, job)]
    return rows + lines(" · ".join(d for d in details if d), sheet.bench, inner, bold=True, white=True)


def _days_of(wire: WireOn, job: Job | None) -> list[str]:
    """The day to look and the day it must be off; wire that bites must be off now."""
    if wire.bite in ("starting", "cut"):
        return [f"BITE {wire.bite.upper()}: OFF NOW"]
    if job is None:
        return []
    look = f"look from {day_told(job.opens)}" if job.opens and not job.since else ""
    by = job.since or job.closes
    return [look, f"{_late(job)}off by {day_told(by)}" if by else ""]


def _late(job: Job) -> str:
    return "OVERDUE, " if job.since else ""


def _bar(rows: list[Piece], width: float) -> Piece:
    height = sum(row.height for row in rows) + 1.6
    items: list[Item] = [Box(0, 0, width, height, fill=0.0)]
    y = 0.8
    for row in rows:
        items += [shifted_item(item, 2.0, y) for item in row.items]
        y += row.height
    return Piece(height + 0.8, tuple(items))


def shifted_item(item: Item, dx: float, dy: float) -> Item:
    """The item further to the right and down by these mm."""
    return moved(item, dx, dy)
