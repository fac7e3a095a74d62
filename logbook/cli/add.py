"""Add one tree, or many from a CSV table. Adding the same again changes nothing.

examples:
  benchleaf add 014 --species "Larix kaempferi" --name "Ridge larch" --bench "east 2" --stage ramification
  benchleaf add 031 --from 014 --how layer
  benchleaf add --table trees.csv

a table's first row names its columns: tag and species (or group), and any of name, cultivar, bench, style, started,
aim, front, stage, vigour, repotted. Faults are told by row and column, and then nothing is written.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TypedDict

from ..collection.model import Tree, tag_key
from ..collection.new_trees import COLUMNS, Ground, Row, checked, read_table
from ..collection.yaml_editor import Value
from ..diagnostics import counted, stop
from ..horticulture.species_advice import said_of, written_name
from ..horticulture.species_names import named_in
from ..intake.service import refusals
from ..storage.store import Edit, Entries, NewFile, Store
from .common import Opened, json_argument, no_tree, today_argument
from .results import DONE, PROBLEMS, Result
from .writing import writing

FROM_WAYS = ("layer", "cutting", "split", "seed", "graft")


class AddData(TypedDict):
    """Files of new trees, tags that were there already, and the parent of one that was taken from another."""

    added: list[str]
    there: list[str]
    parent: str | None


SHAPE = AddData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("tag", nargs="?", help="the new tree's tag")
    for key in COLUMNS[1:]:
        parser.add_argument(f"--{key}", metavar=key.upper())
    parser.add_argument(
        "--from", dest="parent", metavar="TAG", help="the tree it was taken from; its log says so too"
    )
    parser.add_argument("--how", choices=FROM_WAYS, default="layer", help="how it was taken (default: layer)")
    parser.add_argument("--table", type=Path, metavar="FILE.csv", help="many trees from a table")
    parser.add_argument("--dry-run", action="store_true", help="tell what would be added; write nothing")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Write the new trees, or the one taken from another, and tell them."""
    if not (options.table or options.tag):
        raise stop(
            "give a tag with its species, or --table FILE.csv", hint="benchleaf add 014 --species 'Larix kaempferi'"
        )
    with writing(options) as (store, opened):
        if options.table:
            return _added(store, opened, options, read_table(options.table))
        if options.parent:
            return _taken_from(store, opened, options)
        return _added(store, opened, options, [Row(_given(options))])


def _given(options: argparse.Namespace) -> dict[str, str]:
    return {key: getattr(options, key) for key in COLUMNS if getattr(options, key)}


def _ground(store: Store, opened: Opened) -> Ground:
    return Ground(opened.collection, opened.knowledge, opened.today, lambda path: store.disk.read(path) is not None)


def _added(store: Store, opened: Opened, options: argparse.Namespace, rows: list[Row]) -> Result:
    texts, there = checked(_ground(store, opened), [_named(row, opened) for row in rows])
    edits = [NewFile(path, text) for path, text in texts.items()]
    outcome = store.commit(store.prepare(edits).all_or_none(), opened.today)
    problems = refusals(outcome)
    made = [path for path in texts if not outcome or path not in outcome.refused]
    done = f"{'would add' if options.dry_run else 'added'} {counted(len(made), 'tree')}"
    line = done + (f"; {len(there)} already there" if there else "")
    shown = [f"  {path}" for path in made] if len(made) <= 5 else []
    said = dict.fromkeys(words for row in rows for words in _said(row, opened))
    data: AddData = {"added": made, "there": there, "parent": None}
    return Result(PROBLEMS if problems else DONE, (*store.told(), line, *shown, *said), data, problems)


def _is_own(species: str, opened: Opened) -> bool:
    return not species or bool(named_in(species, opened.collection.settings.species))


def _said(row: Row, opened: Opened) -> list[str]:
    """What the grower should hear of how the species was taken; nothing where the name is plain, or their own."""
    given = row.values.get("species", "")
    return [] if _is_own(given, opened) else said_of(given, opened.knowledge.register.find(given))


def _named(row: Row, opened: Opened) -> Row:
    """The row with a common name put into botanical words; any other name stays as it was given."""
    given = row.values.get("species", "")
    if _is_own(given, opened):
        return row
    return replace(row, values={**row.values, "species": written_name(given, opened.knowledge.register.find(given))})


def _taken_from(store: Store, opened: Opened, options: argparse.Namespace) -> Result:
    """A layer, cutting or division: its own file, with its parent's species, and a line in the parent's log."""
    parent = opened.collection.tree(options.parent)
    if parent is None:
        raise no_tree(opened, options.parent)
    given = _given(options)
    if not ({"species", "group"} & set(given)):
        given |= {k: v for k in ("species", "cultivar", "group") if (v := getattr(parent, k))}
    today = opened.today.isoformat()
    origin: dict[str, Value] = {"kind": options.how, "date": today, "parent": parent.tag}
    texts, there = checked(_ground(store, opened), [_named(Row(given), opened)], origin)
    _not_anothers(opened, options.tag, parent)
    edits: list[Edit] = [NewFile(path, text) for path, text in texts.items()]
    if not _names(parent, options.tag):
        edits.append(Entries(parent.path, [{"date": today, "new": options.tag}]))
    outcome = store.commit(store.prepare(edits).all_or_none(), opened.today)
    problems = refusals(outcome)
    made = [path for path in texts if not outcome or path not in outcome.refused]
    done = "would add" if options.dry_run else "added" if made else "did not add"
    line = f"{done} {options.tag}, {options.how} of {parent.tag}" if texts else f"{options.tag} is there already"
    data: AddData = {"added": made, "there": there, "parent": parent.tag}
    return Result(PROBLEMS if problems else DONE, (*store.told(), line), data, problems)


def _names(tree: Tree, tag: str) -> bool:
    """Whether a tree's log says that this one was taken from it."""
    return any(tag_key(tag) in map(tag_key, entry.new) for entry in tree.log)


def _not_anothers(opened: Opened, tag: str, parent: Tree) -> None:
    """Raises ProblemsFound where the tree was taken from another one: a tree has one parent."""
    child = opened.collection.tree(tag)
    said = child.origin.parent if child and child.origin else ""
    claims = [t.tag for t in opened.collection.trees if t.tag != parent.tag and _names(t, tag)]
    claims += [said] if said and tag_key(said) != tag_key(parent.tag) else []
    if claims:
        raise stop(
            f"{tag} was taken from {claims[0]}, not from {parent.tag}",
            hint="take another tag, or edit the files by hand",
        )
