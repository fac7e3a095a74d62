"""Measurements against time: first and last reading, the rate, the target, and when a trunk is likely there.

Tips double at best in a season of good work, and leaves shorten as tips multiply: the rows tell what was counted and its
trend, and promise nothing.

examples:
  benchleaf growth
  benchleaf growth --tag 003
"""

from __future__ import annotations

import argparse
import math
from typing import TypedDict

from ..collection.model import Targets
from ..formulas.growth import Point, Reach, theil_sen_mm_a_year
from ..planning.lists.trunk_growth import Growth, points_of, trunk_growth
from ..planning.tree_state import State, state_of
from .common import Opened, chosen, json_argument, left_out, open_collection, today_argument, tree_arguments
from .results import Result, table

SHOWN = ("trunk", "height", "crown", "leaf", "tips")

SHORTEST_DAYS = 120  # between the first and the last reading, for a rate to mean anything


class TrunkData(TypedDict):
    """When a trunk is likely there: rate, and the 80 % span about the day."""

    mm_a_year: float
    early: str
    day: str
    late: str


class TreeGrowth(TypedDict):
    """One tree's trunk against its target."""

    tag: str
    trunk: TrunkData | None
    told: str


class GrowthData(TypedDict):
    """Measurements against time."""

    trees: list[TreeGrowth]


SHAPE = GrowthData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    tree_arguments(parser)
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """What the verb does; the result it prints."""
    opened = open_collection(options)
    rows: list[list[str]] = []
    told: list[str] = []
    trees: list[TreeGrowth] = []
    for tree in chosen(opened, options):
        state = state_of(tree, opened.garden, opened.today)
        found = [_measure(opened, state, tree.targets, name) for name in SHOWN if state.readings.get(name)]
        rows += [[tree.tag, *row] for row in found]
        growth = trunk_growth(tree.targets, state, opened.garden.around(tree, opened.today))
        said = opened.wording.growth(growth)
        told += [f"{tree.tag}  {said}"] if said else []
        trees.append({"tag": tree.tag, "trunk": _data(growth), "told": said})
    head = ["tag", "what", "readings", "first", "last", "trend", "aim"]
    lines = table(rows, head) if rows else ["nothing has been measured yet: type 'trunk 38.5 tips 64' under a tree"]
    problems, closing, code = left_out(opened)
    return Result(code, (*lines, *([""] if told else []), *told), GrowthData(trees=trees), problems, closing)


def _measure(opened: Opened, state: State, targets: Targets, name: str) -> list[str]:
    units = opened.collection.settings.units
    readings = state.readings[name]
    show = (lambda v: f"{v:.0f}") if name == "tips" else units.length_told
    aim = targets.trunk.to if name == "trunk" and targets.trunk else getattr(targets, name, None)
    first, last = readings[0], readings[-1]
    return [
        name,
        str(len(readings)),
        f"{show(first.value)} ({first.day:%Y})",
        f"{show(last.value)} ({last.day:%Y})",
        _trend(opened, state, name),
        show(aim) if isinstance(aim, int | float) else "-",
    ]


def _trend(opened: Opened, state: State, name: str) -> str:
    """mm a year, or for tips the factor a year."""
    points = points_of(state, opened.garden, name)
    if not points or (points[-1].day - points[0].day).days < SHORTEST_DAYS:
        return "-"
    if name == "tips":
        logs = [Point(p.day, math.log(p.mm)) for p in points]
        return f"× {math.exp(theil_sen_mm_a_year(logs)):.2f} a year"
    rate = theil_sen_mm_a_year(points)
    return f"{'+' if rate >= 0 else '-'}{opened.collection.settings.units.length_told(round(abs(rate), 2))} a year"


def _data(growth: Growth | None) -> TrunkData | None:
    if growth is None or not isinstance(growth.outlook, Reach):
        return None
    found = growth.outlook
    return {
        "mm_a_year": round(found.mm_a_year, 3),
        "early": found.early.isoformat(),
        "day": found.day.isoformat(),
        "late": found.late.isoformat(),
    }
