"""Hardened reading of YAML text into nodes that know their place.

Knows files, limits and YAML syntax; knows nothing of what a collection means. Scalars stay text: whether `010`
is a tag or a number is for the schema to say, so YAML 1.1's guesses (`no`, `12:30`, dates) never happen.
Parser events are used rather than composed nodes, since an alias node carries its anchor's place.
"""

from __future__ import annotations

import errno
from collections.abc import Callable, Iterator
from dataclasses import field
from pathlib import Path

import yaml

from .. import escapes
from ..diagnostics import Place, Problem, ProblemsFound, stop
from ..storage.disk import read_regular
from ..values import dataclass
from . import yaml_hints
from .yaml_events import Event, Mark, events_of

MAX_BYTES = 4_000_000
MAX_DEPTH = 40
MAX_NODES = 200_000
MAX_ALIASES = 50


class Node:
    """A value and the marks (0-based line, column, index) where its text begins and ends."""

    __slots__ = ("end", "shared", "start")

    def __init__(self, start: Mark, end: Mark) -> None:
        self.start = start
        self.end = end
        self.shared = False


class Scalar(Node):
    """Text as written; `style` is None for plain, else one of ' " | >."""

    __slots__ = ("style", "text")

    def __init__(self, start: Mark, end: Mark, text: str, style: str | None) -> None:
        self.start = start
        self.end = end
        self.shared = False
        self.text = text
        self.style = style

    @property
    def is_null(self) -> bool:
        """Whether nothing is given: unquoted and empty, `~` or `null`."""
        return not self.style and self.text in ("", "~", "null")


class Mapping(Node):
    """Keys in their order, with their values in `items` and their own nodes in `keys`."""

    __slots__ = ("flow", "items", "keys")

    def __init__(self, start: Mark, flow: bool) -> None:
        self.start = start
        self.end = start
        self.shared = False
        self.flow = flow
        self.items: dict[str, Node] = {}
        self.keys: dict[str, Scalar] = {}


class Sequence(Node):
    """A list's items in their order; `flow` where it stands in brackets."""

    __slots__ = ("flow", "items")

    def __init__(self, start: Mark, flow: bool) -> None:
        self.start = start
        self.end = start
        self.shared = False
        self.flow = flow
        self.items: list[Node] = []


@dataclass(slots=True)
class Document:
    """One file's text and its root node; `problems` are the faults of its YAML."""

    path: str
    text: str
    root: Node | None
    problems: list[Problem] = field(default_factory=list)
    _lines: list[str] | None = None

    def line(self, number: int) -> str:
        """A line's text without its newline, counted from 0; empty beyond the last."""
        if self._lines is None:
            self._lines = yaml_hints.yaml_lines(self.text)
        return self._lines[number] if number < len(self._lines) else ""

    def place(self, node: Node) -> Place:
        """Where a node stands."""
        return self.spot(node.start, node.end)

    def mark(self, node: Node) -> Place:
        """Where a node stands, without its line; the width of what spans lines is 0, to the end of the first."""
        start, end = node.start, node.end
        width = max(1, end.column - start.column) if end.line == start.line else 0
        return Place(self.path, start.line + 1, start.column + 1, width)

    def spot(self, start: Mark, end: Mark | None = None) -> Place:
        """A place from parser marks; what spans lines is pointed at on its first line."""
        source = self.line(start.line)
        if end is None:
            stop_at = start.column + 1
        else:
            stop_at = end.column if end.line == start.line else len(source.rstrip())
        return Place(self.path, start.line + 1, start.column + 1, max(1, stop_at - start.column), source)


def file_text(path: Path, shown: str) -> str:
    """The file as text without its byte order mark, newlines untouched. Raises ProblemsFound."""
    return decoded(file_bytes(path, shown), shown)


