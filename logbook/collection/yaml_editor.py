"""Writing entries into a tree's file: verified splices, never a dump of the file.

The place is found from parse events; the file's own newline, dash column and item style are copied; the result is
parsed again and must hold exactly the old data plus the new entries, with every byte outside the splice unchanged.
Anything else is refused with a place, and the note stays where it was.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import field
from typing import TypeAlias, cast

import yaml

from ..diagnostics import Place, Problem, ProblemsFound
from ..values import dataclass
from . import yaml_hints
from .yaml_events import Event, Loader, Mark
from .yaml_reader import Mapping as MappingNode
from .yaml_reader import Node, Scalar, read_text
from .yaml_reader import Sequence as SequenceNode

BOM = "\ufeff"
_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 _./()-]*[A-Za-z0-9)]|[A-Za-z]")
_NUMBERLIKE = re.compile(
    r"\d{1,15}(\.\d+)?|\d{4}(-\d{2}){0,2}[~?%]?|\d{3}X|\d{2}XX|\d{5,6}-\d/[0-9A-Z]{1,3}(\.\d{1,2})?"
)
_RESERVED = frozenset(("null", "true", "false", "yes", "no", "on", "off", "y", "n", "~"))

_UNPRINTED = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ud800-\udfff\ufffe\uffff]")

Plain: TypeAlias = "str | list[Plain] | dict[str, Plain] | None"  # a file's data, with text everywhere
Data: TypeAlias = dict[str, Plain]
Value = str | int | float | Sequence["Value"] | Mapping[str, "Value"]


@dataclass(frozen=True, slots=True)
class Splice:
    """New text put in place of `text[start:end]`."""

    start: int
    end: int
    text: str


def with_entries(text: str, shown: str, entries: Sequence[Mapping[str, Value]]) -> str:
    """The file's text with the entries appended to its `log`. Raises ProblemsFound where that can't be proved right."""
    body = text.removeprefix(BOM)
    before = data_of(body, shown)
    splice = _place(body, shown, entries)
    after_text = body[: splice.start] + splice.text + body[splice.end :]
    _verify(before, after_text, body, splice, shown, entries)
    return text[: len(text) - len(body)] + after_text


def data_of(text: str, shown: str) -> Data:
    """A tree file's data, every scalar as text. Raises ProblemsFound where it is no YAML or has no `log`."""
    document = read_text(text, shown)
    if document.problems:
        raise ProblemsFound(document.problems)
    data = _values(document.root)
    if not isinstance(data, dict) or "log" not in data:
        raise refused(shown, "there is no 'log' to write into")
    return data


def log_in(data: Data) -> list[Plain]:
    """The log's entries, be there any or not; what is no list is one odd entry, which no verified splice keeps."""
    log = data["log"]
    return log if isinstance(log, list) else [] if log is None else [log]


def _values(node: Node | None) -> Plain:
    if isinstance(node, MappingNode):
        return {key: _values(item) for key, item in node.items.items()}
    if isinstance(node, SequenceNode):
        return [_values(item) for item in node.items]
    if isinstance(node, Scalar):
        return None if node.is_null else node.text
    return None


def _verify(
    before: Data,
    after_text: str,
    text: str,
    splice: Splice,
    shown: str,
    entries: Sequence[Mapping[str, Value]],
) -> None:
    document = read_text(after_text, shown)
    wanted = dict(before)
    wanted["log"] = [*log_in(before), *(word_for_word(e) for e in entries)]
    if document.problems or _values(document.root) != wanted:
        line, column = yaml_hints.line_and_column(text, splice.start)
        raise refused(shown, "the log's shape leaves no safe place for a new entry", line + 1, column + 1)


def word_for_word(value: Value) -> Plain:
    """What the file will say, as it will be read back: text everywhere."""
    if isinstance(value, Mapping):
        return {key: word_for_word(item) for key, item in value.items()}
    if isinstance(value, str):
        return value
    if isinstance(value, Sequence):
        return [word_for_word(item) for item in value]
    return _number(value)


def refused(shown: str, message: str, line: int = 0, column: int = 0) -> ProblemsFound:
    """The refusal to write, for the caller to raise; line and column count from 1, 0 where unknown."""
    hint = "write the entry by hand, or put the log as '- ' lines under 'log:'"
    return ProblemsFound([Problem(message, Place(shown, line, column), hint)])


# -- finding the place ---------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Log:
    """What the events tell of the log: where its parts begin and end (0-based marks)."""

    flow: bool = False
    empty_scalar: Event | None = None
    start: Mark | None = None
    items: int = 0
    last_start: Mark | None = None
    last_end: Mark | None = None
    last_flow: bool = False
    last_is_mapping: bool = False
    last_block_scalar: bool = False
    anchored: bool = False
    spans: list[tuple[int, int]] = field(default_factory=list)  # where each item's own text begins and ends


