"""Add one tree, or many from your own table. Adding the same again changes nothing.

examples:
  benchleaf add 014 --species "Larix kaempferi" --name "Ridge larch" --bench "east 2" --stage ramification
  benchleaf add 031 --from 014 --how layer
  benchleaf add --table trees.csv --dry-run
  benchleaf add --table trees.csv --yes
  benchleaf add --handover 014.zip --dry-run

A table needs a column that tells the species (botanical or common names, or just `maple`), and may have any others: number, name,
cultivar, where it stands, style, stage, health, last repotted, wired, acquired, height, trunk, crown, pot, aim, front, notes, value.
What can't be told is asked once; columns that nothing is known of are kept as keys of your own.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import NotRequired, TypedDict

from ..collection.model import Tree, tag_key
from ..collection.new_trees import COLUMNS, Checked, Ground, Row, checked, with_tally
from ..collection.yaml_editor import Value
from ..diagnostics import ProblemsFound, counted, stop
from ..horticulture.species_advice import said_of, written_name
from ..horticulture.species_names import named_in
from ..intake.service import refusals
from ..storage.store import Edit, Entries, NewFile, Store
from .add_handover import TreeArriving, take_in
from .add_table import RowWaiting, TableRead, questions_lines, table_arguments, table_read
from .asking import CellAsked
from .common import Opened, json_argument, no_tree, today_argument
from .results import DONE, PROBLEMS, QUESTION, Result
from .writing import writing

FROM_WAYS = ("layer", "cutting", "split", "seed", "graft")


class AddData(TypedDict):
    """Files of new trees, tags that were there already, and the parent of one that was taken from another.

    Of a table: what was understood of it, what is asked, and the rows that wait for an answer.
    """

    added: list[str]
    there: list[str]
    parent: str | None
    understood: dict[str, str]
    questions: list[CellAsked]
    waiting: list[RowWaiting]
    filed: NotRequired[bool]
    arriving: NotRequired[TreeArriving]


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
    parser.add_argument(
        "--handover", type=Path, metavar="FILE.zip", help="a tree from another garden, as 'handover' gave it there"
    )
    table_arguments(parser)
    parser.add_argument("--dry-run", action="store_true", help="tell what would be added; write nothing")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """Write the new trees, or the one taken from another, and tell them."""
    if not (options.table or options.tag or options.handover):
        raise stop(
            "give a tag with its species, or --table FILE.csv", hint="benchleaf add 014 --species 'Larix kaempferi'"
        )
    if options.handover and (options.table or options.parent or options.species):
        raise stop(
            "an archive brings its tree along: --handover goes with no --table, --from or --species",
            hint="give one after the other",
        )
    with writing(options) as (store, opened):
        if options.handover:
            return take_in(store, opened, options)
        if options.table:
            return _from_table(store, opened, options)
        if options.parent:
            return _taken_from(store, opened, options)
        return _one(store, opened, options)


def _given(options: argparse.Namespace) -> dict[str, str]:
    return {key: getattr(options, key) for key in COLUMNS if getattr(options, key)}


def _ground(store: Store, opened: Opened) -> Ground:
    return Ground(opened.collection, opened.knowledge, opened.today, lambda path: store.disk.read(path) is not None)


def _one(store: Store, opened: Opened, options: argparse.Namespace) -> Result:
    row = _named(Row(_given(options)), opened)
    done = checked(_ground(store, opened), [row])
    said = _said(options.species or "", opened)
    return _written(store, opened, options, done, said)


def _from_table(store: Store, opened: Opened, options: argparse.Namespace) -> Result:
    """The trees of a table. Nothing is written while something is asked or wrong, unless --yes or --only-good say how to go on."""
    table = table_read(options, opened)
    data = {
        "questions": table.questions(options.table),
        "waiting": table.waits(),
        "understood": dict(table.read.understood),
    }
    asks = questions_lines(table)
    try:
        done = _checked_table(_ground(store, opened), table, options)
    except ProblemsFound as found:
        told = (*store.told(), *table.lines, *asks)
        return Result(PROBLEMS, told, {**_EMPTY, **data}, tuple(found.problems))
    if table.read.questions and not (options.yes or options.only_good):
        told = (*store.told(), *table.lines, *asks, "nothing was written")
        return Result(QUESTION, told, {**_EMPTY, **data})
    said = [line for name in table.read.names for line in _said(name, opened)]
    result = _written(store, opened, options, done, said)
    problems = (*done.problems, *result.problems)
    code = result.code or (QUESTION if table.waiting else DONE)
    return Result(code, (*table.lines, *result.lines, *asks), {**result.data, **data}, problems)


def _checked_table(ground: Ground, table: TableRead, options: argparse.Namespace) -> Checked:
    """The rows checked, with the faults of reading before those of the rows. Raises ProblemsFound with all of them."""
    faults = list(table.read.problems)
    try:
        done = checked(ground, table.rows, only_good=options.only_good)
    except ProblemsFound as found:
        raise ProblemsFound([*faults, *found.problems]) from None
    if faults and not options.only_good:
        raise ProblemsFound(with_tally(faults))
    return replace(done, problems=(*(replace(fault, severity="warning") for fault in faults), *done.problems))


_EMPTY: AddData = {"added": [], "there": [], "parent": None, "understood": {}, "questions": [], "waiting": []}


def _written(store: Store, opened: Opened, options: argparse.Namespace, done: Checked, said: Sequence[str]) -> Result:
    edits = [NewFile(path, text) for path, text in done.texts.items()]
    outcome = store.commit(store.prepare(edits).all_or_none(), opened.today)
    problems = refusals(outcome)
    made = [path for path in done.texts if not outcome or path not in outcome.refused]
    told = f"{'would add' if options.dry_run else 'added'} {counted(len(made), 'tree')}"
    line = told + (f"; {len(done.there)} already there" if done.there else "")
    shown = [f"  {path}" for path in made] if len(made) <= 5 else []
    data = {**_EMPTY, "added": made, "there": list(done.there)}
    return Result(PROBLEMS if problems else DONE, (*store.told(), line, *shown, *said), data, problems)


def _is_own(species: str, opened: Opened) -> bool:
    return not species or bool(named_in(species, opened.collection.settings.species))


def _said(given: str, opened: Opened) -> list[str]:
    """What the grower should hear of how the species was taken; nothing where the name is plain, or their own."""
    return [] if _is_own(given, opened) else said_of(given, opened.knowledge.register.find(given))


def _named(row: Row, opened: Opened) -> Row:
    """The row with a common name put into botanical words; any other name stays as it was given."""
    given = str(row.values.get("species", ""))
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
    done = checked(_ground(store, opened), [_named(Row(given), opened)], origin)
    texts = done.texts
    _not_anothers(opened, options.tag, parent)
    edits: list[Edit] = [NewFile(path, text) for path, text in texts.items()]
    if not _names(parent, options.tag):
        edits.append(Entries(parent.path, [{"date": today, "new": options.tag}]))
    outcome = store.commit(store.prepare(edits).all_or_none(), opened.today)
    problems = refusals(outcome)
    made = [path for path in texts if not outcome or path not in outcome.refused]
    told = "would add" if options.dry_run else "added" if made else "did not add"
    line = f"{told} {options.tag}, {options.how} of {parent.tag}" if texts else f"{options.tag} is there already"
    data = {**_EMPTY, "added": made, "there": list(done.there), "parent": parent.tag}
    return Result(PROBLEMS if problems else DONE, (*store.told(), line), data, problems)


def _names(tree: Tree, tag: str) -> bool:
    """Whether a tree's log says that this one was taken from it."""
    return any(tag_key(tag) in map(tag_key, entry.new) for entry in tree.log if tree.was_here(entry))


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
