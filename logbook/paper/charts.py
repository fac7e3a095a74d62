"""Small charts for a front: the branches from above and in elevation, and measurements against time.

A chart is a `Piece`. Kinds of branches differ by line and by the form of their label, never by colour, so that the
chart holds in black and white: a sacrifice branch is dashed and its number stands white on black.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import field
from datetime import date

from ..collection.dates import MONTHS
from ..collection.model import Branch, Targets, Tree
from ..collection.units import Units
from ..planning.tree_state import Reading, State
from ..values import dataclass
from .flow import Piece, baseline_text, lines
from .page import Box, Item, Rule, Shape, Text, moved, moved_text
from .typesetting import line_mm, shrunk, width_mm
from .words import say

PANEL_MM = 37.0
LABEL_PT = 7.5
CIRCLE_SIDES = 36
CHART_TOP_MM, CHART_FOOT_MM, GROWTH_MM = 7.6, 24.0, 28.6
EDGE_MM, MOST_YEARS = 0.8, 30
TOP_MM, SOIL_MM = 2.5, PANEL_MM - 3.0  # of the trunk in elevation
HEAD_ON = 0.2  # of the full width: a branch that points less to a side points to the front or back
LEGEND = ("undecided", "sacrifice", "deadwood")  # the roles that are drawn in a way of their own


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
    told = [say(f"role {role}") for role in LEGEND if role in roles]
    told += [say("role wired")] if wired & {b.id for b in branches} else []
    if unseen:
        told.append(say("not from above", branches=", ".join(unseen)))
    if unplaced:
        told.append(say("no height", branches=", ".join(unplaced)))
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
        words = say("front at", hour=hour) if hour == 6 else str(hour)
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
    """Trunk, tips (doubling is a straight line) and leaf length, where two readings or more stand in the log."""
    aims = {"trunk": targets.trunk.to if targets.trunk else None, "tips": targets.tips, "leaf": targets.leaf}
    shown = [name for name in ("trunk", "tips", "leaf") if len(readings.get(name, ())) > 1]
    if not shown:
        return []
    gap = 4.0
    each = min((width - gap * (len(shown) - 1)) / len(shown), 55.0)
    items: list[Item] = []
    for index, name in enumerate(shown):
        chart = _growth_chart(name, readings[name], aims[name], units, each)
        items += [moved(item, index * (each + gap), 0.0) for item in chart] if index else chart
    return [Piece(GROWTH_MM, tuple(items))]


@dataclass(frozen=True, slots=True)
class _Axes:
    """Where a chart's days and values stand, mm; a scale of doublings has no zero, and says so by a break."""

    first: date
    last: date
    low: float
    high: float
    width: float
    doubling: bool

    def x(self, day: date) -> float:
        """A day at its own place; a year without a measure keeps its room."""
        return EDGE_MM + (day - self.first).days / max(1, (self.last - self.first).days) * (self.width - 2 * EDGE_MM)

    def y(self, value: float) -> float:
        """A value above the foot of the chart."""
        low, high, at = (math.log(v) if self.doubling else v for v in (self.low, self.high, value))
        return CHART_FOOT_MM - (at - low) / ((high - low) or 1.0) * (CHART_FOOT_MM - CHART_TOP_MM)


def _growth_chart(
    name: str, readings: Sequence[Reading], aim: float | None, units: Units, width: float
) -> list[Item]:
    """A measure against time: from zero up, the first, the last and the aim told, each year with its mark."""
    doubling, title = name == "tips", say(f"measure {name}")
    told = (lambda v: f"{v:.0f}") if doubling else units.length_told
    values = [r.value for r in readings] + ([aim] if aim else [])
    low = min(values) / 1.4 if doubling else 0.0
    at = _Axes(readings[0].day, readings[-1].day, low, max(values), width, doubling)
    items: list[Item] = [baseline_text(title, 0.0, line_mm(8.0), shrunk(title, 8.0, width, bold=True), bold=True)]
    if aim:
        items.append(Rule(0.0, at.y(aim), width, at.y(aim), 0.2, dash=0.8))
    points = [(at.x(r.day), at.y(r.value)) for r in readings]
    items += [Rule(*a, *b, 0.4) for a, b in itertools.pairwise(points)]
    items += [Box(x - 0.6, y - 0.6, 1.2, 1.2, fill=0.0) for x, y in points]
    line = at.y(aim) if aim else None
    labels = _labels(points, (told(readings[0].value), told(readings[-1].value)), width, line)
    items += labels
    if aim:
        items.append(_aim_label(say("aim at", value=told(aim)), at.y(aim), width, labels))
    return [*items, *_foot_of(at, readings)]


