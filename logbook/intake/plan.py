"""From readings to a plan: what to write, what is there already, what must be asked, what is left over. Pure.

`plan` takes a collection, the ledger, the history of earlier notes and the readings; it touches no file. The same
line typed twice changes nothing; a line that was written and then removed by hand is never brought back silently.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cache

from ..collection.dates import When, on_day, read_when
from ..collection.entry_text import render_entry
from ..collection.fields.entry import entry_of
from ..collection.kinds import Context
from ..collection.model import Entry, Tree
from ..collection.tree_text import read_entry
from ..collection.yaml_editor import entry_text
from ..collection.yaml_reader import Document
from ..diagnostics import Problem
from .days import Day, day_of
from .grammar.details import Fields
from .grammar.readings import Reading
from .hands import same_hands, with_hands
from .line_names import is_header, key_of, next_source, source_of, words_of
from .log_as_read import Log, content_of, lines_of, log_for
from .one_entry import covers, is_ticked, more_of, same_doing, ticked_day
from .plan_items import Item, Plan, PlanContext
from .plausibility import NO_WIRE, Doubt, first_doubt, same_again, wire_is_on, wrong_tree
from .ticks import joined
from .trays import counted_down


def plan(context: PlanContext, readings: Iterable[Reading]) -> Plan:
    """Give every reading its fate. Later lines see what earlier ones will have written."""
    logs: dict[str, Log] = {}
    items: list[Item] = []

    def day(reading: Reading) -> Day:
        return day_of(reading, context.today, context.southern)

    works = context.knowledge.works
    together = joined(tuple(readings), day, lambda tick: _is_in_log(context, tick), works)
    for place, reading in enumerate(together.readings):
        if place in together.into:
            items += [_laid_into(reading, tag, together.into[place]) for tag in reading.tags]
        if place not in together.into or reading.parts:
            items += _fates(context, reading, logs)
    return Plan(tuple(_judged_again(context, item, logs) for item in items))


def _is_in_log(context: PlanContext, tick: Reading) -> bool:
    """Whether a tick was written in an earlier run: its own entry stands, and keeps standing."""
    tree = context.collection.tree(tick.tags[0])
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


def _judged_again(context: PlanContext, item: Item, logs: Mapping[str, Log]) -> Item:
    """Wire that a later line puts on lets an earlier one take it off: doubts about wire are judged on the whole run."""
    if item.kind != NO_WIRE or item.fate != "question":
        return item
    tree = context.collection.tree(item.tag)
    model = context.read_entry(entry_text(item.entry))
    if tree is None or isinstance(model, Problem):
        return item
    doubt = first_doubt(model, tree, logs[tree.tag].entries, context.collection.settings.units, context.knowledge)
    return item if doubt else replace(item, fate="write", why="", hint="", kind="")


def entry_reader(context: Callable[[Document], Context]) -> Callable[[str], Entry | Problem]:
    """Reads one entry's text through the collection's own table, so that what is written is what would be read."""

    @cache
    def read(text: str) -> Entry | Problem:
        return read_entry(text, context)

    return read


def _fates(context: PlanContext, reading: Reading, logs: dict[str, Log]) -> list[Item]:
    if reading.fault:
        own = reading.sheet is not None and reading.line and len(reading.tags) == 1
        tag = reading.tags[0] if own else ""
        key = _line_key(reading, tag) if own else f"header {words_of(reading)}" if is_header(reading) else ""
        return [Item(reading, "left over", tag, key, why=reading.fault, hint=reading.hint)]
    if reading.nothing:
        return [_settled(reading, tag) for tag in reading.tags]
    return [item for tag in reading.tags for item in _fates_of_tree(context, reading, tag, logs)]


def _fates_of_tree(context: PlanContext, reading: Reading, tag: str, logs: dict[str, Log]) -> list[Item]:
    """What a line that can be read comes to for one of its trees."""
    tree = context.collection.tree(tag)
    if tree is None:
        return [replace(_no_tree(context, reading, tag), key=_line_key(reading, tag))]
    log, key = log_for(tree, logs), _line_key(reading, tree.tag)
    day = day_of(reading, context.today, context.southern)
    if (day.when is None or reading.unread) and _typed_already(context, reading, log):
        return [Item(reading, "there", tree.tag, key, told=reading.text, why="typed before")]
    if reading.unread:
        return [Item(reading, "question", tree.tag, key, why=reading.question, hint=reading.hint)]
    when = day.when or ticked_day(reading, tree, context.ledger)
    if when is None:
        return [Item(reading, "question", tree.tag, key, why=day.why, hint=day.hint)]
    return _entries(context, reading, tree, when, (day.why, day.hint) if day.when else ("", ""), log)


def _line_key(reading: Reading, tag: str) -> str:
    """What names a line as a whole, for one tree."""
    return key_of(reading, tag, source_of(reading, 0), 0)


def _settled(reading: Reading, tag: str) -> Item:
    """A place on which nothing stands, or a header that was mended: what waited for it has its answer."""
    key = _line_key(reading, tag) if reading.sheet else f"header {words_of(reading)}"
    told = f"{reading.line}: nothing stands there" if reading.sheet else "header"
    return Item(reading, "there", tag, key, told=told, why="" if reading.sheet else "mended")


def _typed_already(context: PlanContext, reading: Reading, log: Log) -> bool:
    """A line of a sheet that the log has: whatever it said where it is unread, else the same but for the day that is missing."""
    source = source_of(reading, 0)
    if not source or (reading.date and not reading.unread):
        return False
    stood = [e for e in log.entries if source in lines_of(e.sources)]
    if reading.unread:
        return bool(stood)
    return bool(reading.parts) and all(
        any(_but_for_the_day(context, part, entry) for entry in stood) for part in reading.parts
    )


def _but_for_the_day(context: PlanContext, part: Fields, entry: Entry) -> bool:
    made = context.read_entry(
        entry_text(entry_of(part, on_day(entry.date.earliest), "", context.collection.settings.units))
    )
    return isinstance(made, Entry) and content_of(made) == content_of(replace(entry, date=made.date))


def _no_tree(context: PlanContext, reading: Reading, tag: str) -> Item:
    if tag.casefold() in context.broken:
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


def _entries(
    context: PlanContext, reading: Reading, tree: Tree, day: When, doubt: tuple[str, str], log: Log
) -> list[Item]:
    items: list[Item] = []
    read, reading = reading, counted_down(reading, tree, log.entries, day)
    if reading.question != read.question:
        doubt = (reading.question, reading.hint)
    many = len(reading.parts) > 1
    for index, part in enumerate(reading.parts, start=1):
        source = source_of(reading, index if many else 0)
        entry = entry_of(part, day, source, context.collection.settings.units)
        key = key_of(reading, tree.tag, source, index, entry)
        ticks = [tick for at, tick in reading.ticks if at == index - 1]
        named = (*ticks, *([reading.row or source] if reading.row or source else ()))
        if ticks or reading.row:
            entry = entry_of(part, day, named, context.collection.settings.units)
        base = Item(reading, "question", tree.tag, key, entry=entry, path=tree.path, why=doubt[0], hint=doubt[1])
        items.append(_judged(context, base, tree, log))
    return items


def _judged(context: PlanContext, item: Item, tree: Tree, log: Log) -> Item:
    """The item with its fate; what will be written is in the log for the lines below."""
    if item.key in context.history.moved:
        return replace(item, fate="there", told=item.reading.text, why="it was another tree's", hint="")
    model = context.read_entry(entry_text(item.entry))
    if isinstance(model, Problem):
        return replace(item, fate="left over", why=model.message, hint=model.hint)
    told = render_entry(model, context.collection.settings.units)
    judged = _fate(context, replace(item, told=told), model, tree, log)
    if judged.fate == "write" and not judged.amendment:
        log.add(model)
    return judged


def _fate(context: PlanContext, item: Item, model: Entry, tree: Tree, known: Log) -> Item:
    """Already there, changed, removed by hand, in doubt, or to be written."""
    if known.holds(model) or _is_within_another(context, item, model, known):
        return replace(item, fate="there", why="")
    settled = _typed_before(context, item, model, known.by_source.get(model.source, []))
    if settled is not None:
        return settled
    of_one = _of_one_doing(context, item, model, tree, known)
    if of_one is not None:
        return of_one
    again = same_again(model, known.of_work(model.work), context.knowledge)
    if again is None:
        return replace(item, fate="there", why="the log has it")
    units, knowledge = context.collection.settings.units, context.knowledge
    doubt: Doubt | None = first_doubt(model, tree, known.entries, units, knowledge) or again or None
    if item.reading.bare_wire and doubt is None:
        doubt = wire_is_on(model, tree, known.entries, knowledge)
    if doubt is None and not _was_offered(item.reading, model, tree):
        doubt = wrong_tree(model, tree, known.entries, context.garden)
    if doubt:
        return replace(item, fate="question", why=doubt.why, hint=doubt.hint, kind=doubt.kind)
    return replace(item, fate="write")


def _is_within_another(context: PlanContext, item: Item, model: Entry, known: Log) -> bool:
    """Whether a line of no sheet was written once, into an entry that still tells all of it."""
    if item.reading.sheet is not None or item.key not in context.history.written:
        return False
    host = same_doing(model, known.of_work(model.work), context.knowledge)
    return host is not None and covers(host, model, tick=False)


def _was_offered(reading: Reading, model: Entry, tree: Tree) -> bool:
    """Whether the sheet itself offered this tree the work: then it is no wonder that it was done."""
    job = reading.sheet.job(reading.line, tree.tag) if reading.sheet else None
    return job is not None and job.work == model.work


def _of_one_doing(context: PlanContext, item: Item, model: Entry, tree: Tree, known: Log) -> Item | None:
    """What becomes of a tick whose line was given before, or of a line whose tick was: more is told of one entry."""
    host = same_doing(
        model, known.of_work(model.work), context.knowledge, _ticked(context, item.reading, model, tree)
    )
    stood = host is not None and any(e.sources == host.sources and e.date == host.date for e in tree.log)
    if host is None or not stood or not (item.reading.tick or is_ticked(host, tree.tag, context.ledger)):
        return replace(item, why=_TICK_AWAY, hint=_TICK_HINT) if item.reading.details else None
    others = [e for e in known.entries if e is not host]
    more = more_of(host, model, item.entry, tick=item.reading.tick)
    if more is None:
        return None
    units = context.collection.settings.units
    doubt = first_doubt(more.entry, tree, others, units, context.knowledge)
    if doubt and not more.nothing:
        return replace(item, fate="question", why=doubt.why, hint=doubt.hint, kind=doubt.kind)
    known.swap(host, more.entry)
    told = render_entry(more.entry, units)
    if more.nothing:
        amendment = more.amendment if more.amendment["lines"] else {}
        return replace(item, fate="there", why="the log has it", amendment=amendment)
    return replace(item, fate="write", told=told, amendment=more.amendment)


def _ticked(context: PlanContext, reading: Reading, model: Entry, tree: Tree) -> Callable[[Entry], bool]:
    """Tells whether an entry was made of a tick: that of the line itself, or one of the log."""
    return lambda e: reading.tick if e is model else is_ticked(e, tree.tag, context.ledger)


_TICK_AWAY = "it tells details of a work that was ticked, but not of this day"
_TICK_HINT = "give it the day of the tick, or say the work"


def _typed_before(context: PlanContext, item: Item, model: Entry, same_source: Sequence[Entry]) -> Item | None:
    """What becomes of a line that was typed before, or that is in doubt by itself; None for one that is neither."""
    before = context.history.written.get(item.key)
    tick = item.reading.tick
    if any((tick or len(entry.sources) > 1) and covers(entry, model, tick=tick) for entry in same_source):
        return replace(item, fate="there", why="")
    if same_source:
        return _typed_otherwise(context, item, model, same_source[-1])
    if before is not None and not item.why:
        return replace(
            item,
            why="this was written once and then removed by hand",
            hint="write it under 'tree TAG' if it belongs there after all",
        )
    if item.why and context.history.written.get(f"{item.key}.1") == words_of(item.reading):
        return replace(item, fate="there", why="the line was typed anew when it was asked")
    return item if item.why else None


def _typed_otherwise(context: PlanContext, item: Item, model: Entry, stands: Entry) -> Item:
    """A line from which an entry was made that says something else; another hand is told by the header, not by the line."""
    same_words = context.history.written.get(item.key) == words_of(item.reading)
    if same_words and same_hands(with_hands(stands.by, model.by), stands.by):
        asked = item.reading.question  # the entry is as it was answered
        return replace(item, fate="there", why="" if asked else "the entry was edited by hand since")
    if context.take_new:
        return as_new(context, item)
    return replace(
        item,
        why=f"this line was typed before with other words: {render_entry(stands, context.collection.settings.units)}",
        hint="--take new writes this one in its place",
        kind="conflict",
    )


def as_new(context: PlanContext, item: Item) -> Item:
    """The item written beside the entry it corrects, which stays and is named in `replaces`."""
    source = str(item.entry["from"])
    log = _log_of(context, item)
    entry = {**item.entry, "replaces": source, "from": next_source(source, log)}
    return replace(item, fate="write", entry=entry, why="", hint="")


def as_meant(context: PlanContext, item: Item) -> Item:
    """A misspelt line read as what it may have been."""
    assert item.reading.meant is not None
    source = str(item.entry.get("from", ""))
    day = read_when(str(item.entry["date"]), context.southern)
    entry = entry_of(item.reading.meant, day, source, context.collection.settings.units)
    model = context.read_entry(entry_text(entry))
    if isinstance(model, Problem):
        return replace(item, why=model.message, hint=model.hint)
    told = render_entry(model, context.collection.settings.units)
    return replace(item, fate="write", entry=entry, told=told, why="", hint="")


def old_entry(context: PlanContext, item: Item) -> Entry | None:
    """The entry that was typed from the same line before."""
    source = item.entry.get("from")
    return next((e for e in reversed(_log_of(context, item)) if source in e.sources), None)


def _log_of(context: PlanContext, item: Item) -> Sequence[Entry]:
    tree = context.collection.tree(item.tag)
    return tree.log if tree else ()
