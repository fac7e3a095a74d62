"""Pages to write on: corner squares, serial and code, tick boxes, and numbered pencil lines at known places.

Every box and line is also a `Spot` in mm for the ledger, so that a picture of the page can be read one day. A back
takes as many tick boxes as leave room to write; the rest go on to the next one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field

from ...storage.printed import Spot, with_page
from ...values import dataclass
from .. import codes
from ..flow import baseline_text
from ..layouts import Layout
from ..page import Block, Box, Code, Item, Page, Rule, Text, moved_text
from ..typesetting import fitted, line_mm, shrunk, width_mm, wrap
from ..words import say

SQUARE_MM = 5.0
SQUARE_IN_MM = 3.0
CODE_ROOM_MM = 24.0
PEN_GRAY = 0.35
DAY_MM = 17.0
NARROWEST_TICK_MM = 50.0
LEAST_LINES = 2
GOOD_LINES = 5  # what only may be done has a box while so many lines stay
ROW_GAPS_MM = (1.7, 1.2, 0.8, 0.5)  # under a tick, as many need
HEAD_PT, HEAD_MM = 7.5, 2.8
TIGHT_LEADING = 0.85  # of two lines beside a box: they reach into no other at the least gap
MARK_MM, MARK_LEFT_MM, MARK_PT = 7.0, 1.2, 9.0
APART_MM = 1.2  # between a mark and the words behind it
TAIL_MM = 1.6
LEAST_SCORE_GAP_MM = 2.6  # between a vigour box and the next, its number between
FIRST_BACK = 2  # the page of a record sheet whose code names no page


@dataclass(frozen=True, slots=True)
class Tick:
    """A job to tick: its mark and its words."""

    mark: str
    what: str


@dataclass(frozen=True, slots=True)
class BackText:
    """What the backs of one sheet say."""

    tag: str
    name: str
    serial: str
    code: str
    link: str
    day: str


@dataclass(frozen=True, slots=True)
class Back:
    """One back: its page, its spots in mm of the page as cut, the ids of its lines, and the ticks that had no room."""

    page: Page
    spots: tuple[Spot, ...]
    lines: tuple[str, ...]
    left_over: tuple[Tick, ...]


def squares(width: float, height: float) -> list[Item]:
    """Solid squares at the corners and the middles of the long edges, for a camera to find."""
    near, far_x, far_y = SQUARE_IN_MM, width - SQUARE_IN_MM - SQUARE_MM, height - SQUARE_IN_MM - SQUARE_MM
    middle = (height - SQUARE_MM) / 2
    spots = [(near, near), (far_x, near), (near, far_y), (far_x, far_y), (near, middle), (far_x, middle)]
    return [Box(x, y, SQUARE_MM, SQUARE_MM, fill=0.0, block="squares") for x, y in spots]


def camera_spots(items: Iterable[Item], page: int, tag: str = "") -> list[Spot]:
    """Where the squares and the code of a page lie, for the ledger."""
    squared = [item for item in items if isinstance(item, Box) and item.block == "squares"]
    spots = [Spot("square", str(n), tag, page, b.x, b.y, b.width, b.height) for n, b in enumerate(squared, start=1)]
    for item in items:
        if isinstance(item, Code):
            side = item.module * len(item.rows)
            spots.append(Spot("code", "", tag, page, item.x, item.y, side, side))
    return spots


def back_page(
    layout: Layout,
    words: BackText,
    ticks: tuple[Tick, ...],
    first_line: int,
    page_number: int,
    *,
    scores: bool,
    spare: tuple[Tick, ...] = (),
) -> Back:
    """Draw one back on the layout's room (the page without its bound edge). `spare` ticks stand where they leave lines enough."""
    sheet = _Sheet(layout, words, page_number)
    left_over = ticks
    if "jobs" in layout.back:
        ticks = (*ticks, *sheet.spare(ticks, spare))
    for name in layout.back:
        if name == "jobs" and ticks:
            left_over = sheet.ticks(ticks)
        elif name == "vigour" and scores:
            sheet.scores()
        elif name == "lines":
            sheet.pencil_lines(first_line, keep=sheet.after("lines", ticks, scores=scores))
    width, height = layout.room
    page = Page(width, height, tuple(sheet.items), tuple(sheet.blocks), f"{words.tag} back {page_number // 2}")
    lines = tuple(spot.id for spot in sheet.spots if spot.kind == "line")
    return Back(page, tuple(sheet.spots), lines, left_over if "jobs" in layout.back else ())


