"""Say that a tree has left the collection: its file and its tag stay, nothing is due for it any more, nor printed unless you name it.

examples:
  benchleaf end 005 --how died --date 2027-01-14
  benchleaf end 015 --how merged --into 012
  benchleaf end 011 --how given --note "to the neighbour, with its sheet"
"""

from __future__ import annotations

import argparse
from typing import TypedDict

from ..collection.fields import ENDINGS
from ..collection.model import Ended, Tree
from ..collection.yaml_editor import Value
from ..diagnostics import ProblemsFound, stop
from ..intake.service import refusals
from ..storage.store import Entries
from .common import Opened, a_day, json_argument, near_tags, no_tree, today_argument
from .results import DONE, PROBLEMS, Result
from .writing import writing


class EndData(TypedDict):
    """A tree that left: its file, and what was written there."""

    tag: str
    path: str
    ended: dict[str, object]


SHAPE = EndData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("tag", help="the tree")
    parser.add_argument("--how", choices=ENDINGS, required=True, help="how it left")
    parser.add_argument("--into", metavar="TAG", help="with --how merged: the planting it stands in now")
    parser.add_argument("--date", type=a_day, metavar="DATE", help="when (default: today)")
    parser.add_argument("--note", default="", help="a remark")
    parser.add_argument("--dry-run", action="store_true", help="show the line; write nothing")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Write how a tree left into its file. Raises ProblemsFound where there is no such tree."""
    with writing(options) as (store, opened):
        tree = opened.collection.tree(options.tag)
        if tree is None:
            raise no_tree(opened, options.tag)
        ended: dict[str, Value] = {"date": (options.date or opened.today).isoformat(), "how": options.how}
        ended |= {"note": options.note} if options.note else {}
        other = _into(opened, options, tree)
        edits = [Entries(tree.path, keys={"ended": ended})]
        edits += [Entries(other.path, [{"date": ended["date"], "merged": tree.tag}])] if other else []
        prepared = store.prepare(edits)
        if tree.path in prepared.refused and tree.ended is not None:
            raise _left(tree, tree.ended)
        problems = refusals(store.commit(prepared.all_or_none(), opened.today))
    told = f"{tree.tag} {tree.name or tree.full_name}: {options.how} {ended['date']}"
    if options.dry_run:
        more = "nothing written (--dry-run)"
    elif problems:
        more = f"nothing was written into {tree.path}: run it again"
    elif prepared.changes:
        more = f"written into {tree.path}; its tag is never given again"
    else:
        more = f"{tree.path} says so already; its tag is never given again"
    data: EndData = {"tag": tree.tag, "path": tree.path, "ended": dict(ended)}
    return Result(PROBLEMS if problems else DONE, (*store.told(), told, more), data, problems)


def _left(tree: Tree, ended: Ended) -> ProblemsFound:
    return stop(
        f"tree {tree.tag} has left already: {ended.how} {ended.date.told()}",
        path=tree.path,
        hint="edit its 'ended:' line if that is wrong",
    )


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
