"""Kinds that are one piece of text: free text, paths, forms, words of a set, yes or no, dates."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import field

from ...diagnostics import nearest
from ...values import dataclass
from ..dates import MONTH_DAY_FORM, MONTHS, WHEN_FORM, NotADate, When, read_month_day, read_when, typed_when
from ..units import Units
from ..yaml_editor import Value
from ..yaml_reader import Node
from .base import FAILED, Context, Failed, Kind, NoteContext, Schema, T, WordLists, bare, scalar

_SMALL_WORDS = frozenset(("a", "an", "as", "at", "if", "in", "is", "it", "no", "of", "on", "or", "so", "to", "up"))
LEAST_CUT = 3  # letters to which a word may be shortened


@dataclass(frozen=True, slots=True)
class Text(Kind[str]):
    """Any text; trimmed, never empty. In a note it is all that is left of the part."""

    what: str = "text"

    def read(self, node: Node, context: Context) -> str | Failed:
        """The text without the space around it."""
        text = scalar(node, context, self.what)
        if text is None:
            return FAILED
        return text.strip() or context.fault(node, f"expected {self.what}, found nothing")

    def written(self, value: str, units: Units) -> Value:  # noqa: ARG002
        """The text itself."""
        return value

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """Anything a plain scalar may be taken for."""
        return {"type": ["string", "number", "boolean"], "description": self.what}

    def described(self) -> str:
        """What it is, in a word or two."""
        return self.what

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[str, int] | None:  # noqa: ARG002
        """All the words that are left."""
        return (" ".join(tokens), len(tokens)) if tokens else None


class InnerPath(Text):
    """A path inside the collection; forward slashes, since every system reads those, whatever it was written with."""

    def read(self, node: Node, context: Context) -> str | Failed:
        """The path with forward slashes."""
        text = Text.read(self, node, context)
        return text if text is FAILED else text.replace("\\", "/")

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[str, int] | None:
        """One word, or several that end as a file's name does and name a folder."""
        whole = Text.typed(self, tokens, note)
        sound = len(tokens) == 1 or re.fullmatch(r".+[/\\].+\.\w{2,4}", " ".join(tokens))
        return whole if sound else None


class PlaceName(Text):
    """Where a tree stands. In a note `to` and two words, or a few that end in a number: no remark is taken for a place."""

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[str, int] | None:  # noqa: ARG002
        """The place, without a `to` before it; all the words or none."""
        to = bool(tokens) and bare(tokens[0]) == "to"
        said = tokens[1:] if to else tokens
        numbered = len(said) <= 4 and re.fullmatch(r"\d{1,3}[a-z]?", said[-1] if said else "")
        return (" ".join(said), len(tokens)) if said and (numbered or (to and len(said) <= 2)) else None


class Person(Text):
    """Who did something. In a note an initial or two, or one name with a capital; several hands as `m/j`."""

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[str, int] | None:  # noqa: ARG002
        """One word; neither a month, nor a season, nor a small word of the language."""
        said = tokens[0].rstrip(",.") if tokens else ""
        return (said, 1) if all(map(self._is_named, said.split("/"))) else None

    @staticmethod
    def _is_named(word: str) -> bool:
        dated = word[:3].capitalize() in MONTHS or word.casefold() in ("spring", "summer", "autumn", "fall", "winter")
        return (
            word.isalpha()
            and not dated
            and word not in _SMALL_WORDS
            and (len(word) <= 2 or (word[0].isupper() and word[1:].islower()))
        )


@dataclass(frozen=True, slots=True)
class Pattern(Kind[str]):
    """Text of one form; `heard` is a narrower one for notes, where a word may mean something else."""

    what: str
    form: str
    hint: str
    heard: str = ""

    def read(self, node: Node, context: Context) -> str | Failed:
        """The text as it stands, where the whole of it has the form."""
        text = scalar(node, context, self.what)
        if text is None:
            return FAILED
        if re.fullmatch(self.form, text):
            return text
        curly = 'type straight quotes (") instead of curly ones' if set(text) & set("“”‘’") else ""
        return context.fault(node, f"expected {self.what}, found '{text}'", curly or self.hint)

    def written(self, value: str, units: Units) -> Value:  # noqa: ARG002
        """The text itself."""
        return value

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """Text of the form, or a number that may be taken for it."""
        return {
            "anyOf": [{"type": "string", "pattern": f"^(?:{self.form})$"}, {"type": "number"}],
            "description": f"{self.what}: {self.hint}",
        }

    def described(self) -> str:
        """What it is, in a word or two."""
        return self.what

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[str, int] | None:  # noqa: ARG002
        """One word of the form."""
        word = tokens[0].rstrip(",") if tokens else ""
        return (word, 1) if re.fullmatch(self.heard or self.form, word) else None


