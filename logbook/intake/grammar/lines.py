"""Typed lines to readings: which sheet and line, which day, and what each part of the line means.

The grammar of the notes and nothing of the collection's state. A line that can't be read becomes a `Reading` with a
`fault` or a `question`; no text is ever dropped.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import field, replace

from ...collection.model import tag_key
from ...storage.printed import Sheet
from ...values import dataclass
from .bodies import VIGOUR_LINE, body
from .closing import header_or_end
from .headers import HEADER_ITSELF, OWN_WORDS, WAITED, Grammar, TypedLine, Under, tags_between
from .list_rows import without
from .readings import NOTHING, UNREAD, Reading
from .row_done import INTENTION
from .sheet_lines import sheet_line, ticked_on
from .tokens import plain_line
from .valued import valued

__all__ = ["INTENTION", "NOTHING", "UNREAD", "VIGOUR_LINE", "Reading", "read_notes"]
MOST_CHARACTERS = 2_000
NO_HAND = "whose hand it was is written there, and not typed yet"
NO_HAND_HINT = "type it in the header, as in 'by m', or take 'by ?' away"


def read_notes(text: str, grammar: Grammar) -> list[Reading]:
    """Read typed notes; one reading or more for each line that says something, headers included where they are at fault."""
    lines = text.splitlines()
    reader = _Reader(grammar, lines)
    for number, raw in enumerate(lines, start=1):
        reader.read(number, raw)
    return [_valued(reading, grammar) for reading in reader.readings]


def _valued(reading: Reading, grammar: Grammar) -> Reading:
    """The reading with the values that entries hold."""
    parts = tuple(valued(part, grammar.entries, grammar.southern) for part in reading.parts)
    meant = valued(reading.meant, grammar.entries, grammar.southern) if reading.meant else None
    return replace(reading, parts=parts, meant=meant)


@dataclass(slots=True)
class _Reader:
    """Notes read line by line: the header the next line stands under, and the waiting line that it mends."""

    grammar: Grammar
    lines: Sequence[str]
    readings: list[Reading] = field(default_factory=list)
    under: Under = field(default_factory=Under)
    header: tuple[int, str] = (0, "")
    mends: tuple[str, int] | None = None

    def read(self, number: int, raw: str) -> None:
        """Read one line; lines are counted from 1."""
        line = plain_line(raw)
        if not line or OWN_WORDS.match(line):
            self._own_words(line)
        elif len(line) > MOST_CHARACTERS:
            why = f"the line has {len(line):,} characters; {MOST_CHARACTERS:,} are read"
            self.readings.append(Reading(number, raw.strip(), fault=why, hint="break it into several lines"))
        elif (header := header_or_end(line, self.grammar, self.under.sheet)) is not None:
            self._begin(number, raw, header)
        else:
            made = _line(TypedLine(number, raw.strip(), self.under, self.grammar), line)
            made = [_whose(reading, self.under) for reading in made]
            self.readings += [replace(reading, mends=self.mends) for reading in made]
            self.mends = None

    def _own_words(self, line: str) -> None:
        """Words that this tool wrote above a line that waits: which one it is; a header that is sound now settles its own."""
        under = self.under
        sound = under.started and not (under.fault or under.note)
        if line.startswith(HEADER_ITSELF) and self.mends and sound:
            self.readings.append(Reading(*self.header, under.tags[:1], mends=self.mends, nothing=True))
        elif line.startswith(HEADER_ITSELF) and self.mends:
            self.readings = [
                replace(r, mends=self.mends) if r.number == self.header[0] and r.fault else r for r in self.readings
            ]
        told = WAITED.match(line)
        if told:
            self.mends = (told[1], int(told[2]))

    def _begin(self, number: int, raw: str, under: Under) -> None:
        """Begin what stands below a header."""
        self.under, self.mends, self.header = under, None, (number, raw.strip())
        self.readings += _at_fault(number, raw, under)
        if under.sheet is not None:
            now = ticked_on(_block(self.lines[number:], self.grammar, under.sheet), under.sheet)
            under.ticked = (*now, *_ticked_before(under.sheet, self.grammar))


def _whose(reading: Reading, under: Under) -> Reading:
    """A line whose hand stands on paper and is not typed yet waits for it."""
    if under.by != UNREAD or reading.fault or reading.nothing:
        return reading
    return replace(reading, unread=True, question=NO_HAND, hint=NO_HAND_HINT)


def _at_fault(number: int, raw: str, under: Under) -> list[Reading]:
    if under.fault:
        return [Reading(number, raw.strip(), fault=under.fault, hint=under.hint, header=True)]
    if under.note:
        hint = "check the tag, or add the tree with 'benchleaf add'"
        return [Reading(number, raw.strip(), fault=under.note, hint=hint, header=True)]
    return []


def _ticked_before(sheet: Sheet, grammar: Grammar) -> tuple[str, ...]:
    """Works that were ticked on a record sheet in earlier runs."""
    if len(sheet.tags) != 1:
        return ()
    return grammar.ticked.get(tag_key(sheet.tags[0]), {}).get(sheet.serial, ())


def _block(lines: Sequence[str], grammar: Grammar, sheet: Sheet) -> list[str]:
    """The lines up to the next header."""
    found: list[str] = []
    for raw in lines:
        line = plain_line(raw)
        if line and len(line) <= MOST_CHARACTERS and header_or_end(line, grammar, sheet) is not None:
            break
        found.append(line)
    return found


def _line(at: TypedLine, line: str) -> list[Reading]:
    under = at.under
    by_tag = under.sheet is not None and under.sheet.by_tag
    ranged = None if by_tag else _range_line(at, line)
    if ranged is not None:
        return ranged
    if not under.started:
        hint = "begin with 'sheet 00142-4' or 'tree 014'"
        return [Reading(at.number, at.raw, fault="nothing says which tree this is", hint=hint)]
    if under.fault:
        why = f"it stands under a header that was not understood: {under.fault}"
        return [Reading(at.number, at.raw, fault=why, hint=under.hint)]
    return [_for_each(at, line)] if under.sheet is None else sheet_line(at, line, under.sheet)


def _for_each(at: TypedLine, line: str) -> Reading:
    """A line below one tree's header, or below that of several: for each of them, but not those that it leaves out."""
    tags = at.under.tags
    left_out, rest = without(line, tags)
    gone = {tag_key(tag) for tag in left_out}
    if not gone or not gone <= {tag_key(tag) for tag in tags}:
        return body(at, line, tags, "")
    return body(at, rest, tuple(t for t in tags if tag_key(t) not in gone), "")


