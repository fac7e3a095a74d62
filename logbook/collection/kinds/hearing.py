"""Which field a note's words begin with, out of the words that the fields declare."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import TypeAlias

from ...values import dataclass
from .base import AnyField, NoteContext, bare
from .compound import Listing, Sides
from .numbers import Number, Whole
from .scalars import LEAST_CUT

Parts: TypeAlias = dict[str, object]
NOT_CUT = frozenset(("need",))  # no shortened `needle`


@dataclass(frozen=True, slots=True)
class Heard:
    """A field with the value that was typed for it, and how many words both took."""

    field: AnyField
    value: object
    used: int


class NoteWords:
    """The words by which a record's fields are known in notes."""

    __slots__ = ("_cut", "_exact", "ends", "fields", "longest")

    def __init__(self, fields: Sequence[AnyField]) -> None:
        self.fields = tuple(f for f in fields if _is_heard(f))
        self._exact = {word: f for f in self.fields for word in (*f.words.starts, *f.words.exact)}
        self._cut = {word: f for f in self.fields for word in f.words.starts}
        self.ends = frozenset(word for f in self.fields for word in f.words.ends)
        self.longest = max((len(word.split()) for word in self._exact), default=0)

    @property
    def single(self) -> tuple[str, ...]:
        """The starting words of fields that are asked about where they are not understood."""
        own = tuple(w for w, f in self._exact.items() if w.isalpha() and not f.words.quiet)
        return own + tuple(w for f in self.fields if f.words.bare for w in f.kind.spoken())

    def start(self, tokens: Sequence[str]) -> tuple[AnyField, int] | None:
        """The field that the words begin with by name, and how many words name it."""
        for count in range(min(self.longest, len(tokens)), 0, -1):
            as_typed = " ".join(tokens[:count]).casefold()
            known = self._exact.get(as_typed) or self._exact.get(as_typed.rstrip(":,"))
            if known:
                return known, count
        return self._shortened(tokens)

    def _shortened(self, tokens: Sequence[str]) -> tuple[AnyField, int] | None:
        low = bare(tokens[0]) if tokens else ""
        if len(low) < LEAST_CUT or low in NOT_CUT:
            return None
        hits = {f.key: f for word, f in self._cut.items() if word.startswith(low)}
        return (hits.popitem()[1], 1) if len(hits) == 1 else None

    def begins(self, tokens: Sequence[str]) -> bool:
        """Whether the words begin like a field that is asked about where it is not understood."""
        found = self.start(tokens)
        if found is None:
            return any(f.words.bare and f.kind.begins(tokens) for f in self.fields)
        if found[0].words.quiet:
            return False
        if not _is_measured(found[0]):
            return True
        return len(tokens) > found[1] and tokens[found[1]][:1].isdigit()

    def run(self, tokens: Sequence[str], note: NoteContext, fillers: Collection[str] = ()) -> tuple[Parts, int]:
        """Fields one behind the other, each once, as far as they read: values by key, and how many words they took."""
        parts: Parts = {}
        at = 0
        while at < len(tokens):
            heard = self.at(tokens[at:], replace(note, had=(*note.had, *parts)))
            if heard is not None:
                _put(parts, heard)
                at += heard.used
            elif bare(tokens[at]) in fillers:
                at += 1
            else:
                break
        return parts, at

    def at(self, tokens: Sequence[str], note: NoteContext) -> Heard | None:
        """The field that the words begin with, by its name or by its value, with that value; none that was had."""
        note = replace(note, ends=note.ends | self.ends)
        named = self.start(tokens)
        if named is not None and _is_open(named[0], note):
            heard = _behind(named[0], tokens, named[1], note)
            if heard is not None:
                return heard
        for field in self.fields:
            if _is_open(field, note) and (heard := _by_value(field, tokens, note)) is not None:
                return heard
        return None


def _is_open(field: AnyField, note: NoteContext) -> bool:
    """Whether a field may still be heard: each once, but a list may go on."""
    return field.key not in note.had or _goes_on(field)


def _goes_on(field: AnyField) -> bool:
    return isinstance(field.kind, Listing) and not isinstance(field.kind, Sides)


def _put(parts: Parts, heard: Heard) -> None:
    before, value = parts.get(heard.field.key), heard.value
    parts[heard.field.key] = (*before, *value) if isinstance(before, tuple) and isinstance(value, tuple) else value


def read_value(field: AnyField, tokens: Sequence[str], note: NoteContext) -> Heard | None:
    """One field's value at the beginning of a note's words, named as the field declares; None where it is not there."""
    return NoteWords((field,)).at(tokens, note)


def _behind(field: AnyField, tokens: Sequence[str], named: int, note: NoteContext) -> Heard | None:
    found = field.kind.typed(tokens[named:], replace(note, named=True))
    return Heard(field, found[0], named + found[1]) if found is not None else None


def _by_value(field: AnyField, tokens: Sequence[str], note: NoteContext) -> Heard | None:
    """A value without its field's name before it: with one of the words that end it, or one that speaks for itself."""
    words = field.words
    if not words.ends and not words.bare:
        return None
    said = _parted(tokens, words.ends)
    found = field.kind.typed(said, note)
    if found is None or not found[1]:
        return None
    value, used = found
    if used < len(said) and bare(said[used]) in words.ends:
        return Heard(field, value, used + 1 - (len(said) - len(tokens)))
    return Heard(field, value, used) if words.bare else None


def _parted(tokens: Sequence[str], ends: Sequence[str]) -> Sequence[str]:
    """`90min` as two words."""
    glued = re.fullmatch(r"(\d+)([a-z]+),?", tokens[0].casefold()) if ends and tokens else None
    return [glued[1], glued[2], *tokens[1:]] if glued and glued[2] in ends else tokens


def _is_heard(field: AnyField) -> bool:
    words = field.words
    return bool(words.starts or words.exact or words.ends or words.bare)


def _is_measured(field: AnyField) -> bool:
    """Whether a number must stand behind the field's name."""
    return isinstance(field.kind, Number | Whole)
