"""Widths read from the fonts' tables, against fontTools' own reading of them glyph by glyph."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont

from logbook.paper.font_widths import font_widths, widths_in_groups
from logbook.paper.typesetting import BOLD, JAPANESE, REGULAR, font_path


@pytest.mark.parametrize(("name", "least"), [(REGULAR, 500), (BOLD, 500), (JAPANESE, 40_000)])
def test_each_character_is_as_wide_as_its_glyph(name: str, least: int) -> None:
    font = TTFont(font_path(name), lazy=True)
    units, metrics = font["head"].unitsPerEm, font["hmtx"].metrics
    expected = {code: metrics[glyph][0] / units for code, glyph in font.getBestCmap().items()}
    assert len(expected) > least
    assert (widths_in_groups if name == JAPANESE else font_widths)(font_path(name)) == expected
