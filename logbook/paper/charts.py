"""Small charts for a front: the branches from above and in elevation, and measurements against time.

A chart is a `Piece`. Kinds of branches differ by line and by the form of their label, never by colour, so that the
chart holds in black and white: a sacrifice branch is dashed and its number stands white on black.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..collection.dates import MONTHS
from ..collection.model import Branch, Targets, Tree
from ..collection.units import Units
from ..planning.tree_state import Reading, State
from .flow import Piece, baseline_text, lines
from .page import Box, Item, Rule, Shape, Text, moved
from .typesetting import line_mm, shrunk, width_mm

PANEL_MM = 37.0
LABEL_PT = 7.5
CIRCLE_SIDES = 36
GROWTH_MM = 20.0
TOP_MM, SOIL_MM = 2.5, PANEL_MM - 3.0  # of the trunk in elevation
HEAD_ON = 0.2  # of the full width: a branch that points less to a side points to the front or back
LEGEND = {
    "keep": "keep",
    "undecided": "undecided (thin)",
    "sacrifice": "sacrifice (dashed, white on black)",
    "deadwood": "deadwood (open end)",
}


@dataclass(slots=True)
class _Panel:
    """A chart being drawn; labels keep clear of one another."""

    width: float
    height: float
    items: list[Item] = field(default_factory=list)
    taken: list[tuple[float, float, float, float]] = field(default_factory=list)

    def label(self, words: str, spots: Sequence[tuple[float, float]], *, inverse: bool = False) -> bool:
        """Set a label centred on the first spot where it covers nothing; False where there is none."""
        wide, high = width_mm(words, LABEL_PT, True) + 0.8, line_mm(LABEL_PT)
        for x, y in spots:
            left = min(max(x - wide / 2, 0.0), self.width - wide)
            top = min(max(y - high / 2, 0.0), self.height - high)
            if all(left + wide <= a or a + w <= left or top + high <= b or b + h <= top for a, b, w, h in self.taken):
                self.taken.append((left, top, wide, high))
                ground = Box(left, top, wide, high, fill=0.0 if inverse else 1.0)
                text = baseline_text(words, 0.4, high, LABEL_PT, bold=True, white=inverse)
                self.items += [ground, moved(text, left, top)]
                return True
        return False


def branch_chart(tree: Tree, state: State, width: float, units: Units) -> list[Piece]:
    """From above by clock direction and in elevation by height; branches that were taken off are left out."""
    branches = [b for b in tree.branches if b.id not in state.removed]
    wired = {b for wire in state.wires for b in wire.branches}
    half = (width - 4.0) / 2
    above, unseen = _from_above(branches, wired, half)
    side, unplaced = _elevation(branches, wired, half, units, state.height_mm())
    items = (*above.items, *(moved(item, half + 4.0, 0.0) for item in side.items))
    pieces = [Piece(PANEL_MM, items, keep=True)]
    roles = dict.fromkeys(b.role for b in branches)
    told = [LEGEND[r] for r in LEGEND if r in roles and r != "keep"]
    told += ["wired: cross strokes"] if wired & {b.id for b in branches} else []
    if unseen:
        told.append(f"not shown from above: {', '.join(unseen)}")
    if unplaced:
        told.append(f"no height or no room: {', '.join(unplaced)}")
    return pieces + (lines(" · ".join(told), LABEL_PT, width) if told else [])


def _from_above(
    branches: Sequence[Branch], wired: set[str] | frozenset[str], width: float
) -> tuple[_Panel, list[str]]:
    panel = _Panel(width, PANEL_MM)
    centre_x, centre_y, radius = width / 2, PANEL_MM / 2, min(width, PANEL_MM) / 2 - 4.0
    panel.items.append(_circle(centre_x, centre_y, radius, None, 0.15))
    panel.items.append(_circle(centre_x, centre_y, 1.3, 0.0))
    for hour in (12, 3, 6, 9):
        x, y = _around(centre_x, centre_y, radius + 2.4, hour)
        words = "front 6" if hour == 6 else str(hour)
        text = baseline_text(words, 0, line_mm(LABEL_PT), LABEL_PT)
        panel.items.append(moved(text, x - text.width / 2, y - line_mm(LABEL_PT) / 2))
    unseen = []
    for branch in branches:
        if branch.clock is None:
            unseen.append(branch.id)
            continue
        end = _around(centre_x, centre_y, radius, branch.clock)
        panel.items += _limb((centre_x, centre_y), end, branch, branch.id in wired)
        rings = [_around(centre_x, centre_y, radius * share, branch.clock) for share in (0.9, 0.68, 0.46, 0.28)]
        if not panel.label(branch.id, rings, inverse=branch.role == "sacrifice"):
            unseen.append(branch.id)
    return panel, unseen


def _elevation(
    branches: Sequence[Branch],
    wired: set[str] | frozenset[str],
    width: float,
    units: Units,
    height: float | None,
) -> tuple[_Panel, list[str]]:
    """Heights up the trunk; right of it what points to 1 to 5, left what points to 7 to 11, front and back by turns."""
    panel = _Panel(width, PANEL_MM)
    middle = width / 2
    panel.items += _pot_and_trunk(middle)
    known = [b.height for b in branches if b.height]
    tallest = max([*known, height or 0.0]) * 1.04
    if height:
        _label_top(panel, units.length_told(height), middle + 1.5)
    unplaced = []
    turn = 1.0
    for branch in sorted(branches, key=lambda b: b.height or 0.0):
        if branch.height is None or not tallest:
            unplaced.append(branch.id)
            continue
        y = SOIL_MM - (SOIL_MM - TOP_MM) * branch.height / tallest
        sideways = _sideways(branch)
        turn = -turn if abs(sideways) < HEAD_ON else turn
        across, end_y = _reach(sideways, turn, width), max(y - 2.0, TOP_MM)
        panel.items += _limb((middle, y), (middle + across, end_y), branch, branch.id in wired)
        if not panel.label(branch.id, _beside((middle, y), across, end_y - y), inverse=branch.role == "sacrifice"):
            unplaced.append(branch.id)
    return panel, unplaced


def _pot_and_trunk(middle: float) -> list[Item]:
    return [
        Rule(middle - 9.0, SOIL_MM, middle + 9.0, SOIL_MM, 0.4),
        Rule(middle, SOIL_MM, middle, TOP_MM, 0.9),
        Rule(middle - 7.0, SOIL_MM + 2.4, middle + 7.0, SOIL_MM + 2.4, 0.4),
        Rule(middle - 9.0, SOIL_MM, middle - 7.0, SOIL_MM + 2.4, 0.4),
        Rule(middle + 9.0, SOIL_MM, middle + 7.0, SOIL_MM + 2.4, 0.4),
    ]


def _label_top(panel: _Panel, words: str, x: float) -> None:
    """The tree's height beside the top of its trunk; no other label covers it."""
    text = baseline_text(words, 0, line_mm(LABEL_PT), LABEL_PT)
    y = TOP_MM - line_mm(LABEL_PT) / 2
    panel.items.append(moved(text, x, y))
    panel.taken.append((x, y, text.width, line_mm(LABEL_PT)))


