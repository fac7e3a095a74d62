"""The front of a record sheet: what a grower needs before starting, back after half a year.

In order: wire that is on, what to do next, what to leave alone and why, what was last meant, how the tree stands,
the aim, the log's last lines. Blocks only; where they land is for `sheets`.
"""

from __future__ import annotations

from collections.abc import Callable

from ..flow import Chunk, Piece, baseline_text, right_text
from ..page import Item, Picture, Text
from ..typesetting import fitted, line_mm, shrunk, width_mm
from .blocks.bars import wire_bars
from .blocks.facts import aim, asks, branches, last_days, leave_alone, meant, measured, standing
from .blocks.jobs import care, next_jobs
from .context import SheetContext


def chunks(sheet: SheetContext) -> list[Chunk]:
    """The blocks the layout asks for, in its order; empty ones left out."""
    made = (
        block(sheet) for name in sheet.layout.front for block in (_BLOCKS[name], *([asks] if name == "state" else []))
    )
    return [chunk for chunk in made if chunk.pieces]


def head(sheet: SheetContext, *, again: bool = False) -> list[Item]:
    """Tag, name, species and bench across the top, a photo beside them if one is wanted; smaller where the sheet goes on."""
    tree = sheet.plan.tree
    wish = 12.0 if again else sheet.layout.size("tag")
    height = line_mm(wish)
    width = sheet.width
    items: list[Item] = []
    if sheet.photo and not again:
        wide, high = sheet.photo.size_mm(sheet.layout.photo)
        width -= wide + 3.0
        items.append(Picture(sheet.width - wide, 0.0, wide, high, sheet.photo.jpeg, "photo"))
    tag = baseline_text(tree.tag, 0.0, height, shrunk(tree.tag, wish, width * 0.45, bold=True), bold=True)
    items.append(tag)
    left, room = tag.width + 3.0, width - tag.width - 3.0
    name, name_pt = fitted(tree.name or tree.full_name, sheet.layout.size("name"), room, bold=True)
    if again:
        return [
            *items,
            Text(left, tag.y, f"{name}", min(name_pt, 9.0), True, width=width_mm(name, min(name_pt, 9.0), True)),
        ]
    items.append(Text(left, height * 0.40, name, name_pt, True, width=width_mm(name, name_pt, True)))
    under = " · ".join(part for part in (tree.full_name if tree.name else "", tree.bench) if part)
    words, words_pt = fitted(under, sheet.bench, room)
    items.append(
        Text(left, height * 0.40 + line_mm(sheet.bench) * 0.98, words, words_pt, width=width_mm(words, words_pt))
    )
    return items


def head_height(sheet: SheetContext, *, again: bool = False) -> float:
    """Height of a front's head, mm; on a further page (`again`) it is smaller and has no photo."""
    words = line_mm(12.0 if again else sheet.layout.size("tag")) + 1.2
    if sheet.photo is None or again:
        return words
    return max(words, sheet.photo.size_mm(sheet.layout.photo)[1] + 1.2)


def foot(text: str, width: float, size: float) -> Piece:
    """A small line at the bottom, set right."""
    height = line_mm(size)
    return Piece(height, (right_text(text, width, height, size),))


_BLOCKS: dict[str, Callable[[SheetContext], Chunk]] = {
    "wire": wire_bars,
    "next": next_jobs,
    "leave": leave_alone,
    "meant": meant,
    "care": care,
    "state": standing,
    "aim": aim,
    "branches": branches,
    "charts": measured,
    "last": last_days,
}
