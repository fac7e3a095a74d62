"""Pages of a list filled from the top down: squares and code for a camera, the head, headings and rows, further pages as needed."""

from __future__ import annotations

from dataclasses import field

from ..storage.printed import Spot, with_page
from ..values import dataclass
from . import codes
from .headings import Heading, column_heads, draw_heading, heading_height
from .layouts import Layout
from .page import Block, Code, Item, Page
from .rows import SMALL_PT, WORDS_PT, Canvas, Columns, Laid, columns, draw
from .sheet.back import CODE_ROOM_MM, SQUARE_IN_MM, SQUARE_MM, camera_spots, squares
from .typed_back import SAYS
from .typesetting import fitted, line_mm, width_mm, wrap
from .words import say

TITLE_PT, SERIAL_PT = 14.0, 9.5
TOP_MM = 5.0
BY_MM = 40.0
FOOT_GAP_MM = 2.5
SEEN_MM = 8.0
LEAST_DAY_MM, SEEN_STEP_MM = 8.0, 20.0
WIDE_BY_MM = 110.0  # where the hand's line has room beside the words


@dataclass(frozen=True, slots=True)
class ListWords:
    """What the head of a list says: its title, when and of what, how it is typed back.

    `columns`: the names of the columns stand above them; `looked`: rows have a second box; `watched`: trees whose leaves open about
    now, with a place each for the day: a few of them seen set the dates of all.
    """

    title: str
    about: str
    typed: str
    columns: bool = True
    looked: bool = True
    watched: tuple[str, ...] = ()


