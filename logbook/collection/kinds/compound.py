"""Kinds made of others: lists, tables of names, a value with its place, one kind or another."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Generic, TypeVar, cast

from ...diagnostics import Place
from ...values import dataclass
from ..units import Units, sides_mm
from ..yaml_editor import Value
from ..yaml_reader import Mapping as MappingNode
from ..yaml_reader import Node, Scalar
from ..yaml_reader import Sequence as SequenceNode
from .base import FAILED, Context, Failed, Kind, NoteContext, Schema, T, WordLists, bare
from .scalars import Word

S = TypeVar("S")


@dataclass(frozen=True, slots=True)
class Placed(Kind[tuple[T, Place]], Generic[T]):
    """A value with its place, for checks that need the trade's data."""

    kind: Kind[T]

    def read(self, node: Node, context: Context) -> tuple[T, Place] | Failed:
        """The value with the place it stands at."""
        value = self.kind.read(node, context)
        return value if value is FAILED else (value, context.document.place(node))

    def written(self, value: tuple[T, Place], units: Units) -> Value:
        """As the value alone is written."""
        return self.kind.written(value[0], units)

    def schema(self, words: WordLists) -> Schema:
        """The value's own schema."""
        return self.kind.schema(words)

    def described(self) -> str:
        """As the value alone is described."""
        return self.kind.described()

    def inner(self) -> object:
        """What the value's kind is made of."""
        return self.kind.inner()


@dataclass(frozen=True, slots=True)
class Listing(Kind[tuple[T, ...]], Generic[T]):
    """A list of one kind. A single value stands for a list of one where `lone` says so, and is written so if `bared`."""

    kind: Kind[T]
    what: str
    exactly: int = 0
    lone: bool = False
    bared: bool = False

    def read(self, node: Node, context: Context) -> tuple[T, ...] | Failed:
        """The items in their order; FAILED where one of them, or their number, is wrong."""
        if type(node) is not SequenceNode:
            return self._of_one(node, context)
        if self.exactly and len(node.items) != self.exactly:
            return context.fault(node, f"expected {self.exactly} values for {self.what}, found {len(node.items)}")
        read = self.kind.read
        values: list[T] = []
        sound = True
        for item in node.items:
            value = read(item, context)
            if value is FAILED:
                sound = False
            else:
                values.append(value)
        return tuple(values) if sound else FAILED

    def _of_one(self, node: Node, context: Context) -> tuple[T, ...] | Failed:
        """What is no list: nothing where that is allowed, a lone value where one may stand for a list."""
        null = type(node) is Scalar and node.is_null
        if null and not self.exactly:
            return ()
        if self.lone and not null and type(node) is Scalar:
            value = self.kind.read(node, context)
            return value if value is FAILED else (value,)
        return context.fault(node, f"expected {self.what}", "write [first, second] or one '- item' to a line")

    def written(self, value: tuple[T, ...], units: Units) -> Value:
        """A list, or the lone item where it is bared."""
        items = [self.kind.written(item, units) for item in value]
        return items[0] if self.bared and len(items) == 1 else items

    def schema(self, words: WordLists) -> Schema:
        """An array of the items' schema; a lone value and null too, where they may stand for it."""
        several: Schema = {"type": "array", "items": self.kind.schema(words)}
        if self.exactly:
            several |= {"minItems": self.exactly, "maxItems": self.exactly}
            return several
        lone = [self.kind.schema(words)] if self.lone else []
        return {"anyOf": [several, *lone, {"type": "null"}]}

    def described(self) -> str:
        """What the list is of."""
        return f"{self.what} (list of {self.kind.described()})"

    def inner(self) -> object:
        """What the items' kind is made of."""
        return self.kind.inner()

    def render(self, value: tuple[T, ...], units: Units) -> str:
        """The items with commas between."""
        return ", ".join(self.kind.render(item, units) for item in value)

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[tuple[T, ...], int] | None:
        """As many as read, one behind the other, with commas or `and` between."""
        said = [part for token in tokens for part in re.split(r"(?<=,)(?=[^,])", token)]
        ends = _ends(tokens)
        values: list[T] = []
        at = 0
        while at < len(said):
            if values and said[at].casefold() in ("and", "&", ","):
                at += 1
                continue
            found = self.kind.typed(said[at:], note)
            if found is None:
                break
            values.append(found[0])
            at += found[1]
        while at and said[at - 1].casefold() in ("and", "&"):
            at -= 1
        return (tuple(values), ends[at]) if values and at in ends else None


def _ends(tokens: Sequence[str]) -> dict[int, int]:
    """After how many parts, once tokens are parted at their commas, so many whole tokens are used."""
    ends, parts = {0: 0}, 0
    for number, token in enumerate(tokens, start=1):
        parts += len(re.split(r"(?<=,)(?=[^,])", token))
        ends[parts] = number
    return ends


