"""A Japanese face cut to the few characters a document needs, as TrueType.

The registry's face has cubic (CFF) outlines, which the PDF writer can't embed; the needed glyphs are taken out and
their curves turned quadratic with fontTools. About 0.2 s, and only where a text needs it.
"""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any

from .typesetting import JAPANESE, font_path

_ZERO = (
    "maxTwilightPoints",
    "maxStorage",
    "maxFunctionDefs",
    "maxInstructionDefs",
    "maxStackElements",
    "maxSizeOfInstructions",
    "maxComponentElements",
)


@lru_cache(maxsize=8)
def cut_face(characters: str) -> bytes:
    """TrueType bytes holding just these characters; the same bytes for the same characters."""
    from fontTools import subset

    options = subset.Options()
    options.layout_features = []
    options.drop_tables += ["GSUB", "GPOS", "GDEF", "BASE", "VORG", "vhea", "vmtx"]
    options.hinting = False
    options.desubroutinize = True
    options.recalc_bounds = True
    options.name_IDs = [1, 2, 4, 6]
    font = subset.load_font(str(font_path(JAPANESE)), options)
    cutter = subset.Subsetter(options)
    cutter.populate(text=characters)
    cutter.subset(font)
    _to_quadratic(font)
    font.recalcTimestamp = False
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def _to_quadratic(font: Any) -> None:
    from fontTools.pens.cu2quPen import Cu2QuPen
    from fontTools.pens.ttGlyphPen import TTGlyphPen
    from fontTools.ttLib import newTable

    order, outlines = font.getGlyphOrder(), font.getGlyphSet()
    glyphs = {}
    for name in order:
        pen = TTGlyphPen(outlines)
        outlines[name].draw(Cu2QuPen(pen, 1.0, reverse_direction=True))
        glyphs[name] = pen.glyph()
    font["loca"] = newTable("loca")
    table = font["glyf"] = newTable("glyf")
    table.glyphOrder, table.glyphs = order, glyphs
    del font["CFF "]
    for name in order:
        glyphs[name].recalcBounds(table)
        advance, _ = font["hmtx"][name]
        font["hmtx"][name] = (advance, getattr(glyphs[name], "xMin", 0))
    profile = font["maxp"]
    profile.tableVersion = 0x00010000
    profile.maxZones = 1
    for key in _ZERO:
        setattr(profile, key, 0)
    font["post"].formatType = 3.0
    font.sfntVersion = "\0\1\0\0"
