"""The tree itself: its drawing, and beside it the aim, the latest photograph, and what was measured against its target."""

from __future__ import annotations

from itertools import pairwise

from ....formulas.growth import Reach
from ....planning.model import Plan
from ....planning.tree_state import Reading
from ....values import dataclass
from ...flow import Chunk, Piece, lines
from ...page import Box, Item, Picture, Rule, moved
from ...typesetting import tidy
from ...words import say
from ..context import Given, SheetContext
from .drawing import WIDE_MM, drawing, to_draw
from .head import head_again
from .lettering import led, stacked

GAP_MM = 3.0
FOOT_MM = 8.0  # of a front, with the white above it, at most
_LEFT_MM = WIDE_MM + GAP_MM
MEASURES = ("trunk", "tips", "leaf")
LEAST_PHOTO_MM, LEAST_SPARK_MM = 14.0, 9.0
SPARK_WIDE_MM, SPARK_WORDS_MM = 36.0, 28.0
SPARK_BESIDE_MM = 52.0  # from which its words stand beside it
STOPS = (".", "!", "?")
BREAKS = (";", ",")


@dataclass(frozen=True, slots=True)
class Measured:
    """A measure with two readings or more, and its target where there is one, in its own unit."""

    name: str
    readings: tuple[Reading, ...]
    target: float | None


def tree(sheet: SheetContext, given: Given) -> Chunk:
    """Drawing left, words and pictures right of it; an aim that would be longer than a page stands above, line by line."""
    drawn = _drawn(sheet, given)
    piece = _side_by_side(sheet, given, drawn, aim_rows(sheet, given, sheet.width - (_LEFT_MM if drawn else 0.0)))
    if piece.height <= _page_mm(sheet):
        return Chunk("tree", (piece,) if piece.items else (), 1.4)
    rest = _side_by_side(sheet, given, drawn, [])
    return Chunk("tree", (*aim_rows(sheet, given, sheet.width), *([rest] if rest.items else [])), 1.4)


def _side_by_side(sheet: SheetContext, given: Given, drawn: Piece | None, aim: list[Piece]) -> Piece:
    left = _LEFT_MM if drawn else 0.0
    beside = _beside(sheet, given, aim, sheet.width - left, given.tall if drawn else 0.0)
    items = [moved(item, left, 0.0) for item in beside.items]
    return Piece(max(beside.height, drawn.height if drawn else 0.0), (*items, *(drawn.items if drawn else ())))


def _page_mm(sheet: SheetContext) -> float:
    """What a further leaf has room for between its head and its foot, mm."""
    layout = sheet.layout
    return layout.room[1] - 2 * layout.margin - head_again(sheet).height - FOOT_MM


def has_branches(plan: Plan) -> bool:
    """Whether branches are on record that are still on the tree."""
    return any(branch.id not in plan.state.removed for branch in plan.tree.branches)


def _drawn(sheet: SheetContext, given: Given) -> Piece | None:
    if not given.drawing:
        return None
    size = sheet.small(given)
    if not has_branches(sheet.plan):
        return to_draw(say("draw"), given.tall, size)
    on = [b for b in sheet.plan.tree.branches if b.id not in sheet.plan.state.removed]
    piece, left_out = drawing(on, sheet.plan.state, given.tall)
    if not left_out:
        return piece
    return stacked([piece, *lines(say("by branch", branches=", ".join(left_out)), 7.5, WIDE_MM)])


def _beside(sheet: SheetContext, given: Given, rows: list[Piece], width: float, tall: float) -> Piece:
    """The aim, then the photograph with the sparkline right of it."""
    words = stacked(rows)
    y = words.height + (1.0 if rows else 0.0)
    items: list[Item] = list(words.items)
    photo = _photo(sheet, given, width, tall - y)
    across, low = 0.0, words.height
    if photo:
        items.append(moved(photo, 0.0, y))
        across, low = photo.width + GAP_MM, y + photo.height
    spark = _sparkline(sheet, given, width - across, low - y)
    if spark:
        at = max(y, low - spark.height) if photo else y
        items += [moved(item, across, at) for item in spark.items]
        low = max(low, at + spark.height)
    return Piece(low, tuple(items))


def aim_rows(sheet: SheetContext, given: Given, width: float) -> list[Piece]:
    """What the tree is to become, and which side is its front; in full, or as many lines as there is room for."""
    size, text = sheet.bench(given), sheet.once("aim", lambda: aim_text(sheet))
    if not text:
        return []
    most = given.aim_lines
    return sheet.once(("aim_rows", size, width, most), lambda: _aim_rows(sheet, text, size, width, most))


def _aim_rows(sheet: SheetContext, text: str, size: float, width: float, most: int) -> list[Piece]:
    if not sheet.plan.tree.aim:
        return lines(text, size, width)
    rows = led(say("aim"), text, size, width)
    return rows if not most or len(rows) <= most else _cut_short(text, size, width, most)


