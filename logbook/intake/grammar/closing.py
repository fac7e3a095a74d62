"""Where a block of notes ends: the next header, and a line that looks like one and is none, below which nothing may be written."""

from __future__ import annotations

import re

from ...collection.model import tag_key
from ...storage.printed import Sheet
from .headers import NAME_WORDS, Grammar, Under, header_of, tags_between
from .list_rows import row_at
from .listed import listed
from .sheet_lines import names_row
from .slips import one_apart
from .tokens import leading_date

_SERIAL = re.compile(r"(?<![\w-])(\d{5,6})\s?[-–—]\s?(\d)(?![\w-])")
_FIGURES = re.compile(r"[\d\s–—-]+")
_PAPER = listed("sheet walk list days")
_TREE = listed("sheet tree trees")
MOST_WORDS = 4  # before the figures of a header
LEAST_FIGURES = 4


def header_or_end(line: str, grammar: Grammar, open_sheet: Sheet | None) -> Under | None:
    """The header that a line is, or the fault under which the lines below it wait; None for a line of the open block."""
    header = header_of(line, grammar)
    if header is not None or not _looks_like_a_header(line, grammar) or _is_a_line(line, grammar, open_sheet):
        return header
    serial = _SERIAL.search(line)
    known = f"{serial[1]}-{serial[2]}" if serial else ""
    sheet = known if known in grammar.ledger.sheets else "00142-4"
    return Under(
        fault=f"'{line}' looks like a header and is none: what stands below it may be of another sheet",
        hint=f"write 'sheet {sheet}' or 'tree 014'; if it is a remark, put its day in front",
        started=True,
    )


def _is_a_line(line: str, grammar: Grammar, sheet: Sheet | None) -> bool:
    """Whether a line begins with its day, with a row of the open sheet, or with trees of its own."""
    first = line.split(" ")[0]
    if leading_date(line, grammar.order, grammar.partial) is not None or tags_between(first, grammar):
        return True
    if sheet is None:
        return False
    return row_at(line, sheet, grammar) is not None if sheet.by_tag else names_row(first, sheet)


def _looks_like_a_header(line: str, grammar: Grammar) -> bool:
    """Whether a line holds a serial, or is a word that is nearly a header's with what a header names."""
    if _SERIAL.search(line):
        return True
    words = line.rstrip(":.").split()
    heads = [word.casefold().rstrip(":") for word in words]
    count = next((n for n, head in enumerate(heads) if not head.isalpha()), len(heads))
    rest = " ".join(words[count:])
    if 0 < count <= MOST_WORDS and _FIGURES.fullmatch(rest) and sum(c.isdigit() for c in rest) >= LEAST_FIGURES:
        return any(_nearly(head, word) for head in heads[:count] for word in _PAPER | _TREE)
    return any(_slip(head, word) for head in heads[:1] for word in _TREE) and _names_trees(words[1:], grammar)


def _names_trees(words: list[str], grammar: Grammar) -> bool:
    """Whether words are tags, or one tree's name."""
    if not 1 <= len(words) <= NAME_WORDS:
        return False
    if " ".join(words).casefold() in grammar.names:
        return True
    known = grammar.tags or frozenset()
    return all(tag_key(word.rstrip(",")) in known for word in words)


def _nearly(head: str, word: str) -> bool:
    return head == word or _slip(head, word)


def _slip(head: str, word: str) -> bool:
    """Whether a word is another with one slip, or with a letter that was held down."""
    return head != word and (one_apart(head, word) or _squeezed(head) == _squeezed(word))


def _squeezed(word: str) -> str:
    return re.sub(r"(.)\1+", r"\1", word)