def _sideways(branch: Branch) -> float:
    """How far a branch points to the right (1) or left (-1), seen from the front; 0 where its direction is not known."""
    return math.sin(branch.clock * math.pi / 6) if branch.clock is not None else 0.0


def _reach(sideways: float, turn: float, width: float) -> float:
    """How far from the trunk a branch is drawn, mm, left below 0; one to the front or back is short, on the side of `turn`."""
    if abs(sideways) < HEAD_ON:
        return turn * (width / 2 - 3.0) * 0.45
    return math.copysign(1.0, sideways) * (width / 2 - 3.0) * 0.95


def _beside(start: tuple[float, float], across: float, down: float) -> list[tuple[float, float]]:
    """Where a branch's label may stand: at its tip, then nearer the trunk; on the line, below and above."""
    x, y = start
    return [(x + across * share, y + down * share + drop) for share in (1.0, 0.75, 0.5) for drop in (0.0, 2.2, -2.2)]


def _limb(start: tuple[float, float], end: tuple[float, float], branch: Branch, wired: bool) -> list[Item]:
    (x1, y1), (x2, y2) = start, end
    thick = {"keep": 0.6, "sacrifice": 0.6, "deadwood": 0.4}.get(branch.role, 0.25)
    items: list[Item] = [Rule(x1, y1, x2, y2, thick, dash=1.2 if branch.role == "sacrifice" else 0.0)]
    if branch.role == "deadwood":
        items.append(_circle(x2, y2, 0.9, None, 0.3))
    if wired:
        long = math.hypot(x2 - x1, y2 - y1) or 1.0
        across_x, across_y = -(y2 - y1) / long * 1.1, (x2 - x1) / long * 1.1
        for share in (0.3, 0.4, 0.5):
            x, y = x1 + (x2 - x1) * share, y1 + (y2 - y1) * share
            items.append(Rule(x - across_x, y - across_y, x + across_x, y + across_y, 0.3))
    return items