@dataclass(frozen=True, slots=True)
class Word(Kind[str]):
    """One of a set of words: given here, or under a name in the context where the trade's data supplies them.

    `also` are further words that notes use for them; `silent` is what a note means that says none.
    """

    what: str
    words: tuple[str, ...] = ()
    named: str = ""
    also: Mapping[str, str] = field(default_factory=dict, hash=False)
    silent: str = ""

    def known(self, lists: WordLists) -> tuple[str, ...]:
        """The words of the set, its own or those of the list it is named after; none where there is no such list."""
        return lists.get(self.named, ()) if self.named else self.words

    def read(self, node: Node, context: Context) -> str | Failed:
        """The word as the set has it: a former name as what it is called now, capitals as they should be."""
        text = scalar(node, context, self.what)
        if text is None:
            return FAILED
        known = self.known(context.words)
        if self.named and text not in known and text in context.renamed.get(self.named, ()):
            return context.renamed[self.named][text]
        if text in known or (self.named and text in context.words.get(f"{self.named}, formerly", ())):
            return sys.intern(text)  # one word for all files, and not one of each
        close = nearest(text, known)
        if close.casefold() == text.casefold() and close:
            return close
        hint = f"did you mean '{close}'?" if close else f"one of: {', '.join(known)}"
        return context.fault(node, f"expected {self.what}, found '{text}'", hint)

    def written(self, value: str, units: Units) -> Value:  # noqa: ARG002
        """The word itself."""
        return value

    def schema(self, words: WordLists) -> Schema:
        """The words that may stand."""
        return {"enum": list(self.known(words)), "description": self.what}

    def described(self) -> str:
        """What it is, with its words where they are its own."""
        return f"{self.what}: {', '.join(self.words)}" if self.words else self.what

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[str, int] | None:
        """The longest run of words that names one of the set, each perhaps shortened."""
        said = [bare(token) for token in tokens]
        names = {**{word: word for word in self.known(note.words)}, **self.also}
        for count in range(min(len(said), max((len(n.split()) for n in names), default=0)), 0, -1):
            found = one_of(" ".join(said[:count]), names)
            if found:
                return names[found], count
        return (self.silent, 0) if self.silent and not said else None

    def choices(self, note: NoteContext) -> tuple[str, ...]:
        """Every word of the set."""
        return self.known(note.words)


def one_of(said: str, names: Iterable[str]) -> str:
    """The name that was typed, whole or with each of its words, or its end, cut short, while it fits one only; else ""."""
    known = tuple(names)
    if said in known:
        return said
    parts = said.split()
    hits = [name for name in known if words_match(parts, name.split())] or [
        name for name in known if len(said) >= LEAST_CUT and name.startswith(said)
    ]
    return hits[0] if len(hits) == 1 else ""


def words_match(typed: Sequence[str], phrase: Sequence[str]) -> bool:
    """Whether typed words are the phrase's, each perhaps shortened (to three letters or more)."""
    return len(typed) == len(phrase) and all(
        word == full or (len(word) >= LEAST_CUT and full.startswith(word))
        for word, full in zip(typed, phrase, strict=True)
    )


@dataclass(frozen=True, slots=True)
class Named(Kind[T]):
    """A word of a set that stands for a value of ours."""

    word: Word
    values: Mapping[str, T] = field(hash=False)

    def read(self, node: Node, context: Context) -> T | Failed:
        """The value that the word stands for."""
        text = self.word.read(node, context)
        return text if text is FAILED else self.values[text]

    def written(self, value: T, units: Units) -> Value:  # noqa: ARG002
        """The word that stands for the value. Raises StopIteration for a value that has none."""
        return next(name for name, one in self.values.items() if one == value)

    def schema(self, words: WordLists) -> Schema:
        """The words that may stand."""
        return self.word.schema(words)

    def described(self) -> str:
        """As its words are described."""
        return self.word.described()


