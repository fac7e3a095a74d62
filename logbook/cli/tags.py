"""Print pot tags: the number large on both sides, species, name, and a code that leads to the tree's file.

examples:
  benchleaf tags -o tags.pdf
  benchleaf tags --tag 014 --layout tag-hanging-letter
"""

from __future__ import annotations

import argparse

from ..problems import counted
from .common import (
    json_argument,
    left_out,
    output_arguments,
    tree_arguments,
    watched,
    write_output,
)
from .results import Result
from .sheets import EDGES, boxed_characters, page_grid, ready_to_print


def arguments(parser: argparse.ArgumentParser) -> None:
    tree_arguments(parser)
    output_arguments(parser, "tags.pdf")
    parser.add_argument(
        "--edge", choices=EDGES, default="long", help="the edge the printer turns paper over (default: long)"
    )
    json_argument(parser)


def run(options: argparse.Namespace) -> Result:
    from ..paper.imposition import impose
    from ..paper.pdf import render
    from ..paper.tags import pot_tag

    opened, plan, trees = ready_to_print(options, "tag", "tag-hanging", "tag-hanging-letter")
    tags = [pot_tag(tree, opened.collection.settings, plan) for tree in watched(trees, "drawing")]
    papers = impose([(tag.front, tag.back) for tag in tags], page_grid(plan), options.edge)
    if not options.dry_run:
        write_output(
            options.output,
            render(papers, f"{opened.collection.settings.title}: pot tags", lambda p: watched(p, "printing")),
        )
    where = f"nothing written (--dry-run), would be {options.output}" if options.dry_run else str(options.output)
    smallest = min(tags, key=lambda tag: (tag.symbol.module, tag.symbol.level))
    lines = [
        f"{counted(len(tags), 'tag')} on {counted(len(papers), 'page')}: {where}",
        f"codes: modules of {smallest.symbol.module:.2f} mm or more, error correction {smallest.symbol.level}",
        f"print at 100 % ('actual size'), two-sided, turned over the {options.edge} edge",
    ]
    if not opened.collection.settings.link:
        lines.append("no link: in collection.yaml, so the codes hold the bare tag: a phone shows it as text")
    problems, closing, code = left_out(opened)
    data = {
        "file": str(options.output),
        "pages": len(papers),
        "tags": [
            {
                "tag": t.tree.tag,
                "code": t.symbol.text,
                "module_mm": round(t.symbol.module, 3),
                "level": t.symbol.level,
            }
            for t in tags
        ],
    }
    return Result(code, tuple(lines), data, (*boxed_characters(papers), *problems), closing)
