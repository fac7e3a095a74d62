"""A pocket book: cover, indexes by tag and by bench, the season card, every tree on a spread, tables at the back.

Pages in reading order; `imposition.booklet_leaves` folds them. A tree's front is a left page and its lines face it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..collection.model import Settings, Tree
from ..horticulture.knowledge import Knowledge
from ..values import dataclass
from .crib import Announced, crib_chunks
from .flow import Chunk, Piece, Room, baseline_text, flow, heading, line, lines
from .layouts import Layout
from .page import Item, Page, Rule, Text, moved
from .sheet.sheets import RecordSheet
from .typesetting import fitted, line_mm, width_mm
from .words import say, say_counted

NUMBER_PT = 7.5
NUMBER_UP_MM = 1.7


@dataclass(frozen=True, slots=True)
class Content:
    """What goes into a book: trees with their sheets, in order, the season's card, and what a note may say of them."""

    trees: Sequence[Tree]
    sheets: Sequence[RecordSheet]
    season: Sequence[Page]
    settings: Settings
    knowledge: Knowledge
    said: Announced
    printed: str


def book_pages(content: Content, layout: Layout) -> list[Page]:
    """All pages, numbered from the cover; a tree begins on an even page, which is a left one."""
    spare = _front_matter(content, layout, dict.fromkeys((t.tag for t in content.trees), 888))
    first = len(spare) + 1
    first += first % 2
    starts: dict[str, int] = {}
    tree_pages: list[Page] = []
    for tree, sheet in zip(content.trees, content.sheets, strict=True):
        starts[tree.tag] = first + len(tree_pages)
        for front, back in sheet.leaves:
            tree_pages += [front, back or blank(layout)]
    pages = _front_matter(content, layout, starts)
    pages += [blank(layout)] * (first - 1 - len(pages))
    pages += tree_pages + _tables(content, layout)
    while (len(pages) + 1) % 4:
        pages.append(_notes_page(layout))
    pages.append(_last_page(content, layout))
    return [_numbered(page, number) if 1 < number < len(pages) else page for number, page in enumerate(pages, 1)]


def blank(layout: Layout) -> Page:
    """A page with nothing on it, of the layout's size."""
    return Page(*layout.page)


def _numbered(page: Page, number: int) -> Page:
    text = Text(0.0, page.height - NUMBER_UP_MM, str(number), NUMBER_PT, width=width_mm(str(number), NUMBER_PT))
    placed = replace(text, x=(page.width - text.width) / 2, block="page number")
    return replace(page, items=(*page.items, placed))


def _front_matter(content: Content, layout: Layout, starts: dict[str, int]) -> list[Page]:
    by_tag = [_index_row(tree, starts, layout) for tree in content.trees]
    by_bench: list[Chunk] = []
    places = sorted({t.bench for t in content.trees if t.bench}, key=str.casefold)
    for place in [*places, ""]:
        here = [t for t in content.trees if t.bench == place]
        if here:
            title = heading(place or say("no place"), _width(layout), 9.0)
            rows = (_index_row(tree, starts, layout) for tree in here)
            by_bench.append(Chunk(f"bench {place}", (title, *rows), above=2.4))
    pages = _cover(content, layout)
    pages += _flowed([Chunk("index", (heading(say("by number"), _width(layout), 9.0), *by_tag))], layout, "index")
    if places:
        pages += _flowed(by_bench, layout, "index by bench")
    return [*pages, *content.season]


def _width(layout: Layout) -> float:
    return layout.page[0] - 2 * layout.margin


def _index_row(tree: Tree, starts: dict[str, int], layout: Layout) -> Piece:
    width, height = _width(layout), line_mm(9.0) + 0.3
    tag = baseline_text(tree.tag, 0.0, height, 9.0, bold=True)
    page = baseline_text(f"{starts[tree.tag]}", 0.0, height, 9.0)
    left = max(14.0, tag.width + 2.0)
    name, size = fitted(tree.name or tree.full_name, 9.0, width - left - 10.0)
    items = (tag, baseline_text(name, left, height, size), moved(page, width - page.width, 0.0))
    return Piece(height, items)


def _flowed(chunks: Sequence[Chunk], layout: Layout, label: str) -> list[Page]:
    bottom = layout.page[1] - layout.margin

    def room(_number: int) -> Room:
        return Room(layout.margin, layout.margin, _width(layout), bottom)

    rooms = flow([c for c in chunks if c.pieces], room)
    return [Page(*layout.page, tuple(r.items), tuple(r.blocks), f"{label} {n}") for n, r in enumerate(rooms, 1)]


def _cover(content: Content, layout: Layout) -> list[Page]:
    width = _width(layout)
    pieces: list[Piece] = [
        Piece(layout.page[1] * 0.18),
        *lines(content.settings.title, 20.0, width, bold=True),
        Piece(3.0),
        line(say("book", day=content.printed), 12.0),
        line(say_counted("book trees", len(content.trees)), 12.0),
        Piece(10.0),
        line(say("found"), 9.0),
    ]
    pieces += [Piece(9.0, (Rule(0.0, 9.0, width, 9.0, 0.2, 0.35),)) for _ in range(3)]
    return _flowed([Chunk("cover", tuple(pieces))], layout, "cover")


def _last_page(content: Content, layout: Layout) -> Page:
    words = say("estimates", day=content.printed)
    return _flowed([Chunk("last", tuple(lines(words, 9.0, _width(layout))))], layout, "back cover")[0]


def _notes_page(layout: Layout) -> Page:
    """Lines to write on that belong to no tree: they fill the fold."""
    items: list[Item] = [moved(baseline_text(say("notes"), 0.0, 6.0, 9.0, bold=True), layout.margin, layout.margin)]
    y = layout.margin + 6.0 + layout.line
    while y < layout.page[1] - layout.margin:
        items.append(Rule(layout.margin, y, layout.page[0] - layout.margin, y, 0.2, 0.35))
        y += layout.line
    return Page(*layout.page, tuple(items), (), "notes")


def _tables(content: Content, layout: Layout) -> list[Page]:
    return _flowed(crib_chunks(content.said, content.knowledge, _width(layout)), layout, "tables")