def _range_line(at: TypedLine, line: str) -> list[Reading] | None:
    """`021-060 14 oct fed but not 033 041`: a line for every tree of a range; None where it begins with no range of tags."""
    head, _, rest = line.partition(" ")
    tags = tags_between(head, at.grammar)
    if not rest or not _may_be_tags(tags, at.grammar):
        return None
    left_out, rest = without(rest, tags)
    unknown = [tag for tag in left_out if tag not in tags]
    if unknown:
        why = f"{', '.join(unknown)} is not among {head}"
        return [Reading(at.number, at.raw, fault=why, hint="behind 'but not' stand tags of the range")]
    meant = tuple(tag for tag in tags if tag not in left_out)
    rows, sheet = _rows(rest, meant, at.under), at.under.sheet
    if rows is not None and sheet is not None:
        made = [r for ident in rows for r in sheet_line(at, f"{ident} {rest}", sheet)]
        return [replace(r, again=f"{r.line} {rest}") for r in made]
    return [body(replace(at, under=replace(at.under, sheet=None, tags=meant)), rest, meant, "")]


def _may_be_tags(tags: Sequence[str], grammar: Grammar) -> bool:
    """Whether a range begins and ends with trees; one end is enough where the tags are long: 3-5 may be branches."""
    if not tags or grammar.tags is None:
        return False
    there = [tag_key(tag) in grammar.tags for tag in (tags[0], tags[-1])]
    return all(there) or (any(there) and len(tags[0]) >= 3)


def _rows(rest: str, tags: Sequence[str], under: Under) -> list[str] | None:
    """The rows of a list that these trees stand on, where the line says that their jobs were done."""
    if under.sheet is None or not re.search(r"(?<!\w)done(?!\w)", rest, re.IGNORECASE):
        return None
    meant = {tag_key(tag) for tag in tags}
    return [ident for ident, tag in under.sheet.lines.items() if tag_key(tag) in meant] or None
