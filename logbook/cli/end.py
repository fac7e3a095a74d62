"""Say that a tree has left the collection: its file and its tag stay, nothing is due for it any more, nor printed unless you name it.

examples:
  benchleaf end 005 --how died --date 2027-01-14
  benchleaf end 015 --how merged --into 012
  benchleaf end 011 --how given --note "to the neighbour, with its sheet"
"""

from __future__ import annotations

import argparse
from typing import Any

from ..collection.fields import ENDINGS
from ..collection.model import Tree
from ..collection.yaml_editor import Value, replace_file, with_entries, with_key
from ..diagnostics import stop
from .common import Opened, a_day, json_argument, near_tags, no_tree, open_collection, the_day, today_argument
from .locking import locked
from .results import Result


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("tag", help="the tree")
    parser.add_argument("--how", choices=ENDINGS, required=True, help="how it left")
    parser.add_argument("--into", metavar="TAG", help="with --how merged: the planting it stands in now")
    parser.add_argument("--date", type=a_day, metavar="DATE", help="when (default: today)")
    parser.add_argument("--note", default="", help="a remark")
    parser.add_argument("--dry-run", action="store_true", help="show the line; write nothing")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    opened = open_collection(options)
    tree = opened.collection.tree(options.tag)
    if tree is None:
        raise no_tree(opened, options.tag)
    if tree.ended is not None:
        raise stop(
            f"tree {tree.tag} has left already: {tree.ended.how} {tree.ended.date.told()}",
            path=tree.path,
            hint="edit its 'ended:' line if that is wrong",
        )
    ended: dict[str, Any] = {"date": (options.date or the_day(options)).isoformat(), "how": options.how}
    ended |= {"note": options.note} if options.note else {}
    path, other = opened.folder / tree.path, _into(opened, options, tree)
    with locked(opened.folder):
        text = with_key(path.read_bytes().decode("utf-8"), tree.path, "ended", ended)
        grown = ""
        if other is not None:
            entry: dict[str, Value] = {"date": ended["date"], "merged": tree.tag}
            grown = with_entries((opened.folder / other.path).read_bytes().decode("utf-8"), other.path, [entry])
        if not options.dry_run:
            replace_file(path, text)
            if other is not None:
                replace_file(opened.folder / other.path, grown)
    told = f"{tree.tag} {tree.name or tree.full_name}: {options.how} {ended['date']}"
    more = (
        "nothing written (--dry-run)"
        if options.dry_run
        else f"written into {tree.path}; its tag is never given again"
    )
    return Result(lines=(told, more), data={"tag": tree.tag, "path": tree.path, "ended": ended})


def _into(opened: Opened, options: argparse.Namespace, tree: Tree) -> Tree | None:
    """The planting a merged tree stands in from now on. Raises ProblemsFound where that is no other tree."""
    if not options.into:
        return None
    if options.how != "merged":
        raise stop(f"a tree that was {options.how} is not in another", hint="--into goes with --how merged")
    other = opened.collection.tree(options.into)
    if other is None or other.tag == tree.tag:
        raise stop(f"there is no other tree {options.into}", hint=near_tags(opened.collection, options.into))
    return other
