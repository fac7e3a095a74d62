"""The engine behind the one declarative table: kinds of values, and records made of fields.

A `Record` (see fields.py) is plain data about keys; this module reads nodes against it, reports every fault with
its place, and returns plain Python values. It knows no key by name.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Protocol

from ..diagnostics import Problem, listed, nearest
from .dates import NotADate, read_day, read_month_day, read_when
from .units import METRIC, Units, wire_mm
from .yaml_reader import Document, Node, Scalar
from .yaml_reader import Mapping as MappingNode
from .yaml_reader import Sequence as SequenceNode

_NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)")
FAILED: Final = object()


@dataclass(slots=True)
class Context:
    """What reading one document needs to know, and where its faults go."""

    document: Document
    units: Units = METRIC
    southern: bool = False
    words: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    species_advice: Callable[[str], Problem | None] = lambda _species: None
    problems: list[Problem] = field(default_factory=list)

    def fault(self, node: Node, message: str, hint: str = "") -> object:
        self.problems.append(Problem(message, self.document.place(node), hint))
        return FAILED


class Kind(Protocol):
    """One kind of value. `read` gives a Python value, or FAILED after reporting why."""

    def read(self, node: Node, context: Context) -> Any: ...

    def described(self) -> str: ...


def _scalar(node: Node, context: Context, wanted: str) -> str | None:
    if type(node) is Scalar and not node.is_null:
        return node.text
    found = {MappingNode: "a mapping", SequenceNode: "a list"}.get(type(node), "nothing")
    context.fault(node, f"expected {wanted}, found {found}")
    return None


@dataclass(frozen=True, slots=True)
class Text:
    """Any text; trimmed, never empty."""

    what: str = "text"

    def read(self, node: Node, context: Context) -> Any:
        text = _scalar(node, context, self.what)
        if text is None:
            return FAILED
        return text.strip() or context.fault(node, f"expected {self.what}, found nothing")

    def described(self) -> str:
        return self.what


class InnerPath(Text):
    """A path inside the collection; forward slashes, since every system reads those, whatever it was written with."""

    def read(self, node: Node, context: Context) -> Any:
        text = Text.read(self, node, context)
        return text.replace("\\", "/") if isinstance(text, str) else text


@dataclass(frozen=True, slots=True)
class Placed:
    """A value with its place, for checks that need the trade's data."""

    kind: Kind

    def read(self, node: Node, context: Context) -> Any:
        value = self.kind.read(node, context)
        return value if value is FAILED else (value, context.document.place(node))

    def described(self) -> str:
        return self.kind.described()


@dataclass(frozen=True, slots=True)
class Pattern:
    """Text of one form."""

    what: str
    form: str
    hint: str

    def read(self, node: Node, context: Context) -> Any:
        text = _scalar(node, context, self.what)
        if text is None:
            return FAILED
        if re.fullmatch(self.form, text):
            return text
        curly = 'type straight quotes (") instead of curly ones' if set(text) & set("“”‘’") else ""
        return context.fault(node, f"expected {self.what}, found '{text}'", curly or self.hint)

    def described(self) -> str:
        return self.what


@dataclass(frozen=True, slots=True)
class Word:
    """One of a set of words: given here, or under a name in the context where the trade's data supplies them."""

    what: str
    choices: tuple[str, ...] = ()
    named: str = ""

    def known(self, context: Context) -> tuple[str, ...]:
        return context.words.get(self.named, ()) if self.named else self.choices

    def read(self, node: Node, context: Context) -> Any:
        text = _scalar(node, context, self.what)
        if text is None:
            return FAILED
        known = self.known(context)
        if text in known or text in context.words.get(f"{self.named}, formerly", ()):
            return text
        close = nearest(text, known)
        if close.casefold() == text.casefold() and close:
            return close
        hint = f"did you mean '{close}'?" if close else f"one of: {', '.join(known)}"
        return context.fault(node, f"expected {self.what}, found '{text}'", hint)

    def described(self) -> str:
        return f"{self.what}: {', '.join(self.choices)}" if self.choices else self.what


