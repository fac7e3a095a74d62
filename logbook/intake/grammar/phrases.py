"""One part of a typed line: a work with its details, or one of the other things that an entry's fields can say.

Knows works by their typed words and everything else by what the fields of an entry declare. Works on words; knows neither
sheets nor trees. Values come out as the fields' own: lengths in mm.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from ...collection.fields import ENTRY, Entry
from ...collection.kinds import NoteContext, NoteWords, Record, read_value
from ...collection.units import Units
from ...diagnostics import nearest
from ...horticulture.knowledge import Knowledge
from ...horticulture.work import Work
from .works import find_work

# a decimal comma, where no list is possible: behind a metal, before a unit
_DECIMAL = re.compile(
    r"((?:copper|cu|aluminium|aluminum|alu|al) \d{1,2}|\b\d{1,2}(?=,\d{1,2} ?mm)),(\d{1,2})(?=\b| ?mm)", re.IGNORECASE
)
_FILLERS = frozenset(("and", "&", "branch", "branches", "with", "on"))
# an end of a sentence, or of a word that was cut short; behind a number only where no further number follows
_STOP = re.compile(r"(?:(?<=[^\W\d])[.!:]|(?<=\d)[.!])(?=\s+[^\W\d]|\s*$)|(?<=[^\W\d])[.!:](?=\s)")
_DAYS_IN_WORDS = frozenset(("today", "yesterday", "last week", "this morning", "last night"))
Fields = Mapping[str, object]  # values by the keys of an entry


@dataclass(frozen=True, slots=True)
class Speech:
    """What a part of a line may say: the trade's works, the units meant, the fields of an entry."""

    knowledge: Knowledge
    units: Units
    entries: Record[Entry] = ENTRY

    @property
    def note(self) -> NoteContext:
        return NoteContext(self.units, self.knowledge.words)

    @property
    def words(self) -> NoteWords:
        return _plain_words(self.entries)


@cache
def _plain_words(entries: Record[Entry]) -> NoteWords:
    """What needs no work to be said."""
    return NoteWords([f for f in entries.fields if not f.words.detail])


@cache
def _detail_words(entries: Record[Entry], details: tuple[str, ...]) -> NoteWords:
    """What may stand behind a work that takes these details; others that go with any work must be named."""
    own = [f for f in entries.fields if f.words.detail and f.key in details]
    named = [f for f in entries.fields if f.words.any_work and f not in own]
    return NoteWords([*own, *(replace(f, words=replace(f.words, bare=False)) for f in named)])


def read_segment(segment: str, speech: Speech) -> Fields | None:
    """One part of a line as entry fields, or None where it is no work and nothing else that a field can say."""
    tokens = re.sub(r",(?=\S)", ", ", _DECIMAL.sub(r"\1.\2", segment)).split()
    tokens = [t for t in tokens if t != ","]
    if not tokens:
        return None
    if "." in tokens[-1] and (path := read_value(speech.entries.by_key["photo"], segment.split(), speech.note)):
        return {"photo": path.value}  # before the work of taking one
    work, used = find_work([t.rstrip(",:") for t in tokens], speech.knowledge)
    if work is not None:
        details = read_details(tokens[used:], work, speech)
        return None if details is None else {"work": work.name, **details}
    return _without_work(segment.split(), speech)


def _without_work(tokens: Sequence[str], speech: Speech) -> Fields | None:
    """One field, or several that may stand together; read to the end or not at all."""
    first = speech.words.at(tokens, speech.note)
    if first is None or first.field.words.follows:
        return None
    if first.used == len(tokens):
        return {first.field.key: first.value}
    if not first.field.words.together:
        return None
    parts, used = _together(speech.entries).run(tokens, speech.note)
    return parts if used == len(tokens) else None


@cache
def _together(entries: Record[Entry]) -> NoteWords:
    return NoteWords([f for f in entries.fields if f.words.together])


def read_addition(segment: str, speech: Speech) -> Fields | None:
    """A part that only adds to the one before it, such as `40 min`; None where it is none."""
    tokens = segment.split()
    parts, used = _additions(speech.entries).run(tokens, speech.note)
    return parts if parts and used == len(tokens) else None


@cache
def _additions(entries: Record[Entry]) -> NoteWords:
    return NoteWords([f for f in entries.fields if f.words.follows])


def read_details(tokens: Sequence[str], work: Work, speech: Speech) -> Fields | None:
    """What stands behind a work's name; None where a word is not understood."""
    parts, used = _detail_words(speech.entries, tuple(work.details)).run(tokens, speech.note, _FILLERS)
    return parts if used == len(tokens) else None


