"""Print cards that belong to no one tree: `season` (marks, frost, a chart of the year) and `scale` (does the printer keep its size?).

examples:
  benchleaf cards season -o season.pdf
  benchleaf cards scale -o scale.pdf
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from ..paper.imposition import Leaf
from .common import json_argument, left_out, must_be_writable, open_collection, today_argument
from .printing import page_grid, print_arguments, print_out, sheet_layout, shift_of, where_told
from .results import Result
from .sheets import season_pages

CARDS = ("season", "scale")


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("card", choices=CARDS, help="which card")
    print_arguments(parser, "card.pdf")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    from ..paper.imposition import grid_for, impose
    from ..paper.trial import scale_page

    opened = open_collection(options)
    if not options.dry_run:
        must_be_writable(options.output)
    plan = sheet_layout(opened, options.layout, "sheet", "pocket-a6", "pocket-quarter-letter")

    def leaves() -> Iterator[Leaf]:
        if options.card == "scale":
            yield scale_page(plan.paper), scale_page(plan.paper, back=True)
            return
        pages = season_pages(opened, plan)
        yield from ((p, pages[i + 1] if i + 1 < len(pages) else None) for i, p in enumerate(pages) if i % 2 == 0)

    whole = options.card == "scale"
    grid = grid_for(plan.paper, plan.paper) if whole else page_grid(plan)
    papers = impose(leaves(), grid, options.edge, cut=not whole, shift=shift_of(options))
    tap = print_out(opened, options, papers, f"{options.card} card", [])
    problems, closing, code = left_out(opened)
    lines = (
        f"{options.card} card: {where_told(options)}",
        f"print at 100 % ('actual size'), two-sided, turned over the {options.edge} edge",
    )
    return Result(code, lines, {"file": str(options.output), "pages": tap.sides}, (*tap.warnings, *problems), closing)
