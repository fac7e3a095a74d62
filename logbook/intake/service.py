"""Typed notes from end to end: planned, kept, written and accounted for. No terminal is needed.

files = sort_files([("saturday.txt", raw)], day=lambda: "")
notes = archive.keep_text(store.disk, files.raw, context.today)
made = plan_notes(context, store.disk, decoded_notes(files.raw, "saturday.txt", notes))
filed = carry_out(store, made, notes, context.today)
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Protocol

from ..collection.model import Collection, Tree, tag_key
from ..collection.splicing import edited_since
from ..collection.tree_folder import tree_paths
from ..collection.tree_text import tree_context
from ..collection.yaml_editor import Value
from ..diagnostics import Problem, counted, stop
from ..horticulture.knowledge import Knowledge
from ..storage.batch import Outcome
from ..storage.disk import Disk
from ..storage.journal import KEPT, Journal
from ..storage.printed import Ledger, load_ledger
from ..storage.store import KEEPSAKE, Entries, Store
from ..values import dataclass
from . import archive, line_status
from .grammar.headers import Grammar, Known
from .grammar.lines import read_notes
from .grammar.readings import Reading
from .grammar.tokens import date_inside, leading_date
from .log_table import AsNotes, told_by
from .mended import as_typed, mended_in
from .one_entry import ticked_in
from .plan import entry_reader, plan
from .plan_items import Item, Plan, PlanContext
from .questions import Reread
from .trays import count_of


class Context(Protocol):
    """What notes are read against: a collection with the words of the trade, and the day."""

    @property
    def folder(self) -> Path:
        """The collection's folder."""
        ...

    @property
    def collection(self) -> Collection:
        """What was read from it."""
        ...

    @property
    def knowledge(self) -> Knowledge:
        """What growers know, with the collection's own laid over it."""
        ...

    @property
    def today(self) -> date:
        """The day it is."""
        ...


@dataclass(frozen=True, slots=True)
class Filed:
    """A plan after it was carried out: items of files that refused are left over now."""

    plan: Plan
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Standing:
    """How all typed lines stand after a run: what waits, the audit, and what is odd about the records themselves."""

    waiting: tuple[line_status.Waiting, ...]
    audit: line_status.Audit
    doubts: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Ahead:
    """What an undo would meet: files that can't be handled, and entries or keys that no longer stand word for word."""

    blocked: tuple[Problem, ...] = ()
    edited: tuple[tuple[str, Mapping[str, Value]], ...] = ()


# -- the plan ------------------------------------------------------------------------------------------------------


def plan_notes(context: Context, disk: Disk, text: str, *, take_new: bool = False) -> Plan:
    """What every line of the notes leads to. Writes nothing."""
    ledger = load_ledger(context.folder)
    against = plan_context(context, disk, ledger, take_new=take_new)
    readings, mends = read_notes(text, _grammar(context, ledger)), mended_in(disk, text)
    if mends:
        readings = [replace(r, mends=r.mends or mends.get(r.number)) for r in readings]
    return plan(against, as_typed(readings, disk))


def listener(context: Context, disk: Disk, *, take_new: bool = False) -> Callable[[str], Plan]:
    """Plans one text after another against a collection that stays as it is; what was printed and kept is read once."""
    ledger = load_ledger(context.folder)
    grammar = _grammar(context, ledger)
    against = plan_context(context, disk, ledger, take_new=take_new)
    return lambda text: plan(against, read_notes(text, grammar))


def plan_log(context: Context, disk: Disk, table: AsNotes, name: str) -> Plan:
    """What every row of a table of earlier years leads to; its entries say which row of which file they are of."""
    ledger = load_ledger(context.folder)
    against = plan_context(context, disk, ledger)
    shown = re.sub(r"[\s:]+", "_", name)[-60:]
    return plan(against, told_by(table, read_notes(table.text, _grammar(context, ledger)), shown))