def read_segments(segment: str, speech: Speech) -> list[Fields] | None:
    """One part of a line as one or more entries' fields: whole if it parses, else split where known words begin."""
    whole = read_segment(segment, speech)
    if whole is not None:
        return [whole]
    words = segment.split(" ")
    for at in range(1, len(words)):
        rest = " ".join(words[at:])
        if not known_start(rest, speech):
            continue
        first = read_segment(" ".join(words[:at]), speech)
        if first is None or "note" in first or "intend" in first:
            continue
        others = read_segments(rest, speech)
        if others is not None:
            return [first, *others]
    return None


def read_sentences(segment: str, speech: Speech) -> list[Fields] | None:
    """A part of a line as people punctuate it: `vig. 4`, `wired. 1 2`, `pinched. aphids seen`; None where nothing of it is work."""
    bare = _STOP.sub("", segment).strip()
    if bare != segment and (whole := read_segments(bare, speech)) is not None:
        return whole
    sentences = [s.strip() for s in _STOP.split(segment) if s.strip()]
    if len(sentences) < 2:
        return None
    read = [read_segments(sentence, speech) for sentence in sentences]
    if not any(read) or any(r is None and known_start(s, speech) for r, s in zip(read, sentences, strict=True)):
        return None
    return [part for r, s in zip(read, sentences, strict=True) for part in (r or [{"note": s}])]


def hides_work(segment: str, speech: Speech) -> bool:
    """Whether a part that reads as a remark has a sentence in it that begins like work."""
    return any(known_start(sentence.strip(), speech) for sentence in _STOP.split(segment)[1:])


def not_understood(segment: str, speech: Speech) -> tuple[str, str]:
    """Of a part that begins like work: the first word that can't be read there, and what could stand there, where that is a list."""
    words = segment.split()
    read = next((n for n in range(len(words) - 1, 0, -1) if read_segment(" ".join(words[:n]), speech) is not None), 1)
    at = min(read, len(words) - 1)
    if at + 1 < len(words) and _choices(words[at], speech, behind_work=at > 0):
        at += 1
    before = words[at - 1].casefold() if at else ""
    choices = _choices(before, speech)
    return words[at], f"behind '{before}' stands one of: {', '.join(choices)}" if choices else ""


def _choices(word: str, speech: Speech, *, behind_work: bool = False) -> tuple[str, ...]:
    """What may stand behind a word that names a field, where that is a list; `behind_work` only such as a work takes."""
    low = word.casefold()
    known = (f for f in speech.entries.fields if not behind_work or f.words.detail or f.words.any_work)
    fields = (f for f in known if low in (*f.words.starts, *f.words.exact))
    return next((f.kind.choices(speech.note) for f in fields), ())


def near_work(segment: str, speech: Speech) -> str:
    """What a misspelt line may have meant, where it would be work with its first words mended; else an empty string."""
    tokens = segment.split()
    knowledge = speech.knowledge
    if segment.casefold() in knowledge.sightings:
        return f"saw {segment.casefold()}"
    single = set(speech.words.single)
    for count in range(min(3, len(tokens)), 0, -1):
        low = " ".join(tokens[:count]).casefold().strip(",.:")
        phrases = {
            p for work in knowledge.works.values() for p in (*work.typed, work.name) if p.count(" ") == count - 1
        }
        close = nearest(low, (phrases | single if count == 1 else phrases) - {low}, 0.75)
        if len(low) < 4 or not close or (count > 1 and not nearest(low, [close], 0.8)):
            continue
        mended = " ".join([close, *tokens[count:]])
        if read_segment(mended, speech) is not None:
            return mended
    return ""


def known_start(segment: str, speech: Speech) -> bool:
    """Whether a part begins like work, or like a field that is asked about where it is not understood."""
    tokens = segment.replace(",", " ").split()
    if not tokens:
        return False
    work, _ = find_work(tokens, speech.knowledge)
    return work is not None or speech.words.begins(tokens)


def day_before_work(segment: str, speech: Speech) -> str:
    """What stands where a day would, before known work, and is none that is read (`14 okt wired 1`); else an empty string."""
    tokens = segment.split()
    for count in (1, 2, 3):
        head, rest = " ".join(tokens[:count]), " ".join(tokens[count:])
        dayish = any(c.isdigit() for c in tokens[0]) if tokens else False
        if (dayish or head.casefold() in _DAYS_IN_WORDS) and known_start(rest, speech):
            return head
    return ""
