"""A tree's file for another garden: what goes out of it before it is given, and what is put in where it arrives.

Everything else stays as the grower wrote it, the log word for word. The result is parsed again and must hold exactly what it should.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from datetime import date

from ..diagnostics import ProblemsFound, stop
from ..values import dataclass
from .yaml_editor import (
    BOM,
    Data,
    Plain,
    Splice,
    Value,
    data_of,
    entry_text,
    find_log,
    line_end,
    log_in,
    with_entries,
    with_key,
    word_for_word,
)
from .yaml_reader import Mapping as MappingNode
from .yaml_reader import Node, Scalar, read_text
from .yaml_reader import Sequence as SequenceNode

HANDOVER = "handover"  # as in an entry's `from: handover 0123456789abcdef`
OWN = ("value", "provenance")  # goes along only where the grower says so, as keys of their own do
LEFT_THERE = ("bench", "also", "ended", "origin")  # true of the garden that it came from


@dataclass(frozen=True, slots=True)
class Arrival:
    """Where a tree comes from and what it is here: `source` names the archive, `pictures` the new path of each old one."""

    tag: str
    day: date
    garden: str
    old_tag: str
    source: str
    pictures: Callable[[str, str], str]
    bench: str = ""

    @property
    def words(self) -> str:
        """Where it came from, in words: never a number that a code of this garden could lead by."""
        return f"from garden {self.garden}, {self.old_tag}"


def to_give(text: str, shown: str, *, own: bool) -> str:
    """The file as it is given. Without `own` no value, no provenance, no place of origin, and no key of the grower's own."""
    if own:
        return text
    data = data_of(text.removeprefix(BOM), shown)
    origin = data.get("origin")
    away = [key for key in data if key in OWN or key.startswith("x-")]
    placed = isinstance(origin, dict) and "place" in origin
    after = keys_dropped(text, shown, [*away, *(["origin"] if placed else [])])
    if isinstance(origin, dict) and placed:
        kept = {key: str(value) for key, value in origin.items() if key != "place"}
        after = with_key(after, shown, "origin", kept) if kept else after
    return after


def comments_in(text: str) -> int:
    """How many lines of a file are comments, which go wherever it goes."""
    return sum(line.lstrip().startswith("#") for line in text.splitlines())


def arrived(text: str, shown: str, here: Arrival) -> str:
    """The file of a tree that came from another garden: an entry `found` before its log. Raises ProblemsFound where that can't be proved right."""
    body = text.removeprefix(BOM)
    before = data_of(body, shown)
    root = _root(body, shown)
    renamed: dict[str, str] = {}
    splices = [_splice(root.items["tag"], entry_text({"t": here.tag})[4:-1])] if "tag" in root.items else []
    splices += _pictures_renamed(root.items["log"], here, renamed)
    entry = _found(before, here)
    splices += _before_log(body, shown, entry)
    splices += [_line_of(body, root, key) for key in LEFT_THERE if key in root.items]
    after = _spliced(body, splices)
    if not log_in(before):
        after = with_entries(after, shown, [entry])
    keys: dict[str, Value] = {"origin": _origin(before, here)}
    if here.bench:
        keys["bench"] = here.bench
    for key, value in keys.items():
        after = with_key(after, shown, key, value)
    wanted: Data = {key: value for key, value in before.items() if key not in LEFT_THERE}
    log = [_with_pictures(old, renamed) for old in log_in(before)]
    wanted |= {"tag": here.tag, "log": [word_for_word(entry), *log]}
    wanted |= {key: word_for_word(value) for key, value in keys.items()}
    if data_of(after, shown) != wanted:
        raise _no_shape(shown)
    return after


def keys_dropped(text: str, shown: str, keys: Collection[str]) -> str:
    """The file without these keys of it. Raises ProblemsFound where that can't be proved right."""
    body = text.removeprefix(BOM)
    before, root = data_of(body, shown), _root(body, shown)
    after = _spliced(body, [_line_of(body, root, key) for key in keys if key in root.items])
    if data_of(after, shown) != {key: value for key, value in before.items() if key not in keys}:
        raise _no_shape(shown)
    return after