@dataclass(frozen=True, slots=True)
class Number:
    """A number within limits; `convert` brings the collection's unit to the inside one."""

    what: str
    low: float
    high: float
    whole: bool = False
    convert: Callable[[Units, float], float] | None = None
    unit: str = ""

    def read(self, node: Node, context: Context) -> Any:
        text = _scalar(node, context, self.what)
        if text is None:
            return FAILED
        if not _NUMBER.fullmatch(text):
            hint = "write a decimal point, not a comma" if re.fullmatch(r"-?\d+,\d+", text) else ""
            minus = text[:1] in "−–" and _NUMBER.fullmatch(text[1:])
            return context.fault(
                node, f"expected {self.what}, found '{text}'", "type an ordinary minus sign '-'" if minus else hint
            )
        number = float(text)
        inside = self.convert(context.units, number) if self.convert else number
        if self.whole and number != int(number):
            return context.fault(node, f"expected {self.what}, found {text}", "a whole number is wanted")
        if not self.low <= inside <= self.high:
            return context.fault(
                node, f"{text} is out of range for {self.what}", f"expected {self.low:g} to {self.high:g}{self.unit}"
            )
        return int(number) if self.whole else inside

    def described(self) -> str:
        return f"{self.what}, {self.low:g} to {self.high:g}{self.unit}"


@dataclass(frozen=True, slots=True)
class Flag:
    what: str = "true or false"

    def read(self, node: Node, context: Context) -> Any:
        text = _scalar(node, context, self.what)
        if text is None:
            return FAILED
        if text in ("true", "false"):
            return text == "true"
        return context.fault(node, f"expected true or false, found '{text}'", "write true or false")

    def described(self) -> str:
        return self.what


@dataclass(frozen=True, slots=True)
class Date:
    """A partial date (`When`), a whole day (`date`) or a month and day (pair), by `form`."""

    form: str = "when"

    def read(self, node: Node, context: Context) -> Any:
        text = _scalar(node, context, "a date")
        if text is None:
            return FAILED
        try:
            if self.form == "when":
                return read_when(text, context.southern)
            return read_day(text) if self.form == "day" else read_month_day(text)
        except NotADate as error:
            return context.fault(node, str(error), error.hint)

    def described(self) -> str:
        return {"when": "a date: 2026-10-14, 2026-10, 2026, 2026~ or 2026-23", "day": "a day: 2026-10-14"}.get(
            self.form, "a month and day: 04-24"
        )


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire size: mm, or a gauge such as `10ga`, whatever the collection's units."""

    def read(self, node: Node, context: Context) -> Any:
        text = _scalar(node, context, "a wire size")
        if text is None:
            return FAILED
        size = wire_mm(text)
        if size is None:
            return context.fault(
                node, f"expected a wire size, found '{text}'", "write millimetres (2.5) or a gauge (10ga)"
            )
        if not 0.3 <= size <= 13:
            return context.fault(node, f"{text} is out of range for a wire size", "expected 0.3 to 13 mm")
        return size

    def described(self) -> str:
        return "a wire size: mm, or a gauge such as 10ga"


@dataclass(frozen=True, slots=True)
class Listing:
    """A list of one kind; a single value stands for a list of one where `lone` says so."""

    kind: Kind
    what: str
    exactly: int = 0
    lone: bool = False

    def read(self, node: Node, context: Context) -> Any:
        if type(node) is not SequenceNode:
            if self.lone and type(node) is Scalar and not node.is_null:
                value = self.kind.read(node, context)
                return value if value is FAILED else (value,)
            if type(node) is Scalar and node.is_null and not self.exactly:
                return ()
            return context.fault(node, f"expected {self.what}", "write [first, second] or one '- item' to a line")
        if self.exactly and len(node.items) != self.exactly:
            return context.fault(node, f"expected {self.exactly} values for {self.what}, found {len(node.items)}")
        kind = self.kind
        values = [kind.read(item, context) for item in node.items]
        return FAILED if FAILED in values else tuple(values)

    def described(self) -> str:
        return f"{self.what} (list of {self.kind.described()})"


