"""A Japanese face cut to the few characters a document needs, as TrueType.

The registry's face has cubic (CFF) outlines, which the PDF writer can't embed; the needed glyphs are drawn anew with quadratic
curves by fontTools. Only they are taken out of its 65,000, by their numbers: naming all of them would take most of the time and memory.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from .font_widths import advances_of, glyphs_of
from .typesetting import JAPANESE, font_path

NAMES = (1, 2, 4, 6)  # of the name table: family, style, full name, PostScript name
MOST_OFF = 1.0  # of a quadratic curve from its cubic one, font units
NOTDEF = ".notdef"


@lru_cache(maxsize=8)
def cut_face(characters: str) -> bytes:
    """TrueType bytes holding just these characters; the same bytes for the same characters."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.ttLib import TTFont

    out = io.BytesIO()
    with TTFont(str(font_path(JAPANESE)), lazy=True) as font:
        numbers = glyphs_of(font, map(ord, characters))
        glyphs = {NOTDEF: 0} | {f"u{number}": number for number in sorted(set(numbers.values()))}
        advances, drawn = advances_of(font), _drawn(font, glyphs)
        built = FontBuilder(font["head"].unitsPerEm, isTTF=True)
        built.font.recalcTimestamp = False
        built.setupGlyphOrder([*glyphs])
        built.setupCharacterMap({code: f"u{number}" for code, number in sorted(numbers.items())})
        built.setupGlyf(drawn)
        built.setupHorizontalMetrics({n: (advances[g], getattr(drawn[n], "xMin", 0)) for n, g in glyphs.items()})
        built.setupHorizontalHeader(ascent=font["hhea"].ascent, descent=font["hhea"].descent)
        built.font["OS/2"], built.font["name"] = font["OS/2"], font["name"]
        font["name"].names = [record for record in font["name"].names if record.nameID in NAMES]
        built.setupPost(keepGlyphNames=False)
        head, own = built.font["head"], font["head"]
        head.created, head.modified, head.fontRevision = own.created, own.modified, own.fontRevision
        built.save(out)
    return out.getvalue()


def _drawn(font: Any, glyphs: Mapping[str, int]) -> dict[str, Any]:
    """The glyphs of these numbers as TrueType glyphs, by their names (Adobe Technical Note 5176, CFF; 5177, Type 2 charstrings)."""
    from fontTools.cffLib import CFFFontSet, Index
    from fontTools.misc.psCharStrings import T2CharString
    from fontTools.pens.cu2quPen import Cu2QuPen
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    made: dict[str, Any] = {}
    with _part(font, "CFF ") as file:
        table = CFFFontSet()
        table.decompile(file, font)
        top = table.topDictIndex[0]
        file.seek(top.rawDict["CharStrings"])
        outlines = Index(file)
        for name, number in glyphs.items():
            private = top.FDArray[top.FDSelect[number]].Private if hasattr(top, "ROS") else top.Private
            pen = TTGlyphPen(None)
            outline = T2CharString(outlines[number], private=private, globalSubrs=table.GlobalSubrs)
            outline.draw(Cu2QuPen(pen, MOST_OFF, reverse_direction=True))
            made[name] = pen.glyph()
    return made


def _part(font: Any, tag: str) -> io.BufferedReader:
    """A table of the font as a file of its own; only what is asked for is read."""
    return io.BufferedReader(_Within(font.reader.file.name, font.reader.tables[tag].offset))


class _Within(io.FileIO):
    """A file from some byte on."""

    def __init__(self, path: str, start: int) -> None:
        super().__init__(path)
        self.start = start
        self.seek(0)

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """To a byte counted from where this part begins."""
        return super().seek(offset + (self.start if whence == io.SEEK_SET else 0), whence) - self.start

    def tell(self) -> int:
        """The byte it stands at, counted from where this part begins."""
        return super().tell() - self.start