def _grammar(context: Context, ledger: Ledger) -> Grammar:
    collection = context.collection
    settings = collection.settings
    site = settings.site
    return Grammar(
        context.knowledge,
        ledger,
        settings.date_order or None,
        settings.units,
        frozenset(tag_key(t) for tree in collection.trees for t in (tree.tag, *tree.also)) | _broken(context),
        {tree.name.casefold(): tree.tag for tree in collection.trees if tree.name},
        trees={tag_key(t): _known_of(tree) for tree in collection.trees for t in (tree.tag, *tree.also)},
        benches=_benches(collection),
        southern=site is not None and site.southern,
        partial=True,
        ticked={tag_key(tree.tag): ticked_in(tree.log, tree.tag, ledger) for tree in collection.trees},
    )


def _benches(collection: Collection) -> frozenset[str]:
    """Where trees stand or stood, and the places that the collection's own file names."""
    logged = {entry.bench for tree in collection.trees for entry in tree.log if entry.bench and tree.was_here(entry)}
    return frozenset(
        {tree.bench for tree in collection.trees if tree.bench} | logged | set(collection.settings.places)
    )


def _known_of(tree: Tree) -> Known:
    """What the grammar must know of a tree: its branches by table and log, and how many a tray counts."""
    named = {b.id for b in tree.branches} | {b for entry in tree.log for b in entry.branches}
    return Known(frozenset(named) if tree.branches else None, count_of(tree, tree.log))


def plan_context(
    context: Context, disk: Disk, ledger: Ledger | None = None, *, take_new: bool = False
) -> PlanContext:
    """What typed lines are read against: the collection as it is on this disk."""
    reader = entry_reader(tree_context(context.collection.settings, context.knowledge))
    return PlanContext(
        context.collection,
        archive.history(disk),
        context.today,
        reader,
        take_new,
        _broken(context),
        context.knowledge,
        load_ledger(context.folder) if ledger is None else ledger,
    )


def rereader(context: Context, disk: Disk) -> Reread:
    """Makes items of a line typed anew in the place of another: under its header, with its number and its old words kept.

    With a `tag` it is a line of that tree, without the row of the sheet that it stood on.
    """
    planned = listener(context, disk)

    def reread(item: Item, text: str, tag: str = "") -> list[Item]:
        old = item.reading
        own = old.line and text.split(" ")[0].casefold() == old.line.casefold()
        ident, _, rest = text.partition(" ") if own else (old.line, "", text)
        line = f"{'' if tag else ident} {_with_day(old, rest, context)}".strip()
        made = planned(f"{f'tree {tag}' if tag else archive.header_told(old)}\n{line}\n").items
        return [replace(i, reading=replace(i.reading, number=old.number, text=old.text)) for i in made]

    return reread


def _with_day(old: Reading, text: str, context: Context) -> str:
    """The words with the day of the line they are typed for, where they have none of their own."""
    settings = context.collection.settings
    order = settings.date_order or ("month-day" if settings.units.us else None)
    own = leading_date(text, order, True) or date_inside(text, order, True)[0]
    return text if own or old.date is None or old.date.bad else f"{old.date.words} {text}"


def _broken(context: Context) -> frozenset[str]:
    """Tags of files that are there but can't be used."""
    sound = {t.path for t in context.collection.trees}
    return frozenset(tag_key(p.stem) for p in tree_paths(context.folder) if f"trees/{p.name}" not in sound)


# -- to the disk and back ------------------------------------------------------------------------------------------


def carry_out(store: Store, made: Plan, notes: str, day: date) -> Filed:
    """Write what the plan wants written, all of it or what can be; the rest waits with its reason."""
    prepared = store.prepare(_edits(made))
    refusing = [path for path in prepared.refused if path in made.amendments and path not in prepared.unread]
    blocked = {path: prepared.refused[path] for path in refusing}
    if blocked:  # entries can't be added to: the others of the file need not wait for them
        made = _without_amendments(made, blocked)
        prepared = store.prepare(_edits(made))
    made = _left_over(made, prepared.refused)
    rows = archive.fates(made)
    outcome = store.commit(prepared, day, notes, rows)
    if outcome is None:
        archive.note_down(store.disk, notes, rows, day)
        return Filed(made, prepared.problems)
    return Filed(_left_over(made, outcome.refused), (*prepared.problems, *refusals(outcome)))


