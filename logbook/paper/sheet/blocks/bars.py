"""The bars across the top: wire that is on and the day it must be off, and states in which the tree is left alone."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from ....collection.dates import day_told
from ....horticulture.work import Kind
from ....planning.condition import Hold
from ....planning.grounds import ByMark
from ....planning.model import Job, Plan
from ....planning.wires import WireOn
from ....planning.wording import besides
from ....values import dataclass
from ...flow import Chunk, Piece, lines
from ...page import Box, Item, Shape, moved
from ...typesetting import tidy
from ...words import say
from ..context import Given, SheetContext
from .lettering import at_ends, both_ends, folded, stacked

STRIPES_MM, STRIPE_MM = 4.0, 1.1
INSET_MM = STRIPES_MM + 2.0
FRAME_MM = 0.45
BAR_PT, BAR_SMALL_PT = 12.0, 10.0
LEAST_MM = 6.4
TOGETHER = timedelta(days=14)
MOST_NOTE = 40  # letters of a note beside its wire; a longer one stands in the log
BELOW_MM = 0.7


@dataclass(frozen=True, slots=True)
class WireBar:
    """Wires that come off together, and the first of their last days; None where none is known. `notes`: where, of such as name no branches."""

    branches: tuple[str, ...]
    off: date | None
    bites: bool = False
    stays: bool = False
    overdue: bool = False
    notes: tuple[str, ...] = ()


def bars(sheet: SheetContext, given: Given) -> Chunk:
    """Outlined bars with a striped end: wire first, then what waits."""
    wires = wire_bars(sheet.plan)
    waiting = [bar for bar in wires if bar.off and not (bar.overdue or bar.bites)]
    pieces = [_wire(sheet, bar, sheet.bench(given), last=bar in waiting[-1:] and given.sooner) for bar in wires]
    pieces += [_holds(sheet, given, holds) for holds in holds_together(sheet.plan.holds)]
    return Chunk("bars", tuple(pieces), 0.6)


def wire_bars(plan: Plan) -> tuple[WireBar, ...]:
    """The wires on a tree, those due within a fortnight or overdue as one; wire that bites first, then by its last day."""
    found = sorted((bar_of(plan, wire) for wire in plan.state.wires), key=lambda b: (not b.bites, b.off or date.max))
    made: list[WireBar] = []
    for bar in found:
        last = made[-1] if made else None
        if last and _alike(last, bar):
            both = tuple(dict.fromkeys((*last.branches, *bar.branches)))
            notes = tuple(dict.fromkeys((*last.notes, *bar.notes))) if last.notes and bar.notes else ()
            made[-1] = replace(last, branches=both, notes=notes)
        else:
            made.append(bar)
    return tuple(made)


def _alike(one: WireBar, other: WireBar) -> bool:
    same = (one.bites, one.stays, one.overdue) == (other.bites, other.stays, other.overdue)
    near = one.off == other.off or bool(one.off and other.off and other.off - one.off <= TOGETHER)
    return same and (near or one.overdue) and bool(one.branches) == bool(other.branches)


def bar_of(plan: Plan, wire: WireOn) -> WireBar:
    """One wire as a bar tells it."""
    job = plan.wire_job(wire.branches)
    off = _off_by(plan, wire, job)
    overdue = bool(job and job.since) or bool(off and off < plan.today)
    return WireBar(wire.branches, off, wire.bites, wire.keep, overdue, where_of(wire))


def where_of(wire: WireOn) -> tuple[str, ...]:
    """What the note of wire without a branch begins with, where that is short: most likely it says where the wire is."""
    first = tidy(re.split(r"[.;!?](?:\s|$)", wire.note, maxsplit=1)[0])
    return (first,) if first and not wire.branches and len(first) <= MOST_NOTE else ()


def _off_by(plan: Plan, wire: WireOn, job: Job | None) -> date | None:
    """The last day of a wire, as its coming off says it, else as the look at it does."""
    about = [j for j in plan.jobs if j.branches == wire.branches and j.takes_wire]
    found = next(iter(about), job)
    return (found.since or found.closes) if found and not wire.keep else None


def wire_words(bar: WireBar) -> tuple[str, str]:
    """What is on the tree, and when it comes off."""
    branches = folded(sorted(bar.branches, key=by_number))
    if bar.notes and not branches:
        branches = say("wire where", note=", ".join(bar.notes))
    return say("wire bites" if bar.bites else "wire on" if branches else "wire", branches=branches).strip(), _ending(
        bar
    )


def _wire(sheet: SheetContext, bar: WireBar, size: float, *, last: bool) -> Piece:
    """A wire's bar; how it comes off, where it may have grown in, and under the `last` of the others that its day is no promise."""
    lead, end = wire_words(bar)
    room = sheet.width - INSET_MM - 2.0
    row = both_ends(lead, end, room, (BAR_PT, BAR_PT))
    rows = [row] if row else at_ends(lead, end, room, (BAR_SMALL_PT, BAR_SMALL_PT))
    told = say("cut it off") if bar.overdue or bar.bites else say("sooner") if last else ""
    return _framed([*rows, *lines(told, size, room)], sheet.width)