@dataclass(frozen=True, slots=True)
class Sides(Listing[float]):
    """Lengths that belong together: `310 mm × 240 mm × 60 mm`, heard as `310x240x60` too."""

    def render(self, value: tuple[float, ...], units: Units) -> str:
        """The sides with × between, the unit behind each."""
        return " × ".join(self.kind.render(side, units) for side in value)

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[tuple[float, ...], int] | None:
        """Two or three lengths, the longest run of words that reads as such; mm to two places."""
        for count in range(min(len(tokens), 9), 0, -1):
            sides = sides_mm(" ".join(tokens[:count]).rstrip(","), note.units)
            if sides is not None and 2 <= len(sides) <= 3:
                return tuple(round(side, 2) for side in sides), count
        return None


@dataclass(frozen=True, slots=True)
class Table(Kind[Mapping[str, T]], Generic[T]):
    """A mapping from names to one kind of value; the names may be checked against words of the trade."""

    kind: Kind[T]
    what: str
    names: Word | None = None
    key_form: str = ""
    key_hint: str = ""

    def read(self, node: Node, context: Context) -> Mapping[str, T] | Failed:
        """Names with their values; a name or value that is wrong is reported and left out."""
        if type(node) is not MappingNode:
            if type(node) is Scalar and node.is_null:
                return {}
            return context.fault(node, f"expected {self.what}", "write name: value, one to a line")
        values: dict[str, T] = {}
        for key, item in node.items.items():
            name = self._name(node, key, context)
            value = self.kind.read(item, context)
            if name is not FAILED and value is not FAILED:
                values[name] = value
        return values

    def _name(self, node: MappingNode, key: str, context: Context) -> str | Failed:
        if self.names is not None:
            return self.names.read(node.keys[key], context)
        if self.key_form and not re.fullmatch(self.key_form, key):
            return context.fault(node.keys[key], f"'{key}' can't be a name in {self.what}", self.key_hint)
        return key

    def written(self, value: Mapping[str, T], units: Units) -> Value:
        """A mapping, in the order it was read."""
        return {name: self.kind.written(item, units) for name, item in value.items()}

    def schema(self, words: WordLists) -> Schema:
        """An object whose names follow the word list or the form."""
        made: Schema = {"type": ["object", "null"], "additionalProperties": self.kind.schema(words)}
        if self.names is not None:
            made["propertyNames"] = self.names.schema(words)
        elif self.key_form:
            made["propertyNames"] = {"pattern": f"^(?:{self.key_form})$"}
        return made

    def described(self) -> str:
        """What the table is of."""
        return f"{self.what} (name: {self.kind.described()})"

    def inner(self) -> object:
        """What the values' kind is made of."""
        return self.kind.inner()

    def render(self, value: Mapping[str, T], units: Units) -> str:
        """Each value before its name."""
        return " ".join(f"{self.kind.render(item, units)} {name}" for name, item in value.items())

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[Mapping[str, T], int] | None:
        """`2 pumice 1 lava`: a value and its name, in turns; no name twice."""
        values: dict[str, T] = {}
        at = 0
        while at < len(tokens):
            found = self.kind.typed(tokens[at:], note)
            named = at + (found[1] if found else 0)
            if found is None or named >= len(tokens) or bare(tokens[named]) in note.ends:
                break
            name = tokens[named].rstrip(",")
            if name in values:
                return None
            values[name] = found[0]
            at = named + 1
        return (values, at) if values else None


@dataclass(frozen=True, slots=True)
class Either(Kind[T], Generic[T, S]):
    """A mapping read as one kind, anything else as another; `widen` makes the first kind's value of the other's."""

    mapping: Kind[T]
    other: Kind[S]
    widen: Callable[[S], T] | None = None

    def read(self, node: Node, context: Context) -> T | Failed:
        """A mapping by the first kind, anything else by the second, widened."""
        if type(node) is MappingNode:
            return self.mapping.read(node, context)
        value = self.other.read(node, context)
        if value is FAILED:
            return value
        return self.widen(value) if self.widen else cast("T", value)  # else both kinds give the same

    def written(self, value: T, units: Units) -> Value:
        """The short form where only the first key would stand."""
        keys = self.mapping.written(value, units)
        if self.widen and isinstance(keys, Mapping) and len(keys) == 1:
            return next(iter(keys.values()))
        return keys

    def schema(self, words: WordLists) -> Schema:
        """Either kind's schema."""
        return {"anyOf": [self.mapping.schema(words), self.other.schema(words)]}

    def described(self) -> str:
        """The short form first, then the mapping."""
        return f"{self.other.described()}, or {self.mapping.described()}"

    def inner(self) -> object:
        """What the mapping's kind is made of."""
        return self.mapping.inner()

    def render(self, value: T, units: Units) -> str:
        """As the first kind renders it."""
        return self.mapping.render(value, units)

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[T, int] | None:
        """As the first kind hears it."""
        return self.mapping.typed(tokens, note)
