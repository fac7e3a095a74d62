"""Pot tags: the number large on every side, species, name if there is room, and the code that leads to the tree.

Stocks: `hanging` (a hole at one end), `stake` (its point in the soil, cut lying, read standing),
`wrap` (bent round a stem or a wire: the code keeps to the share of that diameter that can be read), `sticker` (one side).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from ..collection.model import Settings, Tree
from ..diagnostics import stop
from ..values import dataclass
from . import codes
from .layouts import Layout
from .page import MM_PER_POINT, Block, Code, Item, Page, Rule, Shape, Text, lying, moved
from .sheet.sheets import tree_link
from .typesetting import CAP_HEIGHT, LEAST_PT, fitted, line_mm, shrunk, width_mm, wrap
from .words import say

HOLE_SIDES = 24
POISON_MM = 5.0
WORDS_ROWS = 3  # lines that a species or a name may take


@dataclass(frozen=True, slots=True)
class Tag:
    """Both sides of one tag (no back on one-sided stock), and the code chosen for it."""

    tree: Tree
    front: Page
    back: Page | None
    symbol: codes.Symbol


def pot_tag(tree: Tree, settings: Settings, layout: Layout, *, poisonous: bool = False) -> Tag:
    """Draw one tag. Raises ProblemsFound where the code can't be printed large enough on this stock."""
    text = tree_link(settings, tree)
    room = _code_room(layout)
    symbol = codes.fit(text, room, "H", bends_mm=layout.bends)
    if symbol is None:
        raise _no_room(tree, text, layout, room)
    link = settings.link and text
    draw = {"stake": _stake_side, "wrap": _twice}.get(layout.stock, _flat_side)
    sides = [draw(tree, layout, symbol, link, back=back, poisonous=poisonous) for back in (False, True)]
    return Tag(tree, sides[0], sides[1] if layout.sides == 2 else None, symbol)


def _code_room(layout: Layout) -> float:
    """The side of the square that a code may fill with its quiet zone, mm."""
    width, height = layout.page
    if layout.stock == "stake":  # below its number, above its point
        return min(height - 2 * layout.margin, width - layout.point - layout.margin - layout.number_height - 2.0)
    wide = width / 2 if layout.stock == "wrap" else width
    return min(height - 2 * layout.margin, (wide - 2 * layout.margin) * 0.55)


def _no_room(tree: Tree, text: str, layout: Layout, room: float) -> Exception:
    need = codes.least_room(text)
    wants = f"needs {need:.1f} mm; this tag has {room:.1f} mm" if need else "is more than any code holds"
    if need and need <= room and layout.bends:
        side = need - 2 * codes.QUIET_MODULES * codes.LEAST_MODULE_MM
        limit = codes.bent_share(round(side / codes.LEAST_MODULE_MM)) * layout.bends
        wants = f"needs {side:.1f} mm; bent round {layout.bends:g} mm only {limit:.1f} mm can be read"
    return stop(
        f"the code for tag {tree.tag} holds {len(text)} characters and {wants}",
        path=layout.name,
        hint="use a shorter link (with {tag} instead of {file}), or a larger tag",
    )


def _flat_side(tree: Tree, layout: Layout, symbol: codes.Symbol, link: str, *, back: bool, poisonous: bool) -> Page:
    """One side; the back has hole and code at the other ends, so that the hole is one hole."""
    width, height = layout.page
    items: list[Item] = []
    ring = layout.hole + 2.5 if layout.hole else 0.0
    if layout.hole:
        at = layout.margin + layout.hole / 2 + 0.5
        items.append(_hole(width - at if back else at, height / 2, layout.hole))
    code_x = layout.margin if back else width - layout.margin - symbol.room
    code_y = (height - symbol.room) / 2
    items.append(_code(symbol, code_x, code_y, link))
    left = code_x + symbol.room + 0.5 if back else layout.margin + ring
    room = (width - layout.margin - ring if back else code_x) - left - 0.5
    number = _number(tree.tag, left, layout.margin + 0.6, room, layout.number_height)
    items += number
    foot = height - layout.margin - (POISON_MM + 0.4 if poisonous else 0.0)
    items += _poison(left, height - layout.margin - POISON_MM, room) if poisonous else []
    items += _words(tree, left, number[-1].y + 1.6, room, foot)
    blocks = (Block("words", left, 0.0, room + 0.5, height), Block("code", code_x, code_y, symbol.room, symbol.room))
    return Page(width, height, tuple(items), blocks, f"tag {tree.tag}")


def _twice(tree: Tree, layout: Layout, symbol: codes.Symbol, link: str, *, back: bool, poisonous: bool) -> Page:
    """A band laid round: number and code at both ends, so that one of them can be seen from any side."""
    width, height = layout.page
    half = replace(layout, page=(width / 2, height))
    one = _flat_side(tree, half, symbol, link, back=back, poisonous=poisonous)
    again = (replace(b, name=f"{b.name} again", x=b.x + width / 2) for b in one.blocks)
    items = (*one.items, *(moved(item, width / 2, 0.0, f"{item.block} again") for item in one.items))
    return Page(width, height, items, (*one.blocks, *again), one.label)


