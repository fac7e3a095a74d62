"""From readings to a plan: what to write, what is there already, what must be asked, what is left over. Pure.

`plan` takes a collection, the ledger, the history of earlier notes and the readings; it touches no file. The same
line typed twice changes nothing; a line that was written and then removed by hand is never brought back silently.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Literal

from ..collection.dates import When, on_day, read_when
from ..collection.entry_text import render_entry
from ..collection.fields.entry import entry_of
from ..collection.kinds import Context
from ..collection.load import read_tree
from ..collection.model import NOWHERE, Collection, Entry, Tree
from ..collection.yaml_editor import Value, entry_text
from ..collection.yaml_reader import Document
from ..diagnostics import Problem
from ..horticulture.knowledge import Knowledge
from ..horticulture.loader import shipped_knowledge
from ..storage.printed import Ledger
from .days import Day, day_of
from .grammar.details import Fields
from .grammar.readings import Reading
from .line_names import key_of, next_source, source_of, words_of
from .log_as_read import Log, content_of, lines_of, log_for
from .one_entry import covers, is_ticked, more_of, same_doing, ticked_day
from .plausibility import NO_WIRE, Doubt, first_doubt, same_again, wire_is_on
from .ticks import joined
from .trays import counted_down

Fate = Literal["write", "there", "question", "left over", "dismissed"]
UNSETTLED: tuple[Fate, ...] = ("question", "left over")


@dataclass(frozen=True, slots=True)
class Item:
    """One entry a line makes for one tree, and its fate. `key` names it for ever: tag, sheet line, or tag and words."""

    reading: Reading
    fate: Fate
    tag: str = ""
    key: str = ""
    told: str = ""
    entry: Mapping[str, Value] = field(default_factory=dict)
    why: str = ""
    hint: str = ""
    path: str = ""
    kind: str = ""
    amendment: Mapping[str, Value] = field(default_factory=dict)
    ended: Mapping[str, Value] = field(default_factory=dict)

    @property
    def partly(self) -> bool:
        """Whether something was read of the line and the rest is kept as its remark."""
        return self.reading.partly and "note" in self.entry and bool(set(self.entry) - {"date", "note", "from"})


@dataclass(frozen=True, slots=True)
class Plan:
    """What typed lines lead to, in their order."""

    items: tuple[Item, ...]

    def of(self, fate: Fate) -> tuple[Item, ...]:
        """The items of one fate."""
        return tuple(i for i in self.items if i.fate == fate)

    @property
    def edits(self) -> dict[str, list[Mapping[str, Value]]]:
        """Entries to write by the path of the tree's file, in the order of the lines."""
        edits: dict[str, list[Mapping[str, Value]]] = {}
        for item in self.of("write"):
            if not item.amendment:
                edits.setdefault(item.path, []).append(item.entry)
        return edits

    @property
    def endings(self) -> dict[str, dict[str, Value]]:
        """Keys that close the record of a tree, by the path of its file."""
        return {item.path: {"ended": item.ended} for item in self.of("write") if item.ended}

    @property
    def amendments(self) -> dict[str, list[Mapping[str, Value]]]:
        """What is told more of entries that stand, by the path of the tree's file."""
        found: dict[str, list[Mapping[str, Value]]] = {}
        for item in self.items:
            if item.amendment and item.fate in ("write", "there"):
                found.setdefault(item.path, []).append(item.amendment)
        return found


@dataclass(frozen=True, slots=True)
class History:
    """What earlier notes led to: for each key, the words that were typed and written."""

    written: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Desk:
    """What planning needs besides the readings; `read_entry` reads entry text as the collection would."""

    collection: Collection
    history: History
    today: date
    read_entry: Callable[[str], Entry | Problem]
    take_new: bool = False
    broken: frozenset[str] = frozenset()
    knowledge: Knowledge = field(default_factory=shipped_knowledge)
    ledger: Ledger = field(default_factory=Ledger)

    @property
    def southern(self) -> bool:
        """Whether the site is in the southern hemisphere."""
        site = self.collection.settings.site
        return site is not None and site.southern