@dataclass(frozen=True, slots=True)
class Converted(Kind[T]):
    """Text that is brought into another form; `convert` gives None for what is none of it."""

    what: str
    convert: Callable[[str], T | None]
    back: Callable[[T], str]
    hint: str

    def read(self, node: Node, context: Context) -> T | Failed:
        """The text in its other form."""
        text = scalar(node, context, self.what)
        if text is None:
            return FAILED
        value = self.convert(text.strip())
        return (
            context.fault(node, f"expected {self.what}, found '{text.strip()}'", self.hint)
            if value is None
            else value
        )

    def written(self, value: T, units: Units) -> Value:  # noqa: ARG002
        """The value as text again."""
        return self.back(value)

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """Anything a plain scalar may be taken for."""
        return {"type": ["string", "number", "boolean"], "description": self.what}

    def described(self) -> str:
        """What it is, with the hint."""
        return f"{self.what} ({self.hint})"


@dataclass(frozen=True, slots=True)
class Flag(Kind[bool]):
    """True or false; in a note it is enough that its field is named."""

    what: str = "true or false"

    def read(self, node: Node, context: Context) -> bool | Failed:
        """True or false, by those two words alone."""
        text = scalar(node, context, self.what)
        if text is None:
            return FAILED
        if text in ("true", "false"):
            return text == "true"
        return context.fault(node, f"expected true or false, found '{text}'", "write true or false")

    def written(self, value: bool, units: Units) -> Value:  # noqa: ARG002
        """The flag itself."""
        return value

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """A boolean."""
        return {"type": "boolean"}

    def described(self) -> str:
        """What it is, in a word or two."""
        return self.what

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[bool, int] | None:  # noqa: ARG002
        """True without a word, since its field was named."""
        return True, 0


@dataclass(frozen=True, slots=True)
class Date(Kind[When]):
    """A date of any precision."""

    def read(self, node: Node, context: Context) -> When | Failed:
        """The date, whole or partial."""
        text = scalar(node, context, "a date")
        if text is None:
            return FAILED
        try:
            return read_when(text, context.southern)
        except NotADate as error:
            return context.fault(node, str(error), error.hint)

    def written(self, value: When, units: Units) -> Value:  # noqa: ARG002
        """The date as it was given."""
        return value.text

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """Text of a date's form, or a year as an integer."""
        return {
            "anyOf": [{"type": "string", "pattern": f"^(?:{WHEN_FORM})$"}, {"type": "integer"}],
            "description": self.described(),
        }

    def described(self) -> str:
        """The forms a date may take."""
        return "a date: 2026-10-14, 2026-10, 2026, 2026~ or 2026-23"

    def render(self, value: When, units: Units) -> str:  # noqa: ARG002
        """The date in words."""
        return value.told()

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[When, int] | None:
        """As paper says it (`about autumn 2016`) or as files do (`2016-23`): up to four words."""
        for count in range(min(4, len(tokens)), 0, -1):
            when = typed_when(" ".join(tokens[:count]).rstrip(","), note.southern)
            if when is not None:
                return when, count
        return None


@dataclass(frozen=True, slots=True)
class MonthDay(Kind[tuple[int, int]]):
    """A month and a day, of any year."""

    def read(self, node: Node, context: Context) -> tuple[int, int] | Failed:
        """Month and day, 1 to 12 and 1 to 31."""
        text = scalar(node, context, "a date")
        if text is None:
            return FAILED
        try:
            return read_month_day(text)
        except NotADate as error:
            return context.fault(node, str(error), error.hint)

    def written(self, value: tuple[int, int], units: Units) -> Value:  # noqa: ARG002
        """Two digits each, as `04-24`."""
        return f"{value[0]:02d}-{value[1]:02d}"

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """Text of the form, or an integer that it may be taken for."""
        return {
            "anyOf": [{"type": "string", "pattern": f"^(?:{MONTH_DAY_FORM})$"}, {"type": "integer"}],
            "description": self.described(),
        }

    def described(self) -> str:
        """What it is, with an example."""
        return "a month and day: 04-24"
