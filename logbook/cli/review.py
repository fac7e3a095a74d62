"""Look back on a season: works done and missed, wires off in time, vigour, growth. For a winter evening.

examples:
  benchleaf review
  benchleaf review --season 2026
  benchleaf review --stock 2026-12-31 --csv stock.csv
  benchleaf cards review -o review.pdf      (the same on paper)
"""

from __future__ import annotations

import argparse
import csv
import io
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TypedDict

from .. import escapes
from ..collection.dates import day_told
from ..collection.model import Tree
from ..collection.units import Units
from ..diagnostics import counted, stop
from ..planning.lists.stock import Stock, came_on, kinds_of, stock_on, value_of
from ..planning.season_review import Change, Review, review
from ..storage.outputs import write_output
from .common import (
    Opened,
    a_day,
    chosen,
    json_argument,
    left_out,
    open_collection,
    today_argument,
    tree_arguments,
)
from .results import Result


class ChangeData(TypedDict):
    """A number at a season's end beside the one before it."""

    tag: str
    before: float
    after: float


class ScoresData(TypedDict):
    """A tree's vigour by season."""

    tag: str
    by_season: list[list[int]]


class StockData(TypedDict):
    """Tags of the year up to a day: those that stood before it, came, left (by how), and stand; the value of those that have one."""

    first: str
    last: str
    before: list[str]
    came: list[str]
    left: dict[str, list[str]]
    after: list[str]
    value: float
    without_value: int


class ReviewData(TypedDict):
    """A season looked back on."""

    season: int
    first: str
    last: str
    trees: int
    visits: int
    works: dict[str, int]
    missed: list[list[str]]
    wires_in_time: int
    wires_late: list[str]
    vigour: list[ChangeData]
    trunks: list[ChangeData]
    scores: list[ScoresData]
    came: list[str]
    left: list[str]
    stock: StockData | None


SHAPE = ReviewData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    tree_arguments(parser)
    parser.add_argument(
        "--season", type=int, metavar="YEAR", help="named by its spring (default: the last whole one)"
    )
    parser.add_argument(
        "--stock",
        type=a_day,
        nargs="?",
        const=date.min,
        metavar="DAY",
        help="what came, left and stands, by that day (default: today)",
    )
    parser.add_argument("--csv", type=Path, metavar="FILE", help="with --stock: the trees that stand, as a table")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """What the verb does; the result it prints."""
    opened = open_collection(options)
    trees = list(opened.collection.trees) if not (options.tag or options.bench) else chosen(opened, options)
    made = season_review(opened, trees, options.season)
    problems, closing, code = left_out(opened)
    if options.stock is not None:
        day = options.stock if options.stock != date.min else opened.today
        stock = stock_on(trees, day)
        written = [f"table: {options.csv}"] if options.csv and _write_csv(options.csv, stock) else []
        data: ReviewData = {**_data(made), "stock": _stock_data(stock)}
        return Result(code, (*_stock_told(stock), *written), data, problems, closing)
    lines = told(made, opened.collection.settings.units)
    return Result(code, tuple(lines), _data(made), problems, closing)


def _stock_told(stock: Stock) -> list[str]:
    """The year's account, and what stands by species."""
    gone = sum(map(len, stock.left.values()))
    lines = [
        f"stock on {day_told(stock.last)}, from {day_told(stock.first)}",
        f"  stood before  {len(stock.before):4}",
        f"  came        + {len(stock.came):4}{_tags(stock.came)}",
        f"  left        - {gone:4}",
        *(f"    {how}{_tags(some)}" for how, some in stock.left.items()),
        f"  stand         {len(stock.after):4}",
        "",
        *(f"  {count:4} × {name}" for name, count in kinds_of(stock.after).items()),
    ]
    total, without = value_of(stock.after)
    if total:
        lines += [
            "",
            f"value of those that have one: {total:,.2f}"
            + (f"; {counted(without, 'tree')} without" if without else ""),
        ]
    return lines


def _tags(trees: Sequence[Tree]) -> str:
    return f"   {', '.join(tree.tag for tree in trees)}" if trees else ""


def _write_csv(path: Path, stock: Stock) -> bool:
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(["tag", "name", "species", "bench", "came", "value"])
    for tree in stock.after:
        came = came_on(tree)
        day = "" if came == date.min else came.isoformat()
        row = (tree.tag, tree.name, tree.full_name, tree.bench, day, tree.value)
        rows.writerow(map(escapes.cell, row))
    write_output(path, text.getvalue().encode("utf-8"), "--csv FILE")
    return True


def _stock_data(stock: Stock) -> StockData:
    total, without = value_of(stock.after)
    return {
        "first": stock.first.isoformat(),
        "last": stock.last.isoformat(),
        "before": [tree.tag for tree in stock.before],
        "came": [tree.tag for tree in stock.came],
        "left": {how: [tree.tag for tree in some] for how, some in stock.left.items()},
        "after": [tree.tag for tree in stock.after],
        "value": total,
        "without_value": without,
    }


def season_review(opened: Opened, trees: Sequence[Tree], season: int | None) -> Review:
    """Look back on a season, the last whole one where none is named. Raises ProblemsFound for one that is still to come."""
    now = opened.site.calendar.season_of(opened.today)
    season = season if season is not None else now - 1
    if not 1900 <= season <= now:
        raise stop(f"season {season} is not one to look back on", hint=f"the present one is {now}")
    return review(trees, opened.garden, season, opened.today)


def told(made: Review, units: Units) -> list[str]:
    """The review in words."""
    lines = [
        f"season {made.season}: {day_told(made.first)} to {day_told(made.last)}",
        f"{counted(made.visits, 'visit')} to {counted(made.trees, 'tree')}",
    ]
    lines += ["", "done:", *(f"  {count:3} × {work}" for work, count in made.works.items())] if made.works else []
    if made.missed:
        lines += ["", "due and not done:", *(f"  {tag}  {work}" for tag, work in made.missed)]
    if made.wires_in_time or made.wires_late:
        late = f"; late on {', '.join(made.wires_late)}" if made.wires_late else ""
        lines += ["", f"wire off in time: {made.wires_in_time} of {made.wires_in_time + len(made.wires_late)}{late}"]
    if made.vigour:
        lines += ["", "vigour:", *(f"  {c.tag}  {c.before:.0f} → {c.after:.0f}" for c in made.vigour)]
    if made.trunks:
        lines += ["", "trunks:"]
        lines += [f"  {c.tag}  {units.length_told(c.before)} → {units.length_told(c.after)}" for c in made.trunks]
    lines += [f"new on record: {', '.join(made.came)}"] if made.came else []
    lines += [f"left: {', '.join(made.left)}"] if made.left else []
    return lines


def _data(made: Review) -> ReviewData:
    return {
        "season": made.season,
        "first": made.first.isoformat(),
        "last": made.last.isoformat(),
        "trees": made.trees,
        "visits": made.visits,
        "works": made.works,
        "missed": [list(pair) for pair in made.missed],
        "wires_in_time": made.wires_in_time,
        "wires_late": list(made.wires_late),
        "vigour": [_change(c) for c in made.vigour],
        "trunks": [_change(c) for c in made.trunks],
        "scores": [{"tag": s.tag, "by_season": [list(pair) for pair in s.by_season]} for s in made.scores],
        "came": list(made.came),
        "left": list(made.left),
        "stock": None,
    }


def _change(change: Change) -> ChangeData:
    return {"tag": change.tag, "before": change.before, "after": change.after}