def plan(desk: Desk, readings: Iterable[Reading]) -> Plan:
    """Give every reading its fate. Later lines see what earlier ones will have written."""
    logs: dict[str, Log] = {}
    items: list[Item] = []

    def day(reading: Reading) -> Day:
        return day_of(reading, desk.today, desk.southern)

    together = joined(tuple(readings), day, lambda tick: _is_in_log(desk, tick))
    for place, reading in enumerate(together.readings):
        if place in together.into:
            items += [_laid_into(reading, tag, together.into[place]) for tag in reading.tags]
        if place not in together.into or reading.parts:
            items += _fates(desk, reading, logs)
    return Plan(tuple(_judged_again(desk, item, logs) for item in items))


def _is_in_log(desk: Desk, tick: Reading) -> bool:
    """Whether a tick was written in an earlier run: its own entry stands, and keeps standing."""
    tree = desk.collection.tree(tick.tags[0])
    source = source_of(tick, 0)
    return tree is not None and bool(source) and any(source in lines_of(e.sources) for e in tree.log)


def _laid_into(tick: Reading, tag: str, number: int) -> Item:
    """A tick whose work a line of the same notes tells: that line's entry is its own as well.

    What ties both to one entry is the line's source alone; an entry that names several would be spliced here.
    """
    source = source_of(tick, 0)
    job = tick.sheet.job(tick.line) if tick.sheet else None
    told = f"{tick.line}: {job.work}" if job else tick.text
    return Item(tick, "there", tag, key_of(tick, tag, source, 0), told=told, why=f"with line {number}")


def _judged_again(desk: Desk, item: Item, logs: Mapping[str, Log]) -> Item:
    """Wire that a later line puts on lets an earlier one take it off: doubts about wire are judged on the whole run."""
    if item.kind != NO_WIRE or item.fate != "question":
        return item
    tree = desk.collection.tree(item.tag)
    model = desk.read_entry(entry_text(item.entry))
    if tree is None or isinstance(model, Problem):
        return item
    doubt = first_doubt(model, tree, logs[tree.tag].entries, desk.collection.settings.units, desk.knowledge)
    return item if doubt else replace(item, fate="write", why="", hint="", kind="")


def entry_reader(context: Callable[[Document], Context]) -> Callable[[str], Entry | Problem]:
    """Reads one entry's text through the collection's own table, so that what is written is what would be read."""

    def read(text: str) -> Entry | Problem:
        tree, problems = read_tree(f'tag: "0"\ngroup: maple\nlog:\n  - {text}\n', "entry", context)
        if tree is None or problems:
            return problems[0]
        return replace(tree.log[0], place=NOWHERE)

    return read


def _fates(desk: Desk, reading: Reading, logs: dict[str, Log]) -> list[Item]:
    if reading.fault:
        own = reading.sheet is not None and reading.line and len(reading.tags) == 1
        tag = reading.tags[0] if own else ""
        key = key_of(reading, tag, source_of(reading, 0), 0) if own else ""
        return [Item(reading, "left over", tag, key, why=reading.fault, hint=reading.hint)]
    if reading.nothing:
        return [_settled(reading, tag) for tag in reading.tags]
    day = day_of(reading, desk.today, desk.southern)
    items: list[Item] = []
    for tag in reading.tags:
        tree = desk.collection.tree(tag)
        if tree is None:
            items.append(replace(_no_tree(desk, reading, tag), key=key_of(reading, tag, source_of(reading, 0), 0)))
            continue
        key = key_of(reading, tree.tag, source_of(reading, 0), 0)
        if (day.when is None or reading.unread) and _typed_already(desk, reading, log_for(tree, logs)):
            items.append(Item(reading, "there", tree.tag, key, told=reading.text, why="typed before"))
            continue
        when = None if reading.unread else day.when or ticked_day(reading, tree, desk.ledger)
        if when is None:
            why, hint = (reading.question, reading.hint) if reading.unread else (day.why, day.hint)
            items.append(Item(reading, "question", tree.tag, key, why=why, hint=hint))
            continue
        doubt = (day.why, day.hint) if day.when else ("", "")
        items += _entries(desk, reading, tree, when, doubt, log_for(tree, logs))
    return items