@dataclass(slots=True)
class ListPages:
    """Pages of one list, and what goes on record of their places."""

    layout: Layout
    serial: str
    words: ListWords
    spots: list[Spot] = field(default_factory=list)
    canvas: Canvas = field(default_factory=lambda: Canvas(1))
    y: float = 0.0
    _pages: list[Page] = field(default_factory=list)

    @property
    def at(self) -> Columns:
        """The columns of these pages."""
        return columns(self.layout.room[0], two_boxes=self.words.looked)

    @property
    def _bottom(self) -> float:
        return self.layout.room[1] - SQUARE_IN_MM - SQUARE_MM - 1.0

    @property
    def room_left(self) -> float:
        """What is left of this page, mm."""
        return self._bottom - self.y

    def open(self) -> None:
        """A new page: squares, code, head, names of the columns."""
        self.canvas = Canvas(len(self._pages) + 1)
        self.canvas.items += squares(*self.layout.room)
        side = self._code()
        self.y = self._head(side)
        if self.serial:
            self.canvas.spots += camera_spots(self.canvas.items, self.canvas.page)

    def done(self, label: str) -> tuple[Page, ...]:
        """All pages, the last one closed."""
        self._close()
        return tuple(
            Page(page.width, page.height, page.items, page.blocks, f"{label} page {number}")
            for number, page in enumerate(self._pages, start=1)
        )

    def take(self, block: str, height: float) -> float:
        """Room of this height, mm, on this page or a further one; where it begins."""
        if not self._fits(height):
            self._further()
        top = self.y
        self.canvas.blocks.append(Block(block, self.at.left, top, self.at.right - self.at.left, height))
        self.y += height
        return top

    def heading(self, heading: Heading, below: float) -> None:
        """A heading; it goes on to a further page with the row below it, mm, where both find no room."""
        height = heading_height(heading, self.at)
        if not self._fits(height + below):
            self._further()
        draw_heading(heading, self.at, self.y, self.canvas)
        self.y += height

    def row(self, laid: Laid, again: Heading) -> None:
        """A row; on a further page its heading stands above it once more."""
        if not self._fits(laid.height):
            self._further()
            draw_heading(again, self.at, self.y, self.canvas)
            self.y += heading_height(again, self.at)
        draw(laid, self.at, self.y, self.canvas)
        self.y += laid.height

    def paragraph(self, words: str, block: str) -> None:
        """A paragraph over the whole width, on a further page where it finds no room here."""
        at, gap = self.at, FOOT_GAP_MM
        for number, line in enumerate(wrap(words, SMALL_PT, at.right - at.left) if words else (), start=1):
            name = f"{block} {number}"
            y = self.take(name, line_mm(SMALL_PT) + gap)
            self.canvas.put(line, at.left, y + gap + line_mm(SMALL_PT) * 0.76, SMALL_PT, name)
            gap = 0.0

    def _fits(self, height: float) -> bool:
        return self.y + height <= self._bottom + 1e-6

    def _further(self) -> None:
        self._close()
        self.open()

    def _close(self) -> None:
        items: tuple[Item, ...] = tuple(self.canvas.items)
        if self.serial:
            self.spots += self.canvas.spots
        self._pages.append(Page(*self.layout.room, items, tuple(self.canvas.blocks)))

    def _code(self) -> float:
        """The code in the upper right corner; returns the room it takes, mm."""
        text = with_page(self.serial, self.canvas.page, 1)
        symbol = codes.fit(text, CODE_ROOM_MM - (2 if self.at.beside else 6), "Q") if self.serial else None
        if symbol is None:
            return 0.0
        quiet, top = codes.QUIET_MODULES * symbol.module, SQUARE_IN_MM + 1.0
        x = self.at.right - symbol.room
        self.canvas.items.append(Code(x + quiet, top + quiet, symbol.module, symbol.rows, text, "", "code"))
        self.canvas.blocks.append(Block("code", x, top, symbol.room, symbol.room))
        return symbol.room

    def _head(self, code: float) -> float:
        """Title, serial and day, how it is typed, the hand; then the names of the columns. Returns where rows begin."""
        at, words, page = self.at, self.words, self.canvas.page
        room = at.right - at.left - (code + 2.0 if code else 0.0)
        told = say("sheet of" if self.serial else "list draft", serial=self.serial, page=page, about=words.about)
        clean, points = fitted(words.title, TITLE_PT, room, True)
        self.canvas.put(clean, at.left, TOP_MM + line_mm(TITLE_PT) * 0.78, points, "head", bold=True)
        y = TOP_MM + line_mm(TITLE_PT) + 1.2
        for line in wrap(told, SERIAL_PT, room):
            self.canvas.put(line, at.left, y + line_mm(SERIAL_PT) * 0.78, SERIAL_PT, "head")
            y += line_mm(SERIAL_PT)
        y += 1.2
        y = self._typed(y, room)
        self.canvas.blocks.append(Block("head", at.left, TOP_MM, room, y - TOP_MM))
        y = max(y, SQUARE_IN_MM + 1.0 + code) + 0.4
        if words.watched and page == 1:
            y = self._watched(y)
        if not words.columns:
            return y
        column_heads(at, y + 3.0, self.canvas, "columns", looked=words.looked)
        self.canvas.blocks.append(Block("columns", at.left, y, at.right - at.left, 3.8))
        return y + 4.0

    def _watched(self, y: float) -> float:
        """A place for the day on which each of these trees was seen to open its leaves, as far as they find room."""
        at, canvas = self.at, self.canvas
        said = canvas.put(say("seen to open"), at.left, y + 6.0, WORDS_PT, "seen", bold=True)
        first = at.left + said.width + 3.0
        many = min(len(self.words.watched), int((at.right - first) / SEEN_STEP_MM))
        step = (at.right - first) / many
        for number, tag in enumerate(self.words.watched):
            below, along = divmod(number, many)
            x, base = first + along * step, y + below * SEEN_MM + 6.0
            start = x + width_mm(tag, WORDS_PT, True) + 1.2
            wide = min(22.0, x + step - 3.0 - start)
            if wide >= LEAST_DAY_MM:  # a longer tag leaves no place for its day
                canvas.put(tag, x, base, WORDS_PT, "seen", bold=True)
                canvas.place(("told", SAYS["saw open"], tag), start, base + 0.6, (wide, 6.2), "seen")
        high = -(-len(self.words.watched) // many) * SEEN_MM
        canvas.blocks.append(Block("seen", at.left, y, at.right - at.left, high))
        return y + high

    def _typed(self, y: float, room: float) -> float:
        """How a row is typed, and on the first page a line for whoever walks: one hand for all of the list."""
        at, height = self.at, line_mm(SMALL_PT) + 1.2
        base = y + height * 0.78
        beside = room >= WIDE_BY_MM
        clean, points = fitted(self.words.typed, SMALL_PT + 0.5, room - (BY_MM + 8.0 if beside else 0.0))
        self.canvas.put(clean, at.left, base, points, "head")
        if self.canvas.page > 1:
            return y + height + 0.4
        if not beside:
            y += height + 0.8
            base = y + height * 0.78
        x = at.left + room - BY_MM - 6.0 if beside else at.left
        hand = self.canvas.put(say("hand"), x, base, SMALL_PT + 0.5, "head")
        start = x + hand.width + 1.5
        self.canvas.place(("by", "", ""), start, base + 0.6, (BY_MM - 4.0, 5.0), "head")
        return y + height + 0.4
