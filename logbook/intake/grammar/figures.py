"""A figure that slipped in among letters, and days and numbers that fell apart: none of them is taken for what is left of it."""

from __future__ import annotations

import re
from functools import cache

from ...collection.fields import Entry
from ...collection.kinds import Record
from .listed import listed
from .vocabulary import Vocabulary

# the letters that lie below a figure and beside them, whichever way the rows of a keyboard are shifted
_FIGURES, _LETTERS = "1234567890", "qwertyuiop"
_BELOW = {figure: _LETTERS[max(0, n - 1) : n + 2] for n, figure in enumerate(_FIGURES)}
_MIXED = re.compile(
    r"(?<![\w.,/-])(?=[a-z0-9]*[a-z][a-z0-9]*[a-z])([a-z]*)(\d)([a-z]*)(?![\w/-]|[.,]\d)", re.IGNORECASE
)
_NUMBER = re.compile(r"(?<![\w.])\d+\.(?:\.+\d+|[a-z])(?![\w.])", re.IGNORECASE)
_WEIGHT = re.compile(r"(?<!\w)(?:wet|dry)\s?\d+(?:(?:\.\s|\s\.)\d*|[.,]\d+(?!kg|g|lb|oz)[a-z])", re.IGNORECASE)
_DAY = re.compile(
    r"[0-3]\s\d\s?(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]{0,6}\.?(?=\s|$)", re.IGNORECASE
)
_ORDINAL = listed("st nd rd th")
_TIMES = listed("min mins hour hours")


def word_with_a_figure(line: str, words: Vocabulary, entries: Record[Entry]) -> tuple[str, str] | None:
    """A run of letters with one figure in it that is a known word with the letter below: as typed, and as it was meant."""
    for found in _MIXED.finditer(line):
        before, figure, after = (part.casefold() for part in found.groups())
        if not before and after in _ORDINAL:
            continue
        for letter in _BELOW[figure]:
            word = before + letter + after
            if len(word) > 2 and (_in_vocabulary(word, words) or word in _words_of(entries) or word in _TIMES):
                return found[0], word
    return None


def number_apart(line: str) -> str:
    """A number with two stops, with a letter in its last place, or a weight that came apart; an empty string where there is none."""
    found = _NUMBER.search(line) or _WEIGHT.search(line)
    return found[0] if found else ""


def day_apart(rest: str) -> str:
    """A day whose figures came apart (`1 4oct`) at the head of a line; an empty string where there is none."""
    found = _DAY.match(rest)
    return found[0] if found else ""


def soil_without_a_part(mix: bool, note: str, words: Vocabulary) -> str:
    """A soil that is all that was left over of a mix whose other soils have their parts; an empty string where none is."""
    return note if mix and note.casefold() in words.materials else ""


def _in_vocabulary(word: str, words: Vocabulary) -> bool:
    lists = (words.classes, words.measures, words.shapes, words.stages, words.parts, words.after_ids, words.materials,
             words.not_slips)  # fmt: skip
    return any(word in some for some in lists)


@cache
def _words_of(entries: Record[Entry]) -> frozenset[str]:
    """The words behind or before which a field's value stands in a note, those of its parts too."""
    found: set[str] = set()
    for field in entries.fields:
        inner = field.kind.inner()
        for one in (field, *(inner.fields if isinstance(inner, Record) else ())):
            found.update(one.words.starts, one.words.exact, one.words.ends)
    return frozenset(found)