def _around(x: float, y: float, radius: float, clock: float) -> tuple[float, float]:
    """The point in a clock direction seen from above, 6 towards the viewer at the foot of the page."""
    angle = clock * math.pi / 6
    return x + radius * math.sin(angle), y - radius * math.cos(angle)


def _circle(x: float, y: float, radius: float, fill: float | None, thick: float = 0.3) -> Shape:
    angles = [2 * math.pi * i / CIRCLE_SIDES for i in range(CIRCLE_SIDES)]
    return Shape(tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles), fill, thick)


def growth_charts(
    readings: Mapping[str, Sequence[Reading]], targets: Targets, units: Units, width: float
) -> list[Piece]:
    """Calliper, tips (doubling is a straight line) and leaf length, where two readings or more stand in the log."""
    aims = {"trunk": targets.trunk.to if targets.trunk else None, "tips": targets.tips, "leaf": targets.leaf}
    shown = [name for name in ("trunk", "tips", "leaf") if len(readings.get(name, ())) > 1]
    if not shown:
        return []
    gap = 4.0
    each = min((width - gap * (len(shown) - 1)) / len(shown), 55.0)
    items: list[Item] = []
    for index, name in enumerate(shown):
        chart = _growth_chart(name, readings[name], aims[name], units, each)
        items += [moved(item, index * (each + gap), 0.0) for item in chart]
    return [Piece(GROWTH_MM, tuple(items))]


def _growth_chart(
    name: str, readings: Sequence[Reading], aim: float | None, units: Units, width: float
) -> list[Item]:
    scale = math.log if name == "tips" else float
    told = (lambda v: f"{v:.0f}") if name == "tips" else units.length_told
    title = f"{name} {told(readings[-1].value)}" + (f", aim {told(aim)}" if aim else "")
    size = shrunk(title, 8.0, width, bold=True)
    items: list[Item] = [baseline_text(title, 0.0, line_mm(8.0), size, bold=True)]
    top, bottom = line_mm(8.0) + 1.0, GROWTH_MM - line_mm(LABEL_PT) - 0.4
    values = [scale(r.value) for r in readings] + ([scale(aim)] if aim else [])
    low, high = min(values), max(values)
    first, last = readings[0].day.toordinal(), readings[-1].day.toordinal()

    def place(reading: Reading) -> tuple[float, float]:
        along = (reading.day.toordinal() - first) / max(1, last - first)
        return 0.8 + along * (width - 1.6), level(scale(reading.value))

    def level(value: float) -> float:
        return bottom - (value - low) / ((high - low) or 1.0) * (bottom - top)

    if aim:
        items.append(Rule(0.0, level(scale(aim)), width, level(scale(aim)), 0.2, dash=0.8))
    points = [place(r) for r in readings]
    items += [Rule(*a, *b, 0.4) for a, b in itertools.pairwise(points)]
    items += [Box(x - 0.6, y - 0.6, 1.2, 1.2, fill=0.0) for x, y in points]
    items.append(Rule(0.0, bottom + 0.4, width, bottom + 0.4, 0.15, 0.5))
    begins, ends = (_month(r) for r in (readings[0], readings[-1]))
    left = baseline_text(begins, 0.0, line_mm(LABEL_PT), LABEL_PT)
    right = baseline_text(ends, 0.0, line_mm(LABEL_PT), LABEL_PT)
    foot = GROWTH_MM - line_mm(LABEL_PT)
    items.append(moved(left, 0.0, foot))
    if left.width + right.width + 1.5 <= width:
        items.append(moved(right, width - right.width, foot))
    return [i for i in items if not isinstance(i, Text) or i.text]


def _month(reading: Reading) -> str:
    return f"{MONTHS[reading.day.month - 1]} {reading.day.year}"