def _labels(
    points: Sequence[tuple[float, float]], told: tuple[str, str], width: float, line: float | None
) -> list[Text]:
    """The first and the last value, each below its point and clear of the aim's line; the last alone where they would meet."""
    (x1, y1), (x2, y2) = points[0], points[-1]
    first, last = (baseline_text(words, 0.0, line_mm(LABEL_PT), LABEL_PT, bold=n > 0) for n, words in enumerate(told))
    below = [_below(y, line) for y in (y1, y2)]
    items = [_set(last, width - last.width, below[1])]
    if first.width + last.width + 2.0 <= width:
        items.append(_set(first, max(0.0, min(x1 - 0.6, x2)), below[0]))
    return items


def _below(y: float, line: float | None) -> float:
    """Where a value's label begins below its point: beneath the aim's line, where that would run through it; above the point, where
    neither has room over the base line.
    """
    high, lowest = line_mm(LABEL_PT), CHART_FOOT_MM - line_mm(LABEL_PT)
    tops = [min(y + 0.7, lowest)]
    if line is not None:
        tops += [top for top in (line + 0.3, y - high - 0.7) if CHART_TOP_MM - high <= top <= lowest]
        tops = [top for top in tops if not top - 0.2 < line < top + high] or tops
    return tops[0]


def _aim_label(words: str, y: float, width: float, labels: Sequence[Text]) -> Text:
    """The aim's words above its line at the right; at the left or below it where a value's label stands in the way."""
    text, high = baseline_text(words, 0.0, line_mm(LABEL_PT), LABEL_PT), line_mm(LABEL_PT)
    above, below = y - high + 0.1, y + 0.4
    spots = [_set(text, x, top) for top in (above, below) for x in (width - text.width, 0.0)]
    return next((spot for spot in spots if not any(_meet(spot, label) for label in labels)), spots[0])


def _set(text: Text, x: float, y: float) -> Text:
    return moved_text(text, x, y, text.block)


def _meet(one: Text, other: Text) -> bool:
    """Whether two labels of a chart stand over each other."""
    side = one.x < other.x + other.width + 0.8 and other.x < one.x + one.width + 0.8
    return side and abs(one.y - other.y) < line_mm(LABEL_PT) * 0.8


def _foot_of(at: _Axes, readings: Sequence[Reading]) -> list[Item]:
    """The base line with a tick for each year that begins, broken where it is not zero, and the months of both ends."""
    items: list[Item] = [Rule(0.0, CHART_FOOT_MM, at.width, CHART_FOOT_MM, 0.3)]
    years = range(at.first.year + 1, at.last.year + 1)
    for year in years if len(years) <= MOST_YEARS else ():
        x = at.x(date(year, 1, 1))
        items.append(Rule(x, CHART_FOOT_MM, x, CHART_FOOT_MM + 1.0, 0.2))
    if at.doubling:
        items += [Rule(x, CHART_FOOT_MM + 1.0, x + 1.0, CHART_FOOT_MM - 1.0, 0.3) for x in (0.6, 1.5)]
    left, right = (baseline_text(_month(r), 0.0, line_mm(LABEL_PT), LABEL_PT) for r in (readings[0], readings[-1]))
    foot = CHART_FOOT_MM + 1.0
    items.append(moved(left, 0.0, foot))
    if left.width + right.width + 1.5 <= at.width:
        items.append(moved(right, at.width - right.width, foot))
    return items


def _month(reading: Reading) -> str:
    return f"{MONTHS[reading.day.month - 1]} {reading.day.year}"