@dataclass(frozen=True, slots=True)
class Table:
    """A mapping from names to one kind of value; the names may be checked against words of the trade."""

    kind: Kind
    what: str
    names: Word | None = None
    key_form: str = ""
    key_hint: str = ""

    def read(self, node: Node, context: Context) -> Any:
        if type(node) is not MappingNode:
            if type(node) is Scalar and node.is_null:
                return {}
            return context.fault(node, f"expected {self.what}", "write name: value, one to a line")
        values: dict[str, Any] = {}
        for key, item in node.items.items():
            name = self._name(node, key, context)
            value = self.kind.read(item, context)
            if name is not FAILED and value is not FAILED:
                values[name] = value
        return values

    def _name(self, node: MappingNode, key: str, context: Context) -> Any:
        if self.names is not None:
            return self.names.read(node.keys[key], context)
        if self.key_form and not re.fullmatch(self.key_form, key):
            return context.fault(node.keys[key], f"'{key}' can't be a name in {self.what}", self.key_hint)
        return key

    def described(self) -> str:
        return f"{self.what} (name: {self.kind.described()})"


@dataclass(frozen=True, slots=True)
class Either:
    """A mapping read as one kind, anything else as another."""

    mapping: Kind
    other: Kind

    def read(self, node: Node, context: Context) -> Any:
        return (self.mapping if type(node) is MappingNode else self.other).read(node, context)

    def described(self) -> str:
        return f"{self.other.described()}, or {self.mapping.described()}"


@dataclass(frozen=True, slots=True)
class Field:
    """A key of a record: its kind, whether it must stand, and a line for the docs."""

    key: str
    kind: Kind
    doc: str
    required: bool = False


@dataclass(frozen=True, slots=True)
class Record:
    """A mapping with known keys. `build` makes the model's object out of the values and their place."""

    what: str
    fields: tuple[Field, ...]
    build: Callable[..., Any] | None = None
    by_key: dict[str, Field] = field(init=False, repr=False, compare=False)
    required: tuple[str, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_key", {f.key: f for f in self.fields})
        object.__setattr__(self, "required", tuple(f.key for f in self.fields if f.required))

    def described(self) -> str:
        return f"{self.what} with {listed([f.key for f in self.fields], 'and')}"

    def read(self, node: Node, context: Context) -> Any:
        if type(node) is not MappingNode:
            return context.fault(
                node,
                f"expected {self.what} as 'key: value' lines",
                f"keys here: {', '.join(f.key for f in self.fields)}",
            )
        values: dict[str, Any] = {}
        sound = True
        by_key = self.by_key
        for key, item in node.items.items():
            known = by_key.get(key)
            if known is None:
                sound &= self._unknown(node, item, key, context)
            elif type(item) is Scalar and item.is_null and type(known.kind) is not Listing:
                continue
            else:
                value = known.kind.read(item, context)
                if value is FAILED:
                    sound = False
                else:
                    values[key] = value
        for key in self.required:
            if key not in node.items:
                context.fault(node, f"{self.what} lacks '{key}'", f"add: {key}: … ({by_key[key].doc})")
                sound = False
            elif key not in values and sound:
                context.fault(node.items[key], f"'{key}' has no value", by_key[key].doc)
                sound = False
        if not sound:
            return FAILED
        return self.build(values, context, node) if self.build else values

    def _unknown(self, node: MappingNode, item: Node, name: str, context: Context) -> bool:
        key = node.keys[name]
        if name.startswith("x-"):
            return True
        if name != name.strip():
            context.fault(
                key, f"an odd space stands in the key '{name.strip()}'", "indent and separate with plain spaces"
            )
            return False
        close = nearest(name, self.by_key)
        if node.flow and type(item) is Scalar and not item.text and not close:
            context.fault(
                key,
                f"a comma ends the text before '{name}'",
                "inside { } put text that holds a comma in double quotes",
            )
            return False
        hint = f"did you mean '{close}'?" if close else "keys of your own begin with 'x-'"
        context.fault(key, f"'{name}' is no key of {self.what}", hint)
        return False