def _place(text: str, shown: str, entries: Sequence[Mapping[str, Value]]) -> Splice:
    newline = "\r\n" if "\r\n" in text else "\n"
    log, key_mark = find_log(text, shown)
    if log.anchored:
        raise refused(shown, "the log is an anchor or an alias", key_mark.line + 1, key_mark.column + 1)
    if log.empty_scalar is not None:
        return _into_nothing(text, log.empty_scalar, key_mark, newline, entries)
    if log.flow:
        return _into_lines(text, log, key_mark, newline, entries) or _into_flow(log, entries)
    return _after_block(text, log, newline, entries)


def find_log(text: str, shown: str) -> tuple[_Log, Mark]:
    """Walk the events down to the root mapping's `log` and through it."""
    events = cast("list[Event]", list(yaml.parse(text, Loader=Loader)))
    depth, index, key_turn = 0, 0, False
    while index < len(events):
        event = events[index]
        opens = isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent)
        if depth == 1 and key_turn and isinstance(event, yaml.ScalarEvent) and event.value == "log":
            return _walk_log(events, index + 1), event.start_mark
        if depth == 1 and not isinstance(event, yaml.MappingEndEvent):
            key_turn = not key_turn
        if opens:
            depth += 1
            key_turn = True if depth == 1 else key_turn
        elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
            depth -= 1
        index += 1
    raise refused(shown, "there is no 'log' to write into")


def _walk_log(events: list[Event], index: int) -> _Log:
    first = events[index]
    log = _log_head(first)
    if not isinstance(first, yaml.SequenceStartEvent):
        return log
    depth = 1
    for event in events[index + 1 :]:
        starts = isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent)
        ends = isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent)
        if depth == 1 and not ends:
            _note_item(log, event)
        depth += starts - ends
        if depth == 0:
            if log.flow:
                log.last_end = log.last_end or first.end_mark
            return log
        _note_end(log, event, starts)
        if log.spans and log.last_end:
            log.spans[-1] = (log.spans[-1][0], log.last_end.index)
    return log


def _log_head(first: Event) -> _Log:
    """What the first event behind the key says: nothing yet, a list, or a value that no entry can be added to."""
    log = _Log(anchored=isinstance(first, yaml.AliasEvent) or getattr(first, "anchor", None) is not None)
    if isinstance(first, yaml.ScalarEvent):
        log.empty_scalar = first
    elif isinstance(first, yaml.SequenceStartEvent):
        log.flow, log.start = bool(first.flow_style), first.start_mark
    else:
        log.anchored = True
    return log


def _note_item(log: _Log, event: Event) -> None:
    """Keep where an item of the log begins, and in what style it is written."""
    log.items += 1
    log.spans.append((event.start_mark.index, event.end_mark.index))
    log.last_start = event.start_mark
    log.last_is_mapping = isinstance(event, yaml.MappingStartEvent)
    log.last_flow = bool(getattr(event, "flow_style", False))


def _note_end(log: _Log, event: Event, starts: bool) -> None:
    """Keep the end of the last real text: a block collection's own end mark lies after comments, so it never counts."""
    text_end = isinstance(event, yaml.ScalarEvent | yaml.AliasEvent)
    flow_end = isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent) and _has_width(event)
    if text_end or flow_end:
        log.last_end = event.end_mark
        log.last_block_scalar = isinstance(event, yaml.ScalarEvent) and event.style in ("|", ">")
    elif starts and getattr(event, "flow_style", False):
        log.last_end = event.end_mark
        log.last_block_scalar = False


def _has_width(event: Event) -> bool:
    return bool(event.end_mark.index > event.start_mark.index)


def _into_nothing(
    text: str, empty: Event, key_mark: Mark, newline: str, entries: Sequence[Mapping[str, Value]]
) -> Splice:
    """`log:` with nothing, `~` or `null` behind it."""
    start, end = empty.start_mark.index, empty.end_mark.index
    if start != end or empty.style:
        return Splice(start, end, "[" + ", ".join(_flow(e) for e in entries) + "]")
    colon = text.index(":", key_mark.index) + 1
    end = line_end(text, colon)
    indent = " " * (key_mark.column + 2)
    rows = newline.join(f"{indent}- {_flow(e)}" for e in entries)
    return Splice(end, end, newline + rows)


def _into_lines(
    text: str, log: _Log, key_mark: Mark, newline: str, entries: Sequence[Mapping[str, Value]]
) -> Splice | None:
    """`log: []` with nothing behind it, in a file of plain lines: each entry gets a line of its own."""
    found = re.compile(r"log:[ \t]*\[[ \t]*\](?=[ \t]*(?:[\r\n]|$))").match(text, key_mark.index)
    if log.items or not found or key_mark.column:
        return None
    rows = newline.join(f"  - {_flow(e)}" for e in entries)
    return Splice(key_mark.index + 4, found.end(), newline + rows)


