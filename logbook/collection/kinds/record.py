"""A mapping with known keys: reads it key by key, and makes of its fields all that a kind can do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from types import MappingProxyType
from typing import Any, Generic, TypeAlias, overload

from ...diagnostics import listed, nearest
from ..units import Units
from ..yaml_editor import Value
from ..yaml_reader import Mapping as MappingNode
from ..yaml_reader import Node, Scalar
from .base import FAILED, AnyField, Context, Failed, Kind, NoteContext, Schema, T, Values, WordLists, bare
from .compound import Listing
from .hearing import NoteWords
from .scalars import Text

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Build: TypeAlias = Callable[[Values, Context, MappingNode], T | Failed]
Parts: TypeAlias = Callable[[T], Mapping[str, object]]


class Record(Kind[T], Generic[T]):
    """A mapping with known keys.

    `build` makes the model's object out of the keys' values, `parts` takes it apart again: what was given, by key.
    Without them the values themselves are the object. `nothing` is said where none of the fields is.
    """

    @overload
    def __init__(self: Record[Values], what: str, fields: Sequence[AnyField]) -> None: ...

    @overload
    def __init__(
        self,
        what: str,
        fields: Sequence[AnyField],
        build: Build[T],
        parts: Parts[T] | None = None,
        nothing: str = "",
    ) -> None: ...

    def __init__(
        self,
        what: str,
        fields: Sequence[AnyField],
        build: Build[T] | None = None,
        parts: Parts[T] | None = None,
        nothing: str = "",
    ) -> None:
        self.what = what
        self.fields = tuple(fields)
        self.by_key = {f.key: f for f in self.fields}
        self._order = {f.key: n for n, f in enumerate(self.fields)}
        self.required = tuple(f.key for f in self.fields if f.required)
        self.nothing = nothing
        self._build = build
        self._parts = parts

    def described(self) -> str:
        """What it is, with its keys."""
        return f"{self.what} with {listed([f.key for f in self.fields], 'and')}"

    def inner(self) -> object:
        """The record itself: it has keys of its own."""
        return self

    # -- files ---------------------------------------------------------------------------------------------------------

    def read(self, node: Node, context: Context) -> T | Failed:
        """The value its keys make; FAILED where it is no mapping, or a key is wrong or missing."""
        if type(node) is not MappingNode:
            return context.fault(
                node,
                f"expected {self.what} as 'key: value' lines",
                f"keys here: {', '.join(f.key for f in self.fields)}",
            )
        values: Values = {}
        sound = True
        by_key = self.by_key
        for key, item in node.items.items():
            known = by_key.get(key)
            if known is None:
                sound &= self._unknown(node, item, key, context)
            elif type(item) is Scalar and item.is_null and not isinstance(known.kind, Listing):
                continue
            else:
                value = known.kind.read(item, context)
                if value is FAILED:
                    sound = False
                else:
                    values[known.key] = value  # the declared key, which all records share, and not this file's text
        sound = self._complete(node, values, sound, context)
        if not sound:
            return FAILED
        result: T | Failed = self._build(values, context, node) if self._build else values  # type: ignore[assignment]
        return result

    def _complete(self, node: MappingNode, values: Values, sound: bool, context: Context) -> bool:
        """Whether the keys that must stand do."""
        for key in self.required:
            if key not in node.items:
                context.fault(node, f"{self.what} lacks '{key}'", f"add: {key}: … ({self.by_key[key].doc})")
                sound = False
            elif key not in values and sound:
                context.fault(node.items[key], f"'{key}' has no value", self.by_key[key].doc)
                sound = False
        return sound

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

    def parts(self, value: T) -> Mapping[str, object]:
        """What an object holds, by key, in the order of the fields; what was never given is left out."""
        given = self._parts(value) if self._parts else value
        assert isinstance(given, Mapping), f"{self.what} can't be taken apart"
        order = self._order
        return {key: given[key] for key in sorted([key for key in given if key in order], key=order.__getitem__)}

    def written(self, value: T, units: Units) -> Value:
        """A mapping of the keys that were given, in the order of the fields."""
        return self.entries(self.parts(value), units)

    def entries(self, parts: Mapping[str, object], units: Units) -> dict[str, Value]:
        """Values by key as they stand in a file, in the order of the fields. Raises KeyError for a key that is none."""
        stray = [key for key in parts if key not in self.by_key]
        if stray:
            raise KeyError(f"'{stray[0]}' is no key of {self.what}")
        return {f.key: f.kind.written(parts[f.key], units) for f in self.fields if f.key in parts}

    def schema(self, words: WordLists) -> Schema:
        """An object with its keys, and no others but those that begin with `x-`."""
        return {
            "type": "object",
            "properties": {
                f.key: {**_nullable(f.kind.schema(words), f.required), "description": f.doc} for f in self.fields
            },
            "required": list(self.required),
            "patternProperties": {"^x-": {}},
            "additionalProperties": False,
        }

    # -- paper and notes -----------------------------------------------------------------------------------------------

    def render(self, value: T, units: Units) -> str:
        """The fields in words, or the word for nothing."""
        parts = self.parts(value)
        return said([self.by_key[key] for key in parts], parts, units) or self.nothing

    @cached_property
    def note_words(self) -> NoteWords:
        """The words by which a note names its fields."""
        return NoteWords(self.fields)

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[T, int] | None:
        """Fields one behind the other, each once, as far as they read; free text goes first and ends before the others."""
        text = next((f for f in self.fields if type(f.kind) is Text and f.words.bare), None)
        if text is not None:
            return self._after_text(text, tokens, note)
        if self.nothing and [bare(t) for t in tokens] == self.nothing.split():
            return self.heard({}), len(tokens)
        parts, used = self.note_words.run(tokens, replace(note, had=()))
        complete = parts and all(key in parts for key in self.required)
        return (self.heard(parts), used) if complete else None

    def _after_text(self, text: AnyField, tokens: Sequence[str], note: NoteContext) -> tuple[T, int] | None:
        for at in range(1, len(tokens)):
            parts, used = self.note_words.run(tokens[at:], replace(note, had=(text.key,)))
            if parts and at + used == len(tokens):
                return self.heard({text.key: " ".join(tokens[:at]), **parts}), len(tokens)
        return (self.heard({text.key: " ".join(tokens)}), len(tokens)) if tokens else None

    def begins(self, tokens: Sequence[str]) -> bool:
        """Whether these words of a note may begin one."""
        return self.note_words.begins(tokens)

    def spoken(self) -> tuple[str, ...]:
        """Single words that a note may give it by."""
        return self.note_words.single

    def heard(self, parts: Mapping[str, object]) -> T:
        """The object made of values that a note gave; overridden where a model is made of them."""
        result: T = dict(parts)  # type: ignore[assignment]
        return result


def said(fields: Iterable[AnyField], parts: Mapping[str, object], units: Units) -> str:
    """What paper says of values by key, each with its field's own words, joined as those say."""
    text = glue = ""
    for field in fields:
        words = field.said(parts[field.key], units) if field.key in parts else ""
        if words:
            text, glue = f"{text}{glue}{words}", field.words.glue
    return text


def document_schema(
    record: Record[T], title: str, words: WordLists, lent: Mapping[str, Kind[Any]] = MappingProxyType({})
) -> Schema:
    """A whole JSON Schema (draft 2020-12) for one kind of file, so that editors complete and check it.

    `lent` are the kinds of other rooms that its `Later` values stand for.
    """
    defs = {"$defs": {name: kind.schema(words) for name, kind in lent.items()}} if lent else {}
    return {"$schema": DRAFT, "title": title, **record.schema(words), **defs}


def _nullable(schema: Schema, required: bool) -> Schema:
    """A key left without a value counts as not given."""
    return schema if required else {"anyOf": [schema, {"type": "null"}]}