def _edits(made: Plan) -> list[Entries]:
    new, more, ended = made.edits, made.amendments, made.endings
    paths = dict.fromkeys((*new, *more, *ended))
    return [Entries(p, new.get(p, ()), ended.get(p, {}), more.get(p, ())) for p in paths]


def _without_amendments(made: Plan, blocked: Mapping[str, str]) -> Plan:
    """What was to be told more of entries waits with the reason; a line that only adds where it came from is there anyway."""
    return Plan(tuple(_not_amended(item, blocked) for item in made.items))


def _not_amended(item: Item, blocked: Mapping[str, str]) -> Item:
    if not item.amendment or item.path not in blocked:
        return item
    if item.fate != "write":
        return replace(item, amendment={})
    hint = "add it to that entry by hand"
    return replace(item, fate="left over", why=blocked[item.path], hint=hint, amendment={})


def refusals(outcome: Outcome | None) -> tuple[Problem, ...]:
    """What a batch left undone, file by file, and what it found in its way."""
    if outcome is None:
        return ()
    undone = [Problem(f"{path} can't be written: {why}") for path, why in outcome.refused.items()]
    return (*undone, *keepsakes(outcome))


def keepsakes(outcome: Outcome) -> tuple[Problem, ...]:
    """Texts that an editor saved in the very moment of a run, and that could go neither in nor away."""
    hint = "look whether the file of the tree has all of it; what it lacks is to be put in by hand"
    return tuple(Problem(f"{KEEPSAKE}: {KEPT}/{n}", hint=hint, severity="warning") for n in outcome.kept)


def _left_over(made: Plan, refused: Mapping[str, str]) -> Plan:
    items = tuple(
        replace(i, fate="left over", why=refused[i.path]) if i.fate == "write" and i.path in refused else i
        for i in made.items
    )
    return Plan(items)


def standing(context: Context, disk: Disk) -> Standing:
    """What waits, and whether every typed line is accounted for."""
    audit = line_status.audit(disk)
    doubts = (*load_ledger(context.folder).problems, *archive.damaged(disk), *_unbalanced(audit))
    return Standing(tuple(line_status.waiting(disk)), audit, doubts)


def _unbalanced(audit: line_status.Audit) -> list[Problem]:
    if audit.balanced:
        return []
    named = ", ".join(f"{name} line {number}" for name, number in audit.astray[:5])
    return [Problem(f"the audit does not balance: {audit.summary()}; astray: {named}", severity="warning")]


def look_ahead(store: Store, last: Journal) -> Ahead:
    """Try an undo without writing."""
    ahead = store.look_ahead(last)
    edited = [
        (change.path, entry)
        for change, text in ahead.texts
        if change.kind == "entries"
        for entry in edited_since(text, change)
    ]
    return Ahead(ahead.blocked, tuple(edited))


def take_back(store: Store, last: Journal, day: date, stay: frozenset[str] = frozenset()) -> Outcome:
    """Undo a batch, but for the pictures that stay; what its notes wrote may be typed again."""
    return store.undo(last, day, archive.undone(last), stay)


def dismiss(store: Store, numbers: Sequence[int], day: date) -> None:
    """Set waiting lines aside for good, by their numbers in the list. Raises ProblemsFound for a number that is none."""
    rows = line_status.waiting(store.disk)
    for number in numbers:
        if not 1 <= number <= len(rows):
            raise stop(
                f"no waiting line has the number {number}",
                hint=f"there are {counted(len(rows), 'line')}: see benchleaf waiting",
            )
    store.settle(day, *archive.dismissal([(n, rows[n - 1]) for n in numbers], day))


def dismissed_before(store: Store, numbers: Sequence[int]) -> bool:
    """Whether the same was asked by a run that was cut short and is finished now: the numbers are those of its list."""
    found = [o.journal.rows for o in store.finished if not o.journal.changes]
    return any([row.get("nth") for row in rows] == list(numbers) for rows in found)
