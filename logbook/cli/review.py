"""Look back on a season: works done and missed, wires off in time, vigour, growth. For a winter evening.

examples:
  benchleaf review
  benchleaf review --season 2026
  benchleaf cards review -o review.pdf      (the same on paper)
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TypedDict

from ..collection.dates import day_told
from ..collection.model import Tree
from ..collection.units import Units
from ..diagnostics import counted, stop
from ..planning.season_review import Change, Review, review
from .common import Opened, chosen, json_argument, left_out, open_collection, today_argument, tree_arguments
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


SHAPE = ReviewData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    tree_arguments(parser)
    parser.add_argument(
        "--season", type=int, metavar="YEAR", help="named by its spring (default: the last whole one)"
    )
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """What the verb does; the result it prints."""
    opened = open_collection(options)
    trees = list(opened.collection.trees) if not (options.tag or options.bench) else chosen(opened, options)
    made = season_review(opened, trees, options.season)
    problems, closing, code = left_out(opened)
    lines = told(made, opened.collection.settings.units)
    return Result(code, tuple(lines), _data(made), problems, closing)


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
    }


def _change(change: Change) -> ChangeData:
    return {"tag": change.tag, "before": change.before, "after": change.after}
