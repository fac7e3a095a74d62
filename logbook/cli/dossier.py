"""Print one tree's dossier: identity, photos in time order, charts, the whole log, lines to sign on.

A bonsai outlives its grower: this is what the next one wants to know. --public leaves out where it stands, what it is worth, where
and whom it came from, its aim and remarks.

examples:
  benchleaf dossier 004 -o dossier.pdf
  benchleaf dossier 004 --public --layout dossier-letter
"""

from __future__ import annotations

import argparse

from ..collection.model import Tree
from ..diagnostics import counted
from ..storage.outputs import must_be_writable
from ..storage.printed import Record
from .common import Opened, json_argument, no_tree, open_collection, today_argument
from .printing import PaperData, Run, page_grid, print_arguments, print_out, sheet_layout, shift_of, where_told
from .results import Result

PHOTO_MM = 84.0


class DossierData(PaperData):
    """A printed dossier, and how many photos it shows."""

    photos: int


SHAPE = DossierData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("tag", help="the tree")
    parser.add_argument("--public", action="store_true", help="leave out place, value, provenance, aim and remarks")
    print_arguments(parser, "dossier.pdf")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Draw one tree's dossier, and tell where it went."""
    opened = open_collection(options)
    tree = opened.collection.tree(options.tag)
    if tree is None:
        raise no_tree(opened, options.tag)
    if not options.dry_run:
        must_be_writable(options.output)
    return draw(opened, tree, options)


def draw(opened: Opened, tree: Tree, options: argparse.Namespace) -> Result:
    """Draw the dossier of a tree as it is given here, which may tell less of it than its file does."""
    from ..paper.dossier import Dossier, dossier_pages
    from ..paper.imposition import impose
    from ..paper.photos import all_photos

    plan = sheet_layout(opened, options, "dossier", "dossier-a4", "dossier-letter")
    photos, problems = all_photos(opened.collection, tree, PHOTO_MM)
    settings = opened.collection.settings
    content = Dossier(opened.plans([tree])[0], settings, opened.knowledge, photos, options.public)
    pages = dossier_pages(content, plan)
    papers = impose(
        [(p, None) for p in pages],
        page_grid(plan, options.output),
        cut=False,
        two_sided=False,
        shift=shift_of(options),
    )
    tap = print_out(Run(opened), options, papers, f"dossier of {tree.tag}", Record(), titled=not options.public)
    lines = (f"dossier of {tree.tag}, {counted(tap.sides, 'page')}: {where_told(options, tap)}",)
    data: DossierData = {**tap.data, "photos": len(photos)}
    return Result(1 if problems else 0, lines, data, (*tap.warnings, *problems))
