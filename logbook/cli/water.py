"""How often each pot wants looking at, month by month: a time to check, never an order to water.

Reckoned from the normals, the pot's volume and the crown; one weighing typed as 'weighed wet 5.2 dry 4.1' (kg) replaces the guess for
its pot. A finger in the soil knows better.

examples:
  benchleaf water
  benchleaf water --bench east --json
"""

from __future__ import annotations

import argparse
from datetime import date, timedelta
from typing import TypedDict

from ..collection.dates import MONTHS
from ..formulas.water import every_told
from ..planning.lists.watering import thirst_between
from ..planning.tree_state import state_of
from .common import chosen, json_argument, left_out, open_collection, today_argument, tree_arguments
from .results import Result, table


class TreeWater(TypedDict):
    """Days between looks at one pot, by month (2027-06)."""

    tag: str
    how: str
    days: dict[str, float]


class WaterData(TypedDict):
    """How often each pot wants looking at."""

    trees: list[TreeWater]


SHAPE = WaterData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    tree_arguments(parser)
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """What the verb does; the result it prints."""
    opened = open_collection(options)
    months = _growing_months(opened.today, opened.site.southern)
    rows: list[list[str]] = []
    trees: list[TreeWater] = []
    for tree in chosen(opened, options):
        state = state_of(tree, opened.garden, opened.today)
        site = opened.garden.around(tree, opened.today).site
        found = [thirst_between(state, site, *span) for span in months]
        rows.append([tree.tag, tree.name or tree.full_name, *(every_told(t.days) for t in found), found[0].how])
        trees.append(
            {
                "tag": tree.tag,
                "how": found[0].how,
                "days": {f"{a:%Y-%m}": round(t.days, 2) for (a, _), t in zip(months, found, strict=True)},
            }
        )
    head = ["tag", "name", *(MONTHS[a.month - 1] for a, _ in months), "reckoned"]
    lines = [
        "look at the pot:",
        *table(rows, head),
        "",
        "Water when the top of the soil is dry, not by the calendar.",
    ]
    problems, closing, code = left_out(opened)
    return Result(code, tuple(lines), WaterData(trees=trees), problems, closing)


def _growing_months(today: date, southern: bool) -> list[tuple[date, date]]:
    """Spring to autumn of the coming or present season: first and last day of every second month."""
    year = today.year if southern or today.month <= 10 else today.year + 1
    firsts = (
        [(year, 10), (year, 12), (year + 1, 2), (year + 1, 4)] if southern else [(year, m) for m in (4, 6, 8, 10)]
    )
    spans = []
    for y, m in firsts:
        first = date(y, m, 1)
        spans.append((first, (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)))
    return spans
