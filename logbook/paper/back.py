"""Pages to write on: corner squares, serial and code, tick boxes, and numbered pencil lines at known places.

Every box and line is also a `Spot` in mm for the ledger, so that a picture of the page can be read one day.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..record.ledger import Spot
from . import codes
from .compose import baseline_text
from .layouts import Layout
from .page import Block, Box, Code, Item, Page, Rule, Text
from .type import fitted, line_mm, shrunk, width_mm

SQUARE_MM = 5.0
SQUARE_IN_MM = 3.0
CODE_ROOM_MM = 24.0
PEN_GRAY = 0.35


@dataclass(frozen=True, slots=True)
class Tick:
    """A job to tick: its letter and its words."""

    letter: str
    what: str


@dataclass(frozen=True, slots=True)
class BackText:
    """What a back says."""

    tag: str
    name: str
    serial: str
    code: str
    link: str
    day: str
    ticks: tuple[Tick, ...]
    number: int = 1
    first_line: int = 1


def squares(width: float, height: float, *, middle: bool = True) -> list[Item]:
    """Solid squares at the corners and the middles of the long edges, for a camera to find."""
    near, far_x, far_y = SQUARE_IN_MM, width - SQUARE_IN_MM - SQUARE_MM, height - SQUARE_IN_MM - SQUARE_MM
    spots = [(near, near), (far_x, near), (near, far_y), (far_x, far_y)]
    if middle:
        spots += [(near, (height - SQUARE_MM) / 2), (far_x, (height - SQUARE_MM) / 2)]
    return [Box(x, y, SQUARE_MM, SQUARE_MM, fill=0.0, block="squares") for x, y in spots]


def back_page(layout: Layout, words: BackText, page_number: int) -> tuple[Page, list[Spot], list[str]]:
    """One back: its page, its spots, and the ids of its pencil lines."""
    width, height = layout.page
    inset = SQUARE_IN_MM + SQUARE_MM + 1.5
    left, right, top = inset, width - inset, 4.0
    items: list[Item] = squares(width, height)
    blocks: list[Block] = []
    spots: list[Spot] = []
    symbol = _code(words, right, top, items, blocks)
    text_room = right - left - (symbol.room if symbol else 0.0) - 1.0
    y = _title(layout, words, left, top, text_room, items, blocks)
    if words.first_line == 1:
        y = _ticks(
            layout,
            words,
            left,
            y,
            text_room,
            items,
            blocks,
            spots,
            page_number,
        )
        y = max(y, top + (symbol.room if symbol else 0.0) + 0.5)
        y = _scores(layout, words, left, y, items, blocks, spots, page_number)
    else:
        y = max(y, top + (symbol.room if symbol else 0.0) + 0.5)
    ids = _pencil_lines(layout, words, left, right, y, height - SQUARE_IN_MM - 1.0, items, blocks, spots, page_number)
    return Page(width, height, tuple(items), tuple(blocks), f"{words.tag} back {words.number}"), spots, ids


def _code(words: BackText, right: float, top: float, items: list[Item], blocks: list[Block]) -> codes.Symbol | None:
    symbol = codes.fit(words.code, CODE_ROOM_MM, "Q")
    if symbol is None:
        return None
    quiet = codes.QUIET_MODULES * symbol.module
    x = right - symbol.room
    items.append(Code(x + quiet, top + quiet, symbol.module, symbol.rows, words.code, words.link, "code"))
    blocks.append(Block("code", x, top, symbol.room, symbol.room))
    return symbol


def _title(
    layout: Layout, words: BackText, left: float, top: float, room: float, items: list[Item], blocks: list[Block]
) -> float:
    height = line_mm(13.0)
    number = baseline_text(words.serial or "DRAFT", 0, height, 11.0, bold=True)
    size = shrunk(words.tag, 13.0, room - number.width - 2.0, bold=True)
    tag = _at(baseline_text(words.tag, 0, height, size, bold=True), left, top)
    items += [tag, _at(number, left + room - number.width, top)]
    name, size = fitted(words.name, layout.size("bench"), room)
    second = top + height
    items.append(_at(baseline_text(name, 0, line_mm(9.0), size), left, second))
    note = f"printed {words.day}" if words.serial else f"draft of {words.day}: has no serial, can't be typed in"
    note, note_pt = fitted(note, layout.size("small"), room)
    third = second + line_mm(9.0)
    items.append(_at(baseline_text(note, 0, line_mm(7.5), note_pt), left, third))
    bottom = third + line_mm(7.5) + 1.6
    blocks.append(Block("title", left, top, room, bottom - top))
    return bottom


def _ticks(
    layout: Layout,
    words: BackText,
    left: float,
    y: float,
    narrow: float,
    items: list[Item],
    blocks: list[Block],
    spots: list[Spot],
    page_number: int,
) -> float:
    """A box and a day for each job; the looked-all-well box closes a visit."""
    row = layout.box + 1.7
    day_room = 17.0
    for tick in words.ticks:
        room = narrow
        block = f"tick {tick.letter}"
        items.append(Box(left, y, layout.box, layout.box, 0.35, block=block))
        spots.append(Spot("job", tick.letter, words.tag, page_number, left, y, layout.box, layout.box))
        mark = baseline_text(tick.letter, 0, layout.box, 9.0, bold=True)
        items.append(_at(mark, left + layout.box + 1.2, y, block))
        what, size = fitted(tick.what, layout.size("bench"), room - layout.box - 5.5 - day_room)
        items.append(_at(baseline_text(what, 0, layout.box, size), left + layout.box + 5.0, y, block))
        base = y + layout.box
        items.append(Rule(left + room - day_room + 1.0, base, left + room, base, 0.2, PEN_GRAY, block=block))
        blocks.append(Block(block, left, y, room, layout.box))
        y += row
    return y


def _scores(
    layout: Layout,
    words: BackText,
    left: float,
    y: float,
    items: list[Item],
    blocks: list[Block],
    spots: list[Spot],
    page_number: int,
) -> float:
    """Vigour, 1 failing to 5 strong."""
    label = _at(baseline_text("vigour", 0, layout.box, 9.0, bold=True), left, y, "vigour")
    items.append(label)
    x = left + label.width + 2.5
    for score in range(1, 6):
        items.append(Box(x, y, layout.box, layout.box, 0.35, block="vigour"))
        spots.append(Spot("vigour", str(score), words.tag, page_number, x, y, layout.box, layout.box))
        items.append(_at(baseline_text(str(score), 0, layout.box, 9.0), x + layout.box + 0.7, y, "vigour"))
        x += layout.box + 5.2
    hint = "1 failing · 5 strong"
    items.append(_at(baseline_text(hint, 0, layout.box, layout.size("small")), x + 0.5, y, "vigour"))
    blocks.append(Block("vigour", left, y, x + 0.5 + width_mm(hint, layout.size("small")) - left, layout.box))
    return y + layout.box + 0.8


def _pencil_lines(
    layout: Layout,
    words: BackText,
    left: float,
    right: float,
    top: float,
    bottom: float,
    items: list[Item],
    blocks: list[Block],
    spots: list[Spot],
    page_number: int,
) -> list[str]:
    """Numbered lines to write on, as many as the page holds; clear of the squares at the foot and the middle."""
    ids: list[str] = []
    y = top
    while y + layout.line <= bottom:
        number = str(words.first_line + len(ids))
        items.append(_at(baseline_text(number, 0, layout.line, 9.0, bold=True), left, y + 0.6, "lines"))
        base = y + layout.line
        items.append(Rule(left + 5.0, base, right, base, 0.2, PEN_GRAY, block="lines"))
        items.append(Rule(left + 21.0, base - 2.2, left + 21.0, base, 0.2, PEN_GRAY, block="lines"))
        spots.append(Spot("line", number, words.tag, page_number, left + 5.0, y, right - left - 5.0, layout.line))
        ids.append(number)
        y = base
    if ids:
        blocks.append(Block("lines", left, top, right - left, y - top))
    return ids


def _at(text: Text, x: float, y: float, block: str = "title") -> Text:
    return Text(x, text.y + y, text.text, text.size_pt, text.bold, text.white, text.width, block, text.link)