def _no_shape(shown: str) -> ProblemsFound:
    return stop(
        "the file's shape leaves no safe way to change it",
        path=shown,
        hint="write each key on a line of its own, without anchors, and the log as '- ' lines",
    )


def _root(body: str, shown: str) -> MappingNode:
    root = read_text(body, shown).root
    if not isinstance(root, MappingNode) or root.flow:
        raise _no_shape(shown)
    return root


def _found(before: Data, here: Arrival) -> dict[str, Value]:
    """The entry that begins its record here."""
    also, ended = before.get("also"), before.get("ended")
    words = here.words
    if also:
        words += f" (before that {', '.join(map(str, also)) if isinstance(also, list) else also})"
    if isinstance(ended, dict):
        words += f"; left there {ended.get('date') or ''}: {ended.get('how') or ''}"
    day = here.day.isoformat()
    found: Mapping[str, Value] = {"acquired": day}
    return {"date": day, "found": found, "note": words, "from": here.source}


def _origin(before: Data, here: Arrival) -> dict[str, Value]:
    """How it began, as it was known there; a parent's number is words from now on."""
    old = before.get("origin")
    said = {key: str(value) for key, value in old.items() if value} if isinstance(old, dict) else {}
    parent, place = said.pop("parent", ""), said.pop("place", "")
    more = [f"taken there from {parent}"] if parent else []
    return {**said, "place": "; ".join([here.words, *more, *([place] if place else [])])}


def _before_log(body: str, shown: str, entry: Mapping[str, Value]) -> list[Splice]:
    """The entry before all others; nothing for a log that is empty."""
    log, _ = find_log(body, shown)
    if not log.items or log.start is None or log.anchored:
        return []
    if log.flow:
        return [Splice(log.start.index + 1, log.start.index + 1, f"{entry_text(entry)}, ")]
    newline = "\r\n" if "\r\n" in body else "\n"
    text = f"- {entry_text(entry)}{newline}{' ' * log.start.column}"
    return [Splice(log.start.index, log.start.index, text)]


def _pictures_renamed(log: Node, here: Arrival, renamed: dict[str, str]) -> list[Splice]:
    """The new path of each picture where the old one stands; `renamed` keeps them by the old one."""
    splices = []
    for entry in log.items if isinstance(log, SequenceNode) else ():
        photo = entry.items.get("photo") if isinstance(entry, MappingNode) else None
        if isinstance(entry, MappingNode) and isinstance(photo, Scalar) and not photo.is_null:
            day = entry.items.get("date")
            said = day.text if isinstance(day, Scalar) else ""
            if photo.text not in renamed:
                renamed[photo.text] = here.pictures(photo.text, said)
            splices.append(_splice(photo, entry_text({"p": renamed[photo.text]})[4:-1]))
    return splices


def _with_pictures(entry: Plain, renamed: Mapping[str, str]) -> Plain:
    if not isinstance(entry, dict) or not isinstance(entry.get("photo"), str):
        return entry
    return {**entry, "photo": renamed[str(entry["photo"])]}


def _splice(node: Node, text: str) -> Splice:
    return Splice(node.start.index, node.end.index, text)


def _line_of(body: str, root: MappingNode, key: str) -> Splice:
    """A key with its value, from the begin of its line to the end of the value's last one."""
    start = root.keys[key].start
    end = line_end(body, _last(root.items[key], root.keys[key]))
    after = 2 if body.startswith("\r\n", end) else 1
    return Splice(start.index - start.column, min(end + after, len(body)), "")


def _last(node: Node, before: Node) -> int:
    """Where the last text of a value ends: a block's own end lies behind the comments that follow it."""
    if isinstance(node, Scalar):
        folded = node.style in ("|", ">")
        return node.end.index - 1 if folded else max(node.end.index, before.end.index)
    inner = (
        list(node.items.values())
        if isinstance(node, MappingNode)
        else node.items
        if isinstance(node, SequenceNode)
        else []
    )
    flow = getattr(node, "flow", False)
    return node.end.index if flow or not inner else _last(inner[-1], before)


def _spliced(body: str, splices: list[Splice]) -> str:
    for splice in sorted(splices, key=lambda one: one.start, reverse=True):
        body = body[: splice.start] + splice.text + body[splice.end :]
    return body
