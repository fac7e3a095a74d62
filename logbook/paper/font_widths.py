"""Advance widths of a font file, by code point: of TrueType outlines as the PDF writer reads them, of the Japanese face from its
own tables (OpenType 1.9: `cmap` in format 12, `hmtx`).

fontTools would name each of a Japanese face's 65,000 glyphs first, which takes twenty times as long.
"""

from __future__ import annotations

import struct
import sys
from array import array
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


def widths_in_groups(path: Path) -> dict[int, float]:
    """The same of a font with any outlines. One without a table in groups is read by its glyphs' names."""
    from fontTools.ttLib import TTFont

    font = TTFont(path, lazy=True)
    units = font["head"].unitsPerEm
    groups = _groups(font.reader["cmap"])
    if groups is None:
        metrics = font["hmtx"].metrics
        return {code: metrics[glyph][0] / units for code, glyph in font.getBestCmap().items()}
    by_glyph = [advance / units for advance in _advances(font)]
    widths: dict[int, float] = {}
    for first, last, glyph in groups:
        widths.update(zip(range(first, last + 1), by_glyph[glyph : glyph + last - first + 1], strict=True))
    return widths


def _groups(cmap: bytes) -> list[tuple[int, int, int]] | None:
    """First and last character and first glyph of each group; None where the full Unicode table has another format."""
    (tables,) = struct.unpack_from(">H", cmap, 2)
    for record in range(tables):
        platform, encoding, at = struct.unpack_from(">HHL", cmap, 4 + 8 * record)
        if (platform, encoding) == UNICODE_FULL and struct.unpack_from(">H", cmap, at) == (GROUPS_FORMAT,):
            (count,) = struct.unpack_from(">L", cmap, at + 12)
            return list(struct.iter_unpack(">LLL", cmap[at + 16 : at + 16 + 12 * count]))
    return None


def _advances(font: Any) -> array[int]:
    """Advance of each glyph in font units; those beyond the last that is told have its advance."""
    told = 2 * font["hhea"].numberOfHMetrics
    pairs = array("H", font.reader["hmtx"])
    if sys.byteorder == "little":
        pairs.byteswap()
    advances = pairs[0:told:2]
    beyond = int(font["maxp"].numGlyphs) - len(advances)
    return advances + advances[-1:] * beyond
