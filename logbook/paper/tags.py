"""Pot tags: the number large on both sides, species, name if there is room, and the code that leads to the tree."""

from __future__ import annotations

from dataclasses import dataclass

from ..problems import stop
from ..record.model import Settings, Tree
from . import codes
from .layouts import Layout
from .page import MM_PER_POINT, Block, Code, Item, Page, Shape, Text
from .sheets import tree_link
from .type import CAP_HEIGHT, fitted, line_mm, width_mm

HOLE_SIDES = 24


@dataclass(frozen=True, slots=True)
class Tag:
    """Both sides of one tag, and the code chosen for it."""

    tree: Tree
    front: Page
    back: Page
    symbol: codes.Symbol


def pot_tag(tree: Tree, settings: Settings, layout: Layout) -> Tag:
    """Draw one tag. Raises ProblemsFound where the code can't be printed large enough on this stock."""
    text = tree_link(settings, tree)
    room = layout.page[1] - 2 * layout.margin
    symbol = codes.fit(text, room, "H")
    if symbol is None:
        need = codes.least_room(text)
        wants = f"needs {need:.1f} mm; this tag has {room:.1f} mm" if need else "is more than any code holds"
        raise stop(
            f"the code for tag {tree.tag} holds {len(text)} characters and {wants}",
            path=layout.name,
            hint="use a shorter link (with {tag} instead of {file}), or a larger tag",
        )
    sides = [_side(tree, layout, symbol, settings.link and text, back=back) for back in (False, True)]
    return Tag(tree, sides[0], sides[1], symbol)


def _side(tree: Tree, layout: Layout, symbol: codes.Symbol, link: str, *, back: bool) -> Page:
    """One side; the back has hole and code at the other ends, so that the hole is one hole."""
    width, height = layout.page
    items: list[Item] = []
    ring = layout.hole + 2.5 if layout.hole else 0.0
    if layout.hole:
        at = layout.margin + layout.hole / 2 + 0.5
        items.append(_hole(width - at if back else at, height / 2, layout.hole))
    quiet = codes.QUIET_MODULES * symbol.module
    code_x = layout.margin if back else width - layout.margin - symbol.room
    code_y = (height - symbol.room) / 2
    items.append(Code(code_x + quiet, code_y + quiet, symbol.module, symbol.rows, symbol.text, link, "code"))
    left = code_x + symbol.room + 0.5 if back else layout.margin + ring
    room = (width - layout.margin - ring if back else code_x) - left - 0.5
    number, y = _number(tree.tag, left, room, layout)
    items.append(number)
    y = number.y + 1.6
    species, species_pt = fitted(tree.full_name, 9.5, room)
    y += line_mm(9.5)
    items.append(Text(left, y - 1.0, species, species_pt, width=width_mm(species, species_pt), block="words"))
    if tree.name and y + line_mm(9.0) <= height - layout.margin:
        name, name_pt = fitted(tree.name, 9.0, room, bold=True)
        y += line_mm(9.0)
        items.append(Text(left, y - 1.0, name, name_pt, True, width=width_mm(name, name_pt, True), block="words"))
    blocks = (Block("words", left, 0.0, room + 0.5, height), Block("code", code_x, code_y, symbol.room, symbol.room))
    return Page(width, height, tuple(items), blocks, f"tag {tree.tag}")


def _number(tag: str, left: float, room: float, layout: Layout) -> tuple[Text, float]:
    """The number with capitals of the wanted height; a long one is set smaller, never cut."""
    size = layout.number_height / MM_PER_POINT / CAP_HEIGHT
    wide = width_mm(tag, size, True)
    if wide > room:
        size *= room / wide
    baseline = layout.margin + size * MM_PER_POINT * CAP_HEIGHT + 0.6
    return Text(left, baseline, tag, size, True, width=width_mm(tag, size, True), block="words"), baseline


def _hole(x: float, y: float, diameter: float) -> Shape:
    import math

    angles = [2 * math.pi * i / HOLE_SIDES for i in range(HOLE_SIDES)]
    return Shape(
        tuple((x + diameter / 2 * math.cos(a), y + diameter / 2 * math.sin(a)) for a in angles), None, 0.2, "hole"
    )
