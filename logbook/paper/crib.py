"""The crib: how a note is typed and every word that it may say, wire gauges and cautions, for the pocket and the back of a book."""

from __future__ import annotations

from collections.abc import Sequence

from ..collection.units import awg_mm, plain
from ..horticulture.knowledge import Knowledge
from ..values import dataclass
from .cards import card_pages, year_legend
from .flow import Chunk, Piece, heading, lines, row
from .layouts import Layout
from .page import Page
from .words import say

Rows = Sequence[tuple[str, str]]
GAUGES = (6, 8, 10, 12, 14, 16, 18, 20)
WORDS_PT = 9.0
LINE_SHARE, NAME_SHARE, WORK_SHARE = 0.46, 0.22, 0.42  # of the width, for the left column


@dataclass(frozen=True, slots=True)
class Announced:
    """What a note may say, two columns a row: lines of a sheet and what they mean; fields, works, signs and troubles with their words."""

    lines: Rows
    fields: Rows
    works: Rows
    signs: Rows
    troubles: Rows


def crib_pages(said: Announced, knowledge: Knowledge, layout: Layout) -> list[Page]:
    """The crib as a card of the layout's size, on as many pages as it takes."""
    return card_pages(crib_chunks(said, knowledge, layout.room[0] - 2 * layout.margin), layout, "crib", say("crib"))


def crib_chunks(said: Announced, knowledge: Knowledge, width: float) -> list[Chunk]:
    """The crib's parts for a column of this width, mm: the short ones first, then the list of works."""
    gauges = ", ".join(say("crib gauge", gauge=n, mm=plain(round(awg_mm(n), 2))) for n in GAUGES)
    cautions = list(dict.fromkeys(knowledge.cautions.values()))
    typing = [
        *_told([say("type under")], width),
        *_rows(said.lines, LINE_SHARE, width),
        *_told([say("type short")], width),
    ]
    vigour = [say("crib scores"), ", ".join(knowledge.stages)]
    parts = (
        ("typing", say("crib typing"), typing),
        ("fields", say("crib fields"), _rows(said.fields, NAME_SHARE, width)),
        ("words", say("crib words"), _told(vigour, width)),
        ("signs", say("crib signs"), _rows(said.signs, NAME_SHARE, width)),
        ("troubles", say("crib troubles"), _rows(said.troubles, NAME_SHARE, width)),
        ("year", say("crib year"), year_legend(WORDS_PT, width)),
        ("wire", say("crib wire"), _told([gauges], width)),
        ("cautions", say("crib cautions"), _told(cautions, width)),
        ("works", say("crib works"), _rows(said.works, WORK_SHARE, width)),
    )
    return [Chunk(name, (heading(title, width, WORDS_PT), *pieces)) for name, title, pieces in parts if pieces]


def _rows(rows: Rows, share: float, width: float) -> list[Piece]:
    return [
        piece for left, right in rows for piece in row(((0.0, left, True), (share, right, False)), width, WORDS_PT)
    ]


def _told(texts: Sequence[str], width: float) -> list[Piece]:
    return [piece for text in texts for piece in lines(text, WORDS_PT, width)]
