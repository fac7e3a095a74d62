"""Widths and outlines read from the fonts' tables, against fontTools' own reading of them glyph by glyph."""

from __future__ import annotations

import io

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from logbook.paper.font_widths import font_widths, widths_in_groups
from logbook.paper.japanese import cut_face
from logbook.paper.typesetting import BOLD, JAPANESE, REGULAR, font_path


@pytest.mark.parametrize(("name", "least"), [(REGULAR, 500), (BOLD, 500), (JAPANESE, 40_000)])
def test_each_character_is_as_wide_as_its_glyph(name: str, least: int) -> None:
    font = TTFont(font_path(name), lazy=True)
    units, metrics = font["head"].unitsPerEm, font["hmtx"].metrics
    expected = {code: metrics[glyph][0] / units for code, glyph in font.getBestCmap().items()}
    assert len(expected) > least
    assert (widths_in_groups if name == JAPANESE else font_widths)(font_path(name)) == expected


def test_a_cut_face_draws_what_the_whole_one_does() -> None:
    characters = "夕霧松欅盆栽楓黒五葉真柏山もみじケヤキ々〆"
    whole, cut = TTFont(font_path(JAPANESE), lazy=True), TTFont(io.BytesIO(cut_face(characters)))
    assert set(cut.getBestCmap()) == set(map(ord, characters))
    assert cut["head"].unitsPerEm == whole["head"].unitsPerEm

    def drawn(font: TTFont, code: int) -> tuple[float, tuple[float, ...], int]:
        name, glyphs = font.getBestCmap()[code], font.getGlyphSet()
        area, bounds = AreaPen(glyphs), BoundsPen(glyphs)
        glyphs[name].draw(area)
        glyphs[name].draw(bounds)
        return abs(area.value), bounds.bounds, font["hmtx"].metrics[name][0]

    for code in map(ord, characters):
        (area, bounds, wide), (own_area, own_bounds, own_wide) = drawn(whole, code), drawn(cut, code)
        assert own_area == pytest.approx(area, rel=0.01) and own_wide == wide, chr(code)
        assert own_bounds == pytest.approx(bounds, abs=2), chr(code)
