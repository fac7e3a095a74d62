"""Print the bench walk list: many trees on one page, one pencil line each, one serial for all.

examples:
  benchleaf walk -o walk.pdf
  benchleaf walk --bench east --layout walk-a5
"""

from __future__ import annotations

import argparse

from ..collection.load import bench_order
from ..diagnostics import counted
from ..storage import printed
from .common import json_argument, left_out, output_arguments, today_argument, tree_arguments
from .printing import page_grid, print_out, ready_to_print, where_told
from .results import Result


def arguments(parser: argparse.ArgumentParser) -> None:
    tree_arguments(parser)
    output_arguments(parser, "walk.pdf")
    parser.add_argument("--draft", action="store_true", help="no serial and no record: can't be typed in")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    from ..paper.imposition import impose
    from ..paper.walk import walk_list

    opened, plan, trees = ready_to_print(options, "walk", "walk-a4", "walk-letter")
    trees.sort(
        key=lambda tree: (not tree.bench, bench_order(tree.bench))
    )  # as one walks; the sort keeps tags in order
    ledger = printed.load_ledger(opened.folder)
    serial = (
        ""
        if options.draft
        else printed.draw_serials(1, ledger, opened.today, [f"{t.tag} {t.digest}" for t in trees])[0]
    )
    made = walk_list(opened.plans(trees), opened.collection.settings, plan, serial)
    papers = impose(
        [(page, None) for page in made.pages], page_grid(plan, options.output), cut=False, two_sided=False
    )
    tap = print_out(opened, options, papers, "bench walk", [made.sheet] if made.sheet else [])
    lines = (
        f"{counted(len(trees), 'tree')} on {counted(tap.sides, 'page')}: {where_told(options, tap)}",
        f"type it back under: sheet {serial}" if serial else "draft: no serial, the notes on it can't be typed in",
    )
    problems, closing, code = left_out(opened)
    data = {**tap.data, "serial": serial, "tags": [t.tag for t in trees]}
    return Result(code, lines, data, (*tap.warnings, *problems), closing)
