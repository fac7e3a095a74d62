"""From what a phone read off a code, a tag, a serial or a name, to the tree's file; or from what is seen of a tree that lost its tag.

Only the last part of a link counts. Of a description (species by any name, bench, sizes) the trees that fit best are told, and how surely.

examples:
  benchleaf find larch, east 1, trunk 30
  benchleaf find https://trees.example.org/trees/014.yaml
  benchleaf find 014
  benchleaf find 00142-4
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from typing import TypedDict
from urllib.parse import unquote, urlsplit

from ..collection.model import Collection, Tree
from ..diagnostics import ProblemsFound, stop
from ..storage.printed import load_ledger, serial_in
from .common import is_bare, json_argument, left_out, near_tags, open_collection, open_for, today_argument
from .find_by_sight import SHOWN, found_by_sight
from .results import Result, table


class FoundTree(TypedDict):
    """A tree that a text leads to."""

    tag: str
    name: str
    file: str


class FindData(TypedDict):
    """The trees that a text leads to."""

    trees: list[FoundTree]


SHAPE = FindData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument(
        "text", nargs="+", help="the code's text, a tag, a sheet's serial, a name, or what is seen of the tree"
    )
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """The trees that a code, a tag or a serial names."""
    text = " ".join(options.text).strip()
    tag = next((one for one in _tags_in(text) if is_bare(one)), "")
    opened = open_for(options, tag, alone=True) if tag else open_collection(options)
    problems, closing, code = left_out(opened)
    try:
        trees = found(text, opened.collection, opened.folder)
    except ProblemsFound:
        sight = found_by_sight(text, opened)
        if not sight.likely:
            raise
        lines = [*table(sight.rows(opened), ["tag", "name", "species", "bench", ""]), sight.how_sure()]
        return Result(code, tuple(lines), _data([one.tree for one in sight.likely[:SHOWN]]), problems, closing)
    return Result(code, tuple(t.path for t in trees), _data(trees), problems, closing)


def _data(trees: Sequence[Tree]) -> FindData:
    return {"trees": [{"tag": t.tag, "name": t.name, "file": t.path} for t in trees]}


def _tags_in(text: str) -> list[str]:
    """What may be a tag in a text: the last part of a link, or all of it."""
    try:
        link = urlsplit(text)
    except ValueError:
        link = urlsplit("")
    last = unquote(re.split(r"[/\\]", link.path.rstrip("/\\"))[-1])
    return [last.removesuffix(".yaml").removesuffix(".yml"), last, text]


def found(text: str, collection: Collection, folder: object) -> list[Tree]:
    """The trees a text leads to. Raises ProblemsFound where it leads nowhere."""
    from pathlib import Path

    candidates = _tags_in(text)
    for tag in candidates:
        tree = collection.tree(tag)
        if tree is not None:
            return [tree]
    named = [t for t in collection.trees if t.name and t.name.casefold() == text.casefold()]
    if named:
        return named
    bare = [t for t in collection.trees if text.isdecimal() and t.tag.lstrip("0") == text.lstrip("0")]
    if len(bare) == 1:
        return bare
    serial = serial_in(text)[0]
    sheet = load_ledger(Path(str(folder))).sheets.get(serial)
    if sheet is not None:
        return [tree for tag in sheet.tags if (tree := collection.tree(tag)) is not None]
    raise stop(f"'{text}' leads to no tree of this collection", hint=near_tags(collection, candidates[0]))