def _stake_side(tree: Tree, layout: Layout, symbol: codes.Symbol, link: str, *, back: bool, poisonous: bool) -> Page:
    """A stake, drawn standing and laid down as it is cut: number and code upright in its top third, the point in the soil."""
    height, width = layout.page
    left, room = layout.margin, width - 2 * layout.margin
    number = _number(tree.tag, left, layout.margin + 0.6, room, layout.number_height)
    middle = (room - max(part.width for part in number)) / 2
    number = [replace(part, x=left + middle) for part in number]
    code_x, code_y = (width - symbol.room) / 2, number[-1].y + 1.0
    top, foot = code_y + symbol.room, height - layout.point - (POISON_MM + 0.4 if poisonous else 0.0)
    words = _words(tree, left, top, room, foot)
    items: list[Item] = [*number, _code(symbol, code_x, code_y, link), *words]
    below = max((word.y for word in words if isinstance(word, Text)), default=top) + 2.0
    items += _poison(left, min(below, foot + 0.4), room) if poisonous else []
    if layout.point:
        shoulder = height - layout.point
        items += [Rule(x, shoulder, width / 2, height, 0.15, 0.5) for x in (0.4, width - 0.4)]
    blocks = (
        Block("code", code_x, code_y, symbol.room, symbol.room),
        Block("words", left, top, room, foot - top),
    )
    items = [replace(i, block="number") if i in number else i for i in items]
    return lying(Page(width, height, tuple(items), blocks, f"tag {tree.tag}"), head_left=not back)


def _code(symbol: codes.Symbol, x: float, y: float, link: str) -> Code:
    quiet = codes.QUIET_MODULES * symbol.module
    return Code(x + quiet, y + quiet, symbol.module, symbol.rows, symbol.text, link, "code")


def _words(tree: Tree, left: float, top: float, room: float, end: float) -> list[Item]:
    """Species, then name, each only where a whole line is left; a long one takes further lines before it is set smaller or cut."""
    said = [(tree.full_name, 9.5, False)] if tree.full_name else []
    said += [(tree.name, 9.0, True)] if tree.name else []
    items: list[Item] = []
    y = top
    for text, size, bold in said:
        rows = wrap(text, size, room, bold)
        fits = int((end - y + 1e-6) / line_mm(size))
        if len(rows) > min(WORDS_ROWS, fits):
            rows = [fitted(text, size, room, bold)[0]] if fits else []
        for row in rows:
            points = shrunk(row, size, room, bold)
            y += line_mm(size)
            items.append(Text(left, y - 1.0, row, points, bold, width=width_mm(row, points, bold), block="words"))
    return items


def _number(tag: str, left: float, top: float, room: float, wanted_mm: float) -> list[Text]:
    """The number with capitals of the wanted height; a long one is set smaller, or on several lines, never cut."""
    wish = wanted_mm / MM_PER_POINT / CAP_HEIGHT
    rows = 1
    while rows < len(tag) and shrunk(_parts(tag, rows)[0], wish, room, True, 0.0) < LEAST_PT:
        rows += 1
    parts = _parts(tag, rows)
    size = min(shrunk(part, wish, room, True, 0.0) for part in parts)
    step = size * MM_PER_POINT * (CAP_HEIGHT + 0.3)
    first = top + size * MM_PER_POINT * CAP_HEIGHT
    return [
        Text(left, first + i * step, part, size, True, width=width_mm(part, size, True), block="words")
        for i, part in enumerate(parts)
    ]


def _parts(text: str, count: int) -> list[str]:
    """A text in so many pieces of like length."""
    size = math.ceil(len(text) / count)
    return [text[i : i + size] for i in range(0, len(text), size)]


def _poison(x: float, y: float, room: float) -> list[Item]:
    """The general warning sign, a triangle with an exclamation mark (its form is that of ISO 7010's, in black), and the word."""
    half, base = POISON_MM / 2, y + POISON_MM - 0.4
    frame = Shape(((x + half, y), (x + POISON_MM, base), (x, base)), None, 0.5, block="poison")
    wide = width_mm("!", 9.0, True)
    mark = Text(x + half - wide / 2, base - 0.6, "!", 9.0, True, width=wide, block="poison")
    word, points = fitted(say("poisonous"), 8.0, room - POISON_MM - 1.2, True)
    beside = Text(
        x + POISON_MM + 1.2, base - 0.8, word, points, True, width=width_mm(word, points, True), block="poison"
    )
    return [frame, mark, beside]


def _hole(x: float, y: float, diameter: float) -> Shape:
    angles = [2 * math.pi * i / HOLE_SIDES for i in range(HOLE_SIDES)]
    return Shape(
        tuple((x + diameter / 2 * math.cos(a), y + diameter / 2 * math.sin(a)) for a in angles), None, 0.2, "hole"
    )


def free_tags(used: Sequence[str], count: int) -> list[str]:
    """The next numbers above every number in use, as wide as those are."""
    numbers = [int(tag) for tag in used if tag.isascii() and tag.isdecimal()]
    width = max((len(tag) for tag in used if tag.isascii() and tag.isdecimal()), default=3)
    first = max(numbers, default=0) + 1
    return [f"{number:0{width}d}" for number in range(first, first + count)]