def by_number(ident: str) -> tuple[bool, int, str]:
    """Branches in the order of their numbers, those with other names behind."""
    return not ident.isdecimal(), int(ident) if ident.isdecimal() else 0, ident


def _ending(bar: WireBar) -> str:
    if bar.bites:
        return say("off at once")
    if bar.off is None:
        return say("stays on" if bar.stays else "look at it")
    return say("overdue" if bar.overdue else "off by", day=day_told(bar.off))


def _holds(sheet: SheetContext, given: Given, holds: Sequence[Hold]) -> Piece:
    """What waits, until when and on what condition, and why; water and shelter go on. States of the same kinds share a bar."""
    wording, room, size = sheet.wording, sheet.width - INSET_MM - 2.0, sheet.bench(given)
    what = wording.hold_what(telling(holds))
    row = both_ends(what, "", room, (BAR_PT, BAR_PT))
    rows = [row] if row else lines(what, BAR_SMALL_PT, room, bold=True)
    for hold in holds[:-1]:
        rows += lines(f"{wording.hold_ends(hold)} · {wording.hold_why(hold)}", size, room, bold=True)
    rows += lines(wording.hold_ends(holds[-1]), size, room, bold=True)
    usual = " · ".join([wording.hold_why(holds[-1]), still_done(holds), *feeding_words(sheet.plan)])
    return _framed(rows + lines(usual, size, room), sheet.width)


def still_done(holds: Sequence[Hold]) -> str:
    """What is still done; that of ailing roots, where one of the states is theirs."""
    return besides(telling(holds))


def telling(holds: Sequence[Hold]) -> Hold:
    """The state that says most of what is still done: ailing roots, else that which ends last."""
    return next((hold for hold in holds if hold.roots_ail), holds[-1])


def holds_together(holds: Sequence[Hold]) -> list[list[Hold]]:
    """States that keep the same kinds of work waiting, together."""
    found: dict[frozenset[Kind], list[Hold]] = {}
    for hold in holds:
        found.setdefault(hold.kinds, []).append(hold)
    return list(found.values())


def feeding_words(plan: Plan) -> Iterator[str]:
    """What is not as usual about feeding: a pause that has not ended, or half strength."""
    for job in plan.care:
        codes = {reason.code for reason in (*job.reasons, *job.conditions)}
        if ByMark.NOT_FED_AFTER in codes and job.opens and job.opens > plan.today:
            yield say("no feeding before", day=day_told(job.opens))
            return
        if ByMark.HALF_STRENGTH in codes:
            yield say("feed gently")
            return


def _framed(rows: Sequence[Piece], width: float) -> Piece:
    """Rows in a frame with a striped end, and a little white below."""
    words = stacked(rows)
    height = max(LEAST_MM, words.height + 0.9)
    items: list[Item] = [*stripes(STRIPES_MM, height), Box(0.0, 0.0, width, height, FRAME_MM)]
    items += [moved(item, INSET_MM, (height - words.height) / 2) for item in words.items]
    return Piece(height + BELOW_MM, tuple(items))


def stripes(width: float, height: float) -> list[Item]:
    """Slanting stripes that fill a field of this size."""
    made: list[Item] = []
    at = 0.0
    while at < width + height:
        field = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
        shape = _cut(_cut(field, at, 1.0), at + STRIPE_MM, -1.0)
        if len(shape) > 2:
            made.append(Shape(tuple(shape), 0.0))
        at += 2 * STRIPE_MM
    return made


def _cut(points: list[tuple[float, float]], at: float, side: float) -> list[tuple[float, float]]:
    """The part of a polygon on one side of the line x + y = at."""
    kept: list[tuple[float, float]] = []
    for (x1, y1), (x2, y2) in zip(points, [*points[1:], *points[:1]], strict=True):
        one, other = side * (x1 + y1 - at), side * (x2 + y2 - at)
        if one >= 0:
            kept.append((x1, y1))
        if (one >= 0) != (other >= 0):
            share = one / (one - other)
            kept.append((x1 + (x2 - x1) * share, y1 + (y2 - y1) * share))
    return kept