def aim_text(sheet: SheetContext) -> str:
    """The aim with the front, in the grower's words."""
    tree = sheet.plan.tree
    return tidy(" ".join(part for part in (tree.aim, say("front", front=tree.front) if tree.front else "") if part))


def _cut_short(text: str, size: float, width: float, count: int) -> list[Piece]:
    """The aim up to the last sentence that fits, else to a `;` or a `,`, and where the rest is."""
    words = text.split(" ")
    more = say("more in the file")
    for marks in (STOPS, BREAKS, ("",)):
        for end in range(len(words) - 1, 0, -1):
            if words[end - 1].endswith(marks):
                rows = led(say("aim"), f"{' '.join(words[:end])} {more}", size, width)
                if len(rows) <= count:
                    return rows
    return lines(more, size, width)


def _photo(sheet: SheetContext, given: Given, width: float, room: float) -> Picture | None:
    """The latest photograph, as high as the drawing leaves room for, not wider than half."""
    if sheet.photo is None or not given.photo:
        return None
    high = max(room, LEAST_PHOTO_MM)
    wide = high * sheet.photo.width / sheet.photo.height
    scale = min(1.0, (width / 2) / wide)
    return Picture(0.0, 0.0, wide * scale, high * scale, sheet.photo.jpeg)


def measured_of(plan: Plan) -> Measured | None:
    """What the sparkline shows: the trunk, else tips or leaves, once they were measured twice."""
    targets = plan.tree.targets
    aims = {"trunk": targets.trunk.to if targets.trunk else None, "tips": targets.tips, "leaf": targets.leaf}
    shown = [n for n in MEASURES if len(plan.state.readings.get(n, ())) > 1]
    with_aim = [n for n in shown if aims[n]] or shown
    return Measured(with_aim[0], plan.state.readings[with_aim[0]], aims[with_aim[0]]) if with_aim else None


def _sparkline(sheet: SheetContext, given: Given, width: float, room: float) -> Piece | None:
    """First … last of target, the way between them, and when the target is likely reached."""
    found = measured_of(sheet.plan)
    if found is None or not given.sparkline:
        return None
    size, beside = sheet.small(given), width >= SPARK_BESIDE_MM
    key = ("sparkline", size, width, None if beside else room)
    return sheet.once(key, lambda: _spark(sheet, found, size, width, room))


def _spark(sheet: SheetContext, found: Measured, size: float, width: float, room: float) -> Piece:
    beside = width >= SPARK_BESIDE_MM
    said = sheet.once("sparkline_told", lambda: _told(sheet, found))
    words = stacked([row for text in said for row in lines(text, size, SPARK_WORDS_MM if beside else width)])
    if beside:
        wide, high = width - SPARK_WORDS_MM - 2.0, max(LEAST_SPARK_MM, words.height)
        return Piece(high, (*_line_of(found, wide, high), *(moved(i, wide + 2.0, 0.0) for i in words.items)))
    high = max(LEAST_SPARK_MM, room - words.height)
    chart = _line_of(found, min(SPARK_WIDE_MM, width), min(high, 14.0))
    high = min(high, 14.0)
    return Piece(high + words.height, (*chart, *(moved(i, 0.0, high) for i in words.items)))


def _told(sheet: SheetContext, found: Measured) -> list[str]:
    units = sheet.settings.units
    tell = (lambda v: f"{v:.0f}") if found.name == "tips" else units.length_told
    first, last = found.readings[0].value, found.readings[-1].value
    told = [say("measured", name=say(found.name), first=tell(first).split(" ")[0], last=tell(last))]
    if found.target:
        told.append(say("of", target=tell(found.target)))
    growth = sheet.plan.growth
    if found.name == "trunk" and growth and isinstance(growth.outlook, Reach):
        told.append(sheet.wording.reach(growth.outlook))
    return told


def _line_of(found: Measured, width: float, height: float) -> list[Item]:
    """The readings by their days as a line that ends in a dot; the target dashed above or below."""
    top, bottom, left, right = 1.0, height - 1.0, 0.8, width - 0.8
    values = [r.value for r in found.readings] + ([found.target] if found.target else [])
    low, high = min(values), max(values)
    first, last = found.readings[0].day.toordinal(), found.readings[-1].day.toordinal()

    def place(reading: Reading) -> tuple[float, float]:
        along = (reading.day.toordinal() - first) / max(1, last - first)
        return left + along * (right - left), level(reading.value)

    def level(value: float) -> float:
        return bottom - (value - low) / ((high - low) or 1.0) * (bottom - top)

    points = [place(r) for r in found.readings]
    items: list[Item] = [Rule(*a, *b, 0.35) for a, b in pairwise(points)]
    x, y = points[-1]
    items.append(Box(x - 0.6, y - 0.6, 1.2, 1.2, fill=0.0))
    if found.target:
        items.append(Rule(left, level(found.target), right, level(found.target), 0.2, dash=0.8))
    return items