def _settled(reading: Reading, tag: str) -> Item:
    """A place on which nothing stands, or a header that was mended: what waited for it has its answer."""
    key = key_of(reading, tag, source_of(reading, 0), 0) if reading.sheet else ""
    told = f"{reading.line}: nothing stands there" if reading.sheet else "header"
    return Item(reading, "there", tag, key, told=told, why="" if reading.sheet else "mended")


def _typed_already(desk: Desk, reading: Reading, log: Log) -> bool:
    """A line of a sheet that the log has: whatever it said where it is unread, else the same but for the day that is missing."""
    source = source_of(reading, 0)
    if not source or (reading.date and not reading.unread):
        return False
    stood = [e for e in log.entries if source in lines_of(e.sources)]
    if reading.unread:
        return bool(stood)
    return bool(reading.parts) and all(
        any(_but_for_the_day(desk, part, entry) for entry in stood) for part in reading.parts
    )


def _but_for_the_day(desk: Desk, part: Fields, entry: Entry) -> bool:
    made = desk.read_entry(
        entry_text(entry_of(part, on_day(entry.date.earliest), "", desk.collection.settings.units))
    )
    return isinstance(made, Entry) and content_of(made) == content_of(replace(entry, date=made.date))


def _no_tree(desk: Desk, reading: Reading, tag: str) -> Item:
    if tag.casefold() in desk.broken:
        return Item(
            reading,
            "left over",
            tag,
            why=f"tree {tag} can't be written to: its file has a fault",
            hint="run 'benchleaf check', mend the file, and give this line again",
        )
    return Item(
        reading,
        "left over",
        tag,
        why=f"there is no tree {tag}",
        hint="check the tag, or add the tree with 'benchleaf add'",
    )


def _entries(desk: Desk, reading: Reading, tree: Tree, day: When, doubt: tuple[str, str], log: Log) -> list[Item]:
    items: list[Item] = []
    read, reading = reading, counted_down(reading, tree, log.entries, day)
    if reading.question != read.question:
        doubt = (reading.question, reading.hint)
    many = len(reading.parts) > 1
    for index, part in enumerate(reading.parts, start=1):
        source = source_of(reading, index if many else 0)
        entry = entry_of(part, day, source, desk.collection.settings.units)
        key = key_of(reading, tree.tag, source, index, entry)
        ticks = [tick for at, tick in reading.ticks if at == index - 1]
        if ticks:
            entry = entry_of(part, day, (*ticks, *([source] if source else ())), desk.collection.settings.units)
        base = Item(reading, "question", tree.tag, key, entry=entry, path=tree.path, why=doubt[0], hint=doubt[1])
        model = desk.read_entry(entry_text(entry))
        if isinstance(model, Problem):
            items.append(replace(base, fate="left over", why=model.message, hint=model.hint))
            continue
        base = replace(base, told=render_entry(model, desk.collection.settings.units))
        item = _fate(desk, base, model, tree, log)
        if item.fate == "write" and not item.amendment:
            log.add(model)
        items.append(item)
    return items


def _fate(desk: Desk, item: Item, model: Entry, tree: Tree, known: Log) -> Item:
    """Already there, changed, removed by hand, in doubt, or to be written."""
    if known.holds(model):
        return replace(item, fate="there", why="")
    settled = _typed_before(desk, item, model, known.by_source.get(model.source, []))
    if settled is not None:
        return settled
    of_one = _of_one_doing(desk, item, model, tree, known)
    if of_one is not None:
        return of_one
    again = same_again(model, known.entries, desk.knowledge)
    if again is None:
        return replace(item, fate="there", why="the log has it")
    units, knowledge = desk.collection.settings.units, desk.knowledge
    doubt: Doubt | None = first_doubt(model, tree, known.entries, units, knowledge) or again or None
    if item.reading.bare_wire and doubt is None:
        doubt = wire_is_on(model, tree, known.entries, knowledge)
    if doubt:
        return replace(item, fate="question", why=doubt.why, hint=doubt.hint, kind=doubt.kind)
    return replace(item, fate="write")