@dataclass(slots=True)
class _Sheet:
    """A back being drawn, from the top down."""

    layout: Layout
    words: BackText
    number: int
    items: list[Item] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    left: float = 0.0
    right: float = 0.0
    bottom: float = 0.0
    y: float = 0.0
    code_bottom: float = 0.0
    narrow: float = 0.0
    marks: float = MARK_MM
    gap: float = ROW_GAPS_MM[0]

    def __post_init__(self) -> None:
        width, height = self.layout.room
        inset = SQUARE_IN_MM + SQUARE_MM + 1.5
        self.left, self.right, self.bottom = inset, width - inset, height - SQUARE_IN_MM - 1.0
        self.items += squares(width, height)
        top = 4.0
        side = self._code(top)
        self.spots += camera_spots(self.items, self.number, self.words.tag)
        self.code_bottom = top + side + 0.5 if side else top
        self.narrow = self.right - self.left - side - 1.0
        self.y = self._title(top)

    def after(self, block: str, ticks: tuple[Tick, ...], *, scores: bool) -> float:
        """Height that the blocks below this one take, mm."""
        order = self.layout.back
        below = order[order.index(block) + 1 :]
        height = (len(ticks) * self._row() + 3.2) if "jobs" in below else 0.0
        return height + (self.layout.box + 1.2 + TAIL_MM if "vigour" in below and scores else 0.0)

    def _row(self) -> float:
        return self.layout.box + self.gap

    def _lines_mm(self, count: int) -> float:
        """What so many lines with their heads take, and the vigour boxes, mm."""
        lines = count * self.layout.line + HEAD_MM if "lines" in self.layout.back else 0.0
        return lines + self.layout.box + 1.2 + TAIL_MM

    def spare(self, ticks: tuple[Tick, ...], spare: tuple[Tick, ...]) -> tuple[Tick, ...]:
        """Those of the ticks that may go which leave lines enough."""
        room = self.bottom - self.y - HEAD_MM - self._lines_mm(GOOD_LINES) - len(ticks) * self._row()
        return spare[: max(0, int(room / self._row()))]

    def _at(self, text: Text, x: float, y: float, block: str) -> Text:
        placed = moved_text(text, x, y, block)
        self.items.append(placed)
        return placed

    def _below_code(self) -> None:
        self.y = max(self.y, self.code_bottom)

    def _code(self, top: float) -> float:
        """The code in the upper right corner; returns its side with the quiet zone, 0 where no code fits."""
        text = with_page(self.words.code, self.number, FIRST_BACK) if self.words.serial else self.words.code
        symbol = codes.fit(text, min(CODE_ROOM_MM, (self.right - self.left) * 0.4), "Q")
        if symbol is None:
            return 0.0
        quiet = codes.QUIET_MODULES * symbol.module
        x = self.right - symbol.room
        self.items.append(Code(x + quiet, top + quiet, symbol.module, symbol.rows, text, self.words.link, "code"))
        self.blocks.append(Block("code", x, top, symbol.room, symbol.room))
        return symbol.room

    def _title(self, top: float) -> float:
        """Tag and serial, name, and the day it was printed."""
        words, room = self.words, self.narrow
        height = line_mm(13.0)
        serial = words.serial or say("draft")
        beside = room - width_mm(serial, 11.0, True) - 2.0
        tag_pt = shrunk(words.tag, 13.0, max(beside, 1.0), bold=True)
        stacked = width_mm(words.tag, tag_pt, True) > beside
        tag_pt = shrunk(words.tag, 13.0, room, bold=True) if stacked else tag_pt
        y = top
        for row in wrap(words.tag, tag_pt, room, True):
            self._at(baseline_text(row, 0, height, tag_pt, bold=True), self.left, y, "title")
            y += height if stacked else 0.0
        number = baseline_text(serial, 0, height, 11.0, bold=True)
        self._at(number, self.left if stacked else self.left + room - number.width, y, "title")
        y += height
        name, size = fitted(words.name, self.layout.size("bench"), room)
        self._at(baseline_text(name, 0, line_mm(9.0), size), self.left, y, "title")
        y += line_mm(9.0)
        note = say("printed" if words.serial else "draft of", day=words.day)
        for row in wrap(note, HEAD_PT, room):
            self._at(baseline_text(row, 0, line_mm(HEAD_PT), HEAD_PT), self.left, y, "title")
            y += line_mm(HEAD_PT)
        self.blocks.append(Block("title", self.left, top, room, y + 0.4 - top))
        return y + 0.6

    def ticks(self, ticks: tuple[Tick, ...]) -> tuple[Tick, ...]:
        """A box and a day for each job, beside the code where that is wide enough; returns those left over."""
        room = self.narrow
        if room < NARROWEST_TICK_MM:
            self._below_code()
            room = self.right - self.left
        reserved = self._lines_mm(LEAST_LINES)
        left = self.bottom - self.y - 3.2 - reserved - len(ticks) * self.layout.box
        self.marks = max([MARK_MM, *(MARK_LEFT_MM + width_mm(t.mark, MARK_PT, True) + APART_MM for t in ticks)])
        self.gap = next((gap for gap in ROW_GAPS_MM if gap * len(ticks) <= left), ROW_GAPS_MM[-1])
        head = baseline_text(say("day"), 0, 2.6, HEAD_PT)
        self._at(head, self.left + room - DAY_MM + 1.0, self.y, "ticks")
        self.blocks.append(Block("ticks", self.left, self.y, room, 2.6))
        self.y += 3.2
        for index, tick in enumerate(ticks):
            if index and self.y + self._row() + reserved > self.bottom:
                return ticks[index:]
            self._tick(tick, room)
        return ()

    def _tick(self, tick: Tick, room: float) -> None:
        box, y, block = self.layout.box, self.y, f"tick {tick.mark}"
        self.items.append(Box(self.left, y, box, box, 0.35, block=block))
        self.spots.append(Spot("job", tick.mark, self.words.tag, self.number, self.left, y, box, box))
        self._at(baseline_text(tick.mark, 0, box, MARK_PT, bold=True), self.left + box + MARK_LEFT_MM, y, block)
        x, wide = self.left + box + self.marks, room - box - self.marks - 0.5 - DAY_MM
        rows, size = _two_lines(tick.what, self.layout.size("bench"), wide)
        height = line_mm(size) * TIGHT_LEADING if len(rows) > 1 else box
        start = y + (box - height * len(rows)) / 2 if len(rows) > 1 else y
        for index, row in enumerate(rows):
            self._at(baseline_text(row, 0, height, size), x, start + index * height, block)
        base = y + box
        self.items.append(
            Rule(self.left + room - DAY_MM + 1.0, base, self.left + room, base, 0.2, PEN_GRAY, block=block)
        )
        day_x = self.left + room - DAY_MM + 1.0
        self.spots.append(Spot("day", tick.mark, self.words.tag, self.number, day_x, y, DAY_MM - 1.0, box))
        over = max(0.0, (height * len(rows) - box) / 2)
        self.blocks.append(Block(block, self.left, y - over, room, box + 2 * over))
        self.y += self._row()

    def scores(self) -> None:
        """Vigour, 1 failing to 5 strong; clear of the day above, into which the tail of a tick would reach."""
        self._below_code()
        self.y += TAIL_MM
        box, y = self.layout.box, self.y
        label = self._at(baseline_text(say("score"), 0, box, 9.0, bold=True), self.left, y, "vigour")
        hint, x = say("scores"), self.left + label.width + 2.5
        step = min(box + 5.2, (self.right - x) / 5)
        beside = (self.right - x - 0.5 - width_mm(hint, HEAD_PT)) / 5  # closer boxes before the hint goes
        step = min(step, beside) if beside >= box + LEAST_SCORE_GAP_MM else step
        for score in range(1, 6):
            self.items.append(Box(x, y, box, box, 0.35, block="vigour"))
            self.spots.append(Spot("vigour", str(score), self.words.tag, self.number, x, y, box, box))
            self._at(baseline_text(str(score), 0, box, 9.0), x + box + 0.7, y, "vigour")
            x += step
        end = x - step + box + 3.0
        if x + 0.5 + width_mm(hint, HEAD_PT) <= self.right + 1e-6:
            end = x + 0.5 + self._at(baseline_text(hint, 0, box, HEAD_PT), x + 0.5, y, "vigour").width
        self.blocks.append(Block("vigour", self.left, y, end - self.left, box))
        self.y = y + box + 0.8

    def pencil_lines(self, first: int, *, keep: float) -> None:
        """Numbered lines to write on, as many as the page holds; clear of the squares at the foot and the middle."""
        self._below_code()
        top = self.y
        self._at(baseline_text(say("day"), 0, 2.6, HEAD_PT), self.left + 5.0, top, "lines")
        words, size = fitted(say("told here"), HEAD_PT, self.right - self.left - 22.0, least_pt=HEAD_PT)
        self._at(baseline_text(words, 0, 2.6, size), self.left + 22.0, top, "lines")
        y, line, count = top + HEAD_MM, self.layout.line, 0
        while y + line <= self.bottom - keep:
            number, base = str(first + count), y + line
            self._at(baseline_text(number, 0, line, 9.0, bold=True), self.left, y + 0.6, "lines")
            self.items.append(Rule(self.left + 5.0, base, self.right, base, 0.2, PEN_GRAY, block="lines"))
            self.items.append(
                Rule(self.left + 21.0, base - 2.2, self.left + 21.0, base, 0.2, PEN_GRAY, block="lines")
            )
            wide = self.right - self.left - 5.0
            self.spots.append(Spot("line", number, self.words.tag, self.number, self.left + 5.0, y, wide, line))
            y, count = base, count + 1
        self.blocks.append(Block("lines", self.left, top, self.right - self.left, max(y, top + 2.6) - top))
        self.y = y + 0.8


def _two_lines(what: str, size: float, room: float) -> tuple[list[str], float]:
    """A job's words on one line, else on two smaller ones; longer ones stand in full on the front."""
    for one in (size, size - 0.5, size - 1.0):
        if width_mm(what, one) <= room:
            return [what], one
    rows = wrap(what, HEAD_PT, room)
    if len(rows) > 2:
        rows = [rows[0], fitted(" ".join(rows[1:]), HEAD_PT, room, least_pt=HEAD_PT)[0]]
    return rows, HEAD_PT
