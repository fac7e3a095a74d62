"""Print the bench walk list: bench by bench the trees that want something in the next three weeks, one serial for all.

A row is typed back by its tag: 014 14 oct done; trunk 38. Trees that need nothing are named on their bench's heading.

examples:
  benchleaf walk -o walk.pdf
  benchleaf walk --all --bench east --layout walk-a5
  benchleaf walk --first-look
  benchleaf walk --large
"""

from __future__ import annotations

import argparse

from ..collection.load import bench_order
from ..diagnostics import counted
from ..storage import printed
from .common import json_argument, left_out, output_arguments, today_argument, tree_arguments
from .printing import (
    PaperData,
    Run,
    large_argument,
    page_grid,
    print_out,
    print_run,
    printed_size,
    ready_to_print,
    record_arguments,
    where_told,
)
from .results import Result


class WalkData(PaperData):
    """The printed walk: its serial (empty for a draft), its trees in walking order, and those that have a row."""

    serial: str
    tags: list[str]
    rows: list[str]


SHAPE = WalkData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    tree_arguments(parser)
    parser.add_argument("--all", action="store_true", help="a row for every tree, also where nothing is needed")
    parser.add_argument(
        "--first-look", action="store_true", help="after a silence: here or gone, wire, vigour, when it was repotted"
    )
    output_arguments(parser, "walk.pdf")
    large_argument(parser)
    record_arguments(parser)
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Draw the walk list, and put it on record unless it is a draft."""
    with print_run(options, recorded=not options.draft) as run_:
        return _printed(run_, options)


def _printed(run_: Run, options: argparse.Namespace) -> Result:
    from ..paper.imposition import impose
    from ..paper.walk import Walk, walk_list
    from ..planning.lists.walk_rows import watched_trees

    opened = run_.opened
    plan, trees = ready_to_print(opened, options, "walk", "walk-a4", "walk-letter")
    trees.sort(
        key=lambda tree: (not tree.bench, bench_order(tree.bench))
    )  # as one walks; the sort keeps tags in order
    (serial,) = run_.serials(1, printed.load_ledger(opened.folder), options.seed)
    plans = opened.plans(trees)
    walk = Walk(
        plans,
        [tree.tag for tree in opened.collection.living],
        () if options.first_look else watched_trees(plans, opened.garden),
        options.all,
        options.first_look,
    )
    made = walk_list(walk, opened.collection.settings, plan, serial)
    papers = impose(
        printed_size([(page, None) for page in made.pages], plan),
        page_grid(plan, options.output),
        cut=False,
        two_sided=False,
    )
    tap = print_out(
        run_, options, papers, "bench walk", printed.Record([made.sheet.enlarged(plan.times)] if made.sheet else [])
    )
    lines = (
        *run_.told,
        f"{counted(len(trees), 'tree')}, {len(made.tags)} with a row, on {counted(tap.sides, 'page')}: {where_told(options, tap)}",
        f"type it back under: sheet {serial}" if serial else "draft: no serial, the notes on it can't be typed in",
    )
    problems, closing, code = left_out(opened)
    data: WalkData = {**tap.data, "serial": serial, "tags": [t.tag for t in trees], "rows": list(made.tags)}
    return Result(code, lines, data, (*tap.warnings, *problems), closing)