def _of_one_doing(desk: Desk, item: Item, model: Entry, tree: Tree, known: Log) -> Item | None:
    """What becomes of a tick whose line was given before, or of a line whose tick was: more is told of one entry."""
    host = same_doing(model, known.entries, desk.knowledge)
    stood = host is not None and any(e.sources == host.sources and e.date == host.date for e in tree.log)
    if host is None or not stood or not (item.reading.tick or is_ticked(host, tree.tag, desk.ledger)):
        return replace(item, why=_TICK_AWAY, hint=_TICK_HINT) if item.reading.details else None
    others = [e for e in known.entries if e is not host]
    more = more_of(host, model, item.entry, tick=item.reading.tick)
    if more is None:
        return None
    units = desk.collection.settings.units
    doubt = first_doubt(more.entry, tree, others, units, desk.knowledge)
    if doubt and not more.nothing:
        return replace(item, fate="question", why=doubt.why, hint=doubt.hint, kind=doubt.kind)
    known.swap(host, more.entry)
    told = render_entry(more.entry, units)
    if more.nothing:
        amendment = more.amendment if more.amendment["lines"] else {}
        return replace(item, fate="there", why="the log has it", amendment=amendment)
    return replace(item, fate="write", told=told, amendment=more.amendment)


_TICK_AWAY = "it tells details of a work that was ticked, but not of this day"
_TICK_HINT = "give it the day of the tick, or say the work"


def _typed_before(desk: Desk, item: Item, model: Entry, same_source: Sequence[Entry]) -> Item | None:
    """What becomes of a line that was typed before, or that is in doubt by itself; None for one that is neither."""
    before = desk.history.written.get(item.key)
    tick = item.reading.tick
    if any((tick or len(entry.sources) > 1) and covers(entry, model, tick=tick) for entry in same_source):
        return replace(item, fate="there", why="")
    if same_source:
        return _typed_otherwise(desk, item, same_source[-1], before)
    if before is not None and not item.why:
        return replace(
            item,
            why="this was written once and then removed by hand",
            hint="write it under 'tree TAG' if it belongs there after all",
        )
    if item.why and desk.history.written.get(f"{item.key}.1") == words_of(item.reading):
        return replace(item, fate="there", why="the line was typed anew when it was asked")
    return item if item.why else None


def _typed_otherwise(desk: Desk, item: Item, stands: Entry, before: object) -> Item:
    """A line from which an entry was made that says something else."""
    if before == words_of(item.reading):
        return replace(item, fate="there", why="the entry was edited by hand since")
    if desk.take_new:
        return as_new(desk, item)
    return replace(
        item,
        why=f"this line was typed before with other words: {render_entry(stands, desk.collection.settings.units)}",
        hint="--take new writes this one in its place",
        kind="conflict",
    )


def as_new(desk: Desk, item: Item) -> Item:
    """The item written beside the entry it corrects, which stays and is named in `replaces`."""
    source = str(item.entry["from"])
    log = _log_of(desk, item)
    entry = {**item.entry, "replaces": source, "from": next_source(source, log)}
    return replace(item, fate="write", entry=entry, why="", hint="")


def as_meant(desk: Desk, item: Item) -> Item:
    """A misspelt line read as what it may have been."""
    assert item.reading.meant is not None
    source = str(item.entry.get("from", ""))
    day = read_when(str(item.entry["date"]), desk.southern)
    entry = entry_of(item.reading.meant, day, source, desk.collection.settings.units)
    model = desk.read_entry(entry_text(entry))
    if isinstance(model, Problem):
        return replace(item, why=model.message, hint=model.hint)
    told = render_entry(model, desk.collection.settings.units)
    return replace(item, fate="write", entry=entry, told=told, why="", hint="")


def old_entry(desk: Desk, item: Item) -> Entry | None:
    """The entry that was typed from the same line before."""
    source = item.entry.get("from")
    return next((e for e in reversed(_log_of(desk, item)) if source in e.sources), None)


def _log_of(desk: Desk, item: Item) -> Sequence[Entry]:
    tree = desk.collection.tree(item.tag)
    return tree.log if tree else ()