def _into_flow(log: _Log, entries: Sequence[Mapping[str, Value]]) -> Splice:
    """`log: [a, b]`: behind its last item; behind the bracket where it is empty."""
    assert log.start and log.last_end
    at = log.last_end.index if log.items else log.start.index + 1
    words = ", ".join(_flow(e) for e in entries)
    return Splice(at, at, f", {words}" if log.items else words)


def _after_block(text: str, log: _Log, newline: str, entries: Sequence[Mapping[str, Value]]) -> Splice:
    """`- item` lines: on new lines behind the last item's text and the comments that belong to it."""
    assert log.start and log.last_end
    column = log.start.column
    indent = " " * column
    at = log.last_end.index
    if not (log.last_block_scalar and at > 0 and text[at - 1] in "\r\n"):
        at = line_end(text, at)
        at = _past_own_comments(text, at, column)
        head, tail = newline, ""
    else:
        head, tail = "", newline
    rows = newline.join(_item(e, indent, log, newline) for e in entries)
    return Splice(at, at, head + rows + tail)


def _item(entry: Mapping[str, Value], indent: str, log: _Log, newline: str) -> str:
    """One item in the style of the last: a flow mapping on one line, or keys on lines of their own."""
    if log.last_start and log.last_is_mapping and not log.last_flow:
        width = max(log.last_start.column - len(indent), 2)
        pad = " " * width
        dash = "-" + pad[1:]
        rows = [f"{key}: {_flow(value)}" for key, value in entry.items()]
        return indent + dash + (newline + indent + pad).join(rows)
    return f"{indent}- {_flow(entry)}"


def line_end(text: str, index: int) -> int:
    """Where the line that holds an index ends, before its newline, or where the text does."""
    found = re.compile("[\r\n\x85\u2028\u2029]").search(text, index)
    return found.start() if found else len(text)


def _past_own_comments(text: str, at: int, column: int) -> int:
    """Comment lines right below that are indented deeper than the dash belong to the item."""
    while True:
        match = re.compile(r"(?:\r\n|\n)([ ]*)#[^\r\n]*").match(text, at)
        if not match or len(match[1]) <= column:
            return at
        at = match.end()


# -- plain YAML text of a value ------------------------------------------------------------------------------------


def _flow(value: Value) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_scalar(key)}: {_flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, str):
        return _scalar(value)
    if isinstance(value, Sequence):
        return "[" + ", ".join(_flow(item) for item in value) + "]"
    return _number(value)


def _number(value: float) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    return f"{value:.4f}".rstrip("0").rstrip(".")


def _scalar(text: str) -> str:
    """Plain where that is safe in flow and block alike, else double-quoted."""
    if _NUMBERLIKE.fullmatch(text) and not (text.isdigit() and len(text) > 1 and text[0] == "0"):
        return text
    if _PLAIN.fullmatch(text) and text.casefold() not in _RESERVED and "  " not in text:
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    return _UNPRINTED.sub(lambda m: f"\\u{ord(m[0]):04x}", quoted)


def entry_text(entry: Mapping[str, Value]) -> str:
    """One entry as a line of flow YAML, as a new file would hold it."""
    return _flow(entry)


def file_with(keys: Mapping[str, Value], log: Sequence[Mapping[str, Value]]) -> str:
    """The text of a new tree's file."""
    rows = [f"tag: {json.dumps(keys['tag'], ensure_ascii=False)}"] + [
        f"{key}: {_flow(value)}" for key, value in keys.items() if key != "tag"
    ]
    rows.append("log:" if log else "log: []")
    rows += [f"  - {_flow(entry)}" for entry in log]
    return "\n".join(rows) + "\n"


def with_key(text: str, shown: str, key: str, value: Value) -> str:
    """The file's text with a new key at its end. Raises ProblemsFound where that can't be proved right."""
    body = text.removeprefix(BOM)
    before = data_of(body, shown)
    newline = "\r\n" if "\r\n" in body else "\n"
    kept = body if body.endswith(("\n", "\r")) or not body else body + newline
    after = f"{kept}{key}: {_flow(value)}{newline}"
    document = read_text(after, shown)
    if key in before or document.problems or _values(document.root) != {**before, key: word_for_word(value)}:
        raise ProblemsFound(
            [
                Problem(
                    f"the file's shape leaves no safe place for '{key}'",
                    Place(shown),
                    f"write it by hand at the end: {key}: {_flow(value)}",
                )
            ]
        )
    return text[: len(text) - len(body)] + after


def missing_entries(text: str, shown: str, entries: Sequence[Mapping[str, Value]]) -> list[Mapping[str, Value]]:
    """Those of the entries that the file's log does not hold word for word. Raises ProblemsFound where it can't be read."""
    log = log_in(data_of(text.removeprefix(BOM), shown))
    return [entry for entry in entries if word_for_word(entry) not in log]