def file_bytes(path: Path, shown: str, limit: int = MAX_BYTES) -> bytes:
    """A regular file's bytes, no more than `limit` of them. Raises ProblemsFound where they can't be had."""
    try:
        return read_regular(path, limit)
    except OSError as error:
        if error.errno == errno.EFBIG:
            raise stop(
                f"the file is larger than {limit // 1_000_000} MB",
                path=shown,
                hint="a record is a few kilobytes; is this the right file?",
            ) from None
        raise stop(f"the file can't be read: {(error.strerror or str(error)).lower()}", path=shown) from None


def decoded(raw: bytes, shown: str) -> str:
    """Bytes to text, as UTF-8; a stray byte is told with its line."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        start = error.start
        line = raw.count(b"\n", 0, start) + 1
        column = start - (raw.rfind(b"\n", 0, start) + 1) + 1
        problem = Problem(
            f"byte 0x{raw[start]:02x} is not UTF-8 text",
            Place(shown, line, column),
            "save the file as UTF-8 in your editor",
        )
        raise ProblemsFound([problem]) from None


def read_text(text: str, shown: str) -> Document:
    """Parse YAML text; every fault of its syntax ends up in `problems`, and then `root` is None."""
    document = Document(shown, text, None)
    bad = yaml_hints.forbidden_character(text)
    if bad >= 0:
        document.problems.append(_character_problem(document, bad))
        return document
    builder = _Builder(document)
    try:
        builder.run(events_of(text))
    except yaml.YAMLError as error:
        document.problems.append(_syntax_problem(document, error))
    document.root = None if document.problems else builder.root
    return document


class _Builder:
    """Builds the node tree from events, in one pass, with the limits held as it goes.

    Each handler takes one event and says whether reading goes on. `top` is the collection being filled, `key` the key
    of it that waits for its value, `outer` what stands open around it.
    """

    __slots__ = (
        "aliases",
        "anchors",
        "count",
        "document",
        "documents",
        "escapes",
        "key",
        "outer",
        "root",
        "top",
    )

    def __init__(self, document: Document) -> None:
        self.document = document
        self.escapes = "\\" in document.text or bool(escapes.unfit(document.text))
        self.root: Node | None = None
        self.top: Mapping | Sequence | None = None
        self.key: Scalar | None = None
        self.outer: list[Mapping | Sequence | None] = []
        self.anchors: dict[str, Node] = {}
        self.aliases = self.count = self.documents = 0

    def run(self, events: Iterator[Event]) -> None:
        """Take the events up to the last, or to the first fault behind which nothing can be made of the rest."""
        handlers: dict[type, Callable[[Event], bool]] = {  # kept by nobody: nodes go as soon as they were read
            yaml.ScalarEvent: self._scalar,
            yaml.MappingStartEvent: self._mapping,
            yaml.SequenceStartEvent: self._sequence,
            yaml.MappingEndEvent: self._end,
            yaml.SequenceEndEvent: self._end,
            yaml.AliasEvent: self._alias,
            yaml.DocumentStartEvent: self._document,
        }
        handler_of = handlers.get
        for event in events:
            handler = handler_of(type(event))
            if handler is not None and not handler(event):
                return

    def _scalar(self, event: Event) -> bool:
        style = event.style or None
        node = Scalar(event.start_mark, event.end_mark, event.value, style)
        if (
            style == '"' and self.escapes and (steers := escapes.unfit(node.text))
        ):  # written as an escape, it is still one
            told = f"the control character U+{ord(steers):04X} can't stand in a text"
            self._fault(event, told, "take its escape out of the quotes")
        if event.tag is not None:
            self._tag(event)
        if event.anchor is not None:
            self._anchor(event.anchor, node)
        return self._add(node, event)

    def _mapping(self, event: Event) -> bool:
        return self._open(Mapping(event.start_mark, event.flow_style), event)

    def _sequence(self, event: Event) -> bool:
        return self._open(Sequence(event.start_mark, event.flow_style), event)

    def _open(self, node: Mapping | Sequence, event: Event) -> bool:
        if event.tag is not None:
            self._tag(event)
        if event.anchor is not None:
            self._anchor(event.anchor, node)
        if not self._add(node, event):
            return False
        self.outer.append(self.top)
        self.top = node
        if len(self.outer) > MAX_DEPTH:
            self._fault(event, f"values are nested more than {MAX_DEPTH} deep", "is this the right file?")
            return False
        return True

    def _end(self, event: Event) -> bool:
        assert self.top is not None
        self.top.end = event.end_mark
        self.top = self.outer.pop()
        return True

    def _document(self, event: Event) -> bool:
        self.documents += 1
        if self.documents > 1:
            self._fault(event, "a second document starts here", "keep one tree to a file; remove the '---'")
        return self.documents == 1

    def _anchor(self, name: str, node: Node) -> None:
        self.anchors[name] = node
        node.shared = True

    def _add(self, node: Node, event: Event) -> bool:
        """Put a node where it belongs: into the open list or mapping, as a key of it, or at the root."""
        self.count += 1
        if self.count > MAX_NODES:
            self._fault(event, f"more than {MAX_NODES:,} values in one file", "is this the right file?")
            return False
        top = self.top
        if type(top) is Mapping:
            key = self.key
            if key is None:
                self.key = self._key(top, node, event)
                return self.key is not None
            top.items[key.text] = node
            self.key = None
        elif type(top) is Sequence:
            top.items.append(node)
        else:
            self.root = node
        return True

    def _key(self, mapping: Mapping, node: Node, event: Event) -> Scalar | None:
        if type(node) is not Scalar:
            self._fault(
                event,
                "expected a word as a key, found a list or a mapping",
                "quote the text if the braces or brackets belong to it",
            )
            return None
        if node.text in mapping.keys:
            first = mapping.keys[node.text]
            self._fault(
                event,
                f"'{node.text}' is given twice",
                f"it stands in line {first.start.line + 1} already; keep one of them",
            )
        mapping.keys[node.text] = node
        return node

    def _alias(self, event: Event) -> bool:
        self.aliases += 1
        target = self.anchors.get(event.anchor or "")
        if self.aliases > MAX_ALIASES:
            self._fault(event, f"more than {MAX_ALIASES} aliases in one file", "write the values out")
        elif target is None:
            self._fault(
                event,
                f"'*{event.anchor}' has no '&{event.anchor}' before it",
                "quote the text if the star belongs to it",
            )
        elif target.end is target.start and not isinstance(target, Scalar):
            self._fault(event, f"'*{event.anchor}' stands inside itself", "write the value out")
        node = Scalar(event.start_mark, event.end_mark, "", None) if target is None else target
        node.shared = True
        return self._add(node, event)

    def _tag(self, event: Event) -> None:
        if event.tag in ("!", None):
            return
        name = event.tag.replace("tag:yaml.org,2002:", "!!")
        self._fault(
            event, f"the YAML tag '{name}' is not used here", "remove it, or quote the text if it belongs to it"
        )

    def _fault(self, event: Event, message: str, hint: str) -> None:
        place = self.document.spot(event.start_mark, event.end_mark)
        self.document.problems.append(Problem(message, place, hint))


def _character_problem(document: Document, index: int) -> Problem:
    line, column = yaml_hints.line_and_column(document.text, index)
    code = ord(document.text[index])
    place = Place(document.path, line + 1, column + 1, 1, yaml_hints.printable(document.line(line)))
    return Problem(
        f"the control character U+{code:04X} can't stand in a text file",
        place,
        "delete it; it often comes from a copy out of another program",
    )


def _syntax_problem(document: Document, error: yaml.YAMLError) -> Problem:
    mark = getattr(error, "problem_mark", None)
    if mark is None:
        return Problem(f"this is not YAML: {error}".splitlines()[0], Place(document.path))
    context = getattr(error, "context_mark", None)
    advice = yaml_hints.advice(
        document.text,
        mark.line,
        mark.column,
        str(getattr(error, "problem", "")),
        str(getattr(error, "context", "") or ""),
        context.line if context else None,
        context.column if context else None,
    )
    place = Place(document.path, advice.line + 1, advice.column + 1, advice.width, document.line(advice.line))
    return Problem(advice.message, place, advice.hint)
