"""Print pot tags: the number large on every side, species, name, and a code that leads to the tree's file.

examples:
  benchleaf tags -o tags.pdf
  benchleaf tags --layout tag-stake
  benchleaf tags --spare 12 -o spare.pdf
  benchleaf tags --tag 014 --layout tag-hanging-letter
"""

from __future__ import annotations

import argparse
from typing import TypedDict

from ..collection.model import Tree
from ..diagnostics import counted, stop
from ..paper.tags import Tag
from ..storage import printed
from .common import Opened, json_argument, left_out, today_argument, tree_arguments
from .printing import (
    PaperData,
    Run,
    how_to_print,
    page_grid,
    print_arguments,
    print_out,
    print_run,
    progress,
    ready_to_print,
    shift_of,
    where_told,
)
from .results import Result

MOST_SPARE = 500


class TagData(TypedDict):
    """A tag: the text of its code, the size of the code's modules, and its error correction."""

    tag: str
    code: str
    module_mm: float
    level: str


class TagsData(PaperData):
    """The printed tags."""

    tags: list[TagData]


SHAPE = TagsData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    tree_arguments(parser)
    print_arguments(parser, "tags.pdf")
    parser.add_argument(
        "--spare", type=_spare, default=0, metavar="N", help="instead: N tags with the next free numbers"
    )
    parser.add_argument(
        "--first", type=_place, default=1, metavar="N", help="begin at the N-th label of a sheet that was begun"
    )
    json_argument(parser)
    today_argument(parser)


def _place(text: str) -> int:
    if not (text.isascii() and text.isdecimal()) or not 1 <= int(text) <= MOST_SPARE:
        raise argparse.ArgumentTypeError(f"expected a label's number from 1, found '{text}'")
    return int(text)


def _spare(text: str) -> int:
    if not (text.isascii() and text.isdecimal()) or not 1 <= int(text) <= MOST_SPARE:
        raise argparse.ArgumentTypeError(f"expected a number from 1 to {MOST_SPARE}, found '{text}'")
    return int(text)


def run(options: argparse.Namespace) -> Result:
    """Draw the pot tags, and tell where they went."""
    with print_run(options, recorded=bool(options.spare)) as run_:
        return _printed(run_, options)


def _printed(run_: Run, options: argparse.Namespace) -> Result:
    from ..paper.imposition import Leaf, impose
    from ..paper.page import Page
    from ..paper.tags import pot_tag

    opened = run_.opened
    plan, trees = ready_to_print(opened, options, "tag", "tag-hanging", "tag-hanging-letter")
    if options.spare:
        trees = _spare_trees(opened, options.spare)
    settings, knowledge = opened.collection.settings, opened.knowledge
    tags = [pot_tag(tree, settings, plan, poisonous=knowledge.is_poisonous(tree.species)) for tree in progress(trees)]
    grid = page_grid(plan, options.output)
    if options.first > grid.count:
        raise stop(
            f"a sheet has {grid.count} labels, none with the number {options.first}", hint="give --first again"
        )
    blank = Page(*plan.page)
    begun: list[Leaf] = [(blank, blank)] * (options.first - 1)
    papers = impose(
        [*begun, *((tag.front, tag.back) for tag in tags)],
        grid,
        options.edge,
        inner_marks=False,
        two_sided=plan.sides == 2,
        shift=shift_of(options),
    )
    record = printed.spare_run(opened.today, [tree.tag for tree in trees]) if options.spare else None
    tap = print_out(run_, options, papers, "pot tags", printed.Record(), record=record)
    problems, closing, code = left_out(opened)
    data: TagsData = {**tap.data, "tags": [_data(tag) for tag in tags]}
    lines = [
        *run_.told,
        f"{counted(len(tags), 'tag')} on {counted(tap.sides, 'page')}: {where_told(options, tap)}",
        *_told(tags, opened),
    ]
    if options.spare:
        lines.append(f"spare numbers {trees[0].tag} to {trees[-1].tag}: kept free in printed/, give them with 'add'")
    lines += how_to_print(options, two_sided=plan.sides == 2)
    return Result(code, tuple(lines), data, (*tap.warnings, *problems), closing)


def _spare_trees(opened: Opened, count: int) -> list[Tree]:
    """Trees that do not exist yet, under the next free numbers: above every tag that is, was, or was printed spare."""
    from ..paper.tags import free_tags

    used = [tag for tree in opened.collection.trees for tag in (tree.tag, *tree.also)]
    used += printed.load_ledger(opened.folder).spare
    return [Tree(tag, (), path=f"trees/{tag}.yaml") for tag in free_tags(used, count)]


def _told(tags: list[Tag], opened: Opened) -> list[str]:
    smallest = min(tags, key=lambda tag: (tag.symbol.module, tag.symbol.level))
    lines = [
        f"codes: modules of {smallest.symbol.module:.2f} mm or more, error correction {smallest.symbol.level}",
    ]
    if not opened.collection.settings.link:
        lines.append("no link: in collection.yaml, so the codes hold the bare tag: a phone shows it as text")
    return lines


def _data(tag: Tag) -> TagData:
    return {
        "tag": tag.tree.tag,
        "code": tag.symbol.text,
        "module_mm": round(tag.symbol.module, 3),
        "level": tag.symbol.level,
    }
