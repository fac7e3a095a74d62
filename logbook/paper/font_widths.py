"""Advance widths of a font file, by code point: of TrueType outlines as the PDF writer reads them, of the Japanese face from its
own tables (OpenType 1.9: `cmap` in format 12, `hmtx`).

fontTools would name each of a Japanese face's 65,000 glyphs first, which takes twenty times as long.
"""

from __future__ import annotations

import struct
import sys
from array import array
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from pathlib import Path
from typing import Any

THOUSANDTHS, NO_CHARACTER = 1000, 0xFFFF
UNICODE_FULL = (3, 10)
GROUPS_FORMAT = 12


def font_widths(path: Path) -> dict[int, float]:
    """Advance of each character that a font with TrueType outlines has, em."""
    from reportlab.pdfbase.ttfonts import TTFontFile

    widths: dict[int, float] = TTFontFile(str(path)).charWidths
    return {code: width / THOUSANDTHS for code, width in widths.items() if code != NO_CHARACTER}


class GroupWidths(Mapping[int, float]):
    """Advance of each character, em, as the font keeps it: runs of characters whose glyphs stand in a row. A tenth of a dict's memory."""

    def __init__(self, groups: Sequence[tuple[int, int, int]], advances: array[int], units: int) -> None:
        self._first, self._last, self._glyph = (array("L", column) for column in zip(*groups, strict=True))
        self._advances, self._units = advances, units

    def __getitem__(self, code: int) -> float:
        group = bisect_right(self._first, code) - 1
        if group < 0 or code > self._last[group]:
            raise KeyError(code)
        return float(self._advances[self._glyph[group] + code - self._first[group]] / self._units)

    def __iter__(self) -> Iterator[int]:
        return chain.from_iterable(range(a, b + 1) for a, b in zip(self._first, self._last, strict=True))

    def __len__(self) -> int:
        return sum(b + 1 - a for a, b in zip(self._first, self._last, strict=True))


def widths_in_groups(path: Path) -> Mapping[int, float]:
    """The same of a font with any outlines. One without a table in groups is read by its glyphs' names."""
    from fontTools.ttLib import TTFont

    font = TTFont(path, lazy=True)
    units = font["head"].unitsPerEm
    groups = _groups(font.reader["cmap"])
    if groups is None:
        metrics = font["hmtx"].metrics
        return {code: metrics[glyph][0] / units for code, glyph in font.getBestCmap().items()}
    return GroupWidths(groups, advances_of(font), units)


def glyphs_of(font: Any, codes: Iterable[int]) -> dict[int, int]:
    """The number of each character's glyph; without those that the font has none of."""
    groups = _groups(font.reader["cmap"])
    if groups is None:
        named = font.getBestCmap()
        return {code: int(font.getGlyphID(named[code])) for code in codes if code in named}
    found = ((code, first, glyph) for code in codes for first, last, glyph in groups if first <= code <= last)
    return {code: glyph + code - first for code, first, glyph in found}


def _groups(cmap: bytes) -> list[tuple[int, int, int]] | None:
    """First and last character and first glyph of each group; None where the full Unicode table has another format."""
    (tables,) = struct.unpack_from(">H", cmap, 2)
    for record in range(tables):
        platform, encoding, at = struct.unpack_from(">HHL", cmap, 4 + 8 * record)
        if (platform, encoding) == UNICODE_FULL and struct.unpack_from(">H", cmap, at) == (GROUPS_FORMAT,):
            (count,) = struct.unpack_from(">L", cmap, at + 12)
            return list(struct.iter_unpack(">LLL", cmap[at + 16 : at + 16 + 12 * count]))
    return None


def advances_of(font: Any) -> array[int]:
    """Advance of each glyph in font units; those beyond the last that is told have its advance."""
    told = 2 * font["hhea"].numberOfHMetrics
    pairs = array("H", font.reader["hmtx"])
    if sys.byteorder == "little":
        pairs.byteswap()
    advances = pairs[0:told:2]
    beyond = int(font["maxp"].numGlyphs) - len(advances)
    return advances + advances[-1:] * beyond
