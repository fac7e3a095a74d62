"""The pocket list of bench days: for each day its works with a box and a pencil line, many trees, one serial.

Typed back as a walk list is: `3 20 oct done`. Every box and line is a `Spot` in the ledger.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from ..collection.dates import day_told
from ..collection.model import Settings, Tree
from ..planning.lists.care_list import Cared
from ..planning.scheduler import WEEKDAYS, Schedule, Task
from ..planning.wording import Wording, wording_of
from ..storage.printed import Offered, Sheet, Spot, with_page
from . import codes
from .care_words import care_words
from .flow import baseline_text
from .layouts import Layout
from .page import Block, Box, Code, Item, Page, Rule, Text
from .sheet.back import CODE_ROOM_MM, PEN_GRAY, SQUARE_IN_MM, SQUARE_MM, camera_spots, squares
from .typesetting import fitted, line_mm, wrap

TITLE_PT, WORDS_PT = 9.5, 9.0


@dataclass(frozen=True, slots=True)
class DayList:
    """The list's pages, and what goes on record of them (None for a draft)."""

    pages: tuple[Page, ...]
    sheet: Sheet | None


@dataclass(slots=True)
class _Writer:
    """Pages being filled from the top down."""

    layout: Layout
    serial: str
    title: str
    today: date
    wording: Wording
    pages: list[Page] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    y: float = 0.0

    @property
    def left(self) -> float:
        return SQUARE_IN_MM + SQUARE_MM + 1.5

    @property
    def right(self) -> float:
        return self.layout.room[0] - self.left

    def open(self) -> None:
        """A new page: squares, code, title."""
        self.items = squares(*self.layout.room)
        self.blocks = []
        top, room = 4.0, self.right - self.left
        page = len(self.pages) + 1
        text = with_page(self.serial, page, 1)
        symbol = codes.fit(text, CODE_ROOM_MM - 6, "Q") if self.serial else None
        if symbol:
            quiet = codes.QUIET_MODULES * symbol.module
            x = self.right - symbol.room
            self.items.append(Code(x + quiet, top + quiet, symbol.module, symbol.rows, text, "", "code"))
            self.blocks.append(Block("code", x, top, symbol.room, symbol.room))
            room -= symbol.room + 1.0
        self.spots += camera_spots(self.items, page)
        y = top
        said = (
            ("Bench days", 13.0, True),
            (self.serial or "DRAFT", 11.0, True),
            (self.title, 9.0, False),
            (day_told(self.today), 8.0, False),
        )
        for words, size, bold in said:
            clean, points = fitted(words, size, room, bold)
            self._text(clean, self.left, y, line_mm(size), points, bold, "title")
            y += line_mm(size)
        self.blocks.append(Block("title", self.left, top, room, y - top))
        self.y = max(y, top + symbol.room if symbol else 0.0) + 1.0

    def close(self) -> None:
        number = len(self.pages) + 1
        self.pages.append(Page(*self.layout.room, tuple(self.items), tuple(self.blocks), f"bench days {number}"))

    def room_for(self, height: float) -> bool:
        return self.y + height <= self.layout.room[1] - SQUARE_IN_MM - 1.0

    def _text(self, words: str, x: float, y: float, height: float, size: float, bold: bool, block: str) -> Text:
        text = baseline_text(words, 0.0, height, size, bold=bold)
        placed = replace(text, x=text.x + x, y=text.y + y, block=block)
        self.items.append(placed)
        return placed

    def day(self, when: date, tasks: Sequence[Task], free: int, *, again: bool = False) -> None:
        minutes = sum(task.minutes for task in tasks)
        told = "continued" if again else f"{minutes} min, {free} left"
        words = f"{WEEKDAYS[when.weekday()].capitalize()} {day_told(when)}: {told}"
        clean, size = fitted(words, TITLE_PT, self.right - self.left, True)
        self._text(clean, self.left, self.y, line_mm(TITLE_PT), size, True, f"day {when}")
        height = line_mm(TITLE_PT) + 0.6
        self.items.append(Rule(self.left, self.y + height, self.right, self.y + height, 0.3, block=f"day {when}"))
        self.blocks.append(Block(f"day {when}", self.left, self.y, self.right - self.left, height))
        self.y += height + 1.4

    def row_height(self, rows: int) -> float:
        return max(self.layout.box, rows * line_mm(WORDS_PT)) + self.layout.line + 0.8

    def row(self, line: str, task: Task, words: Sequence[str], bold: int) -> None:
        box, block, page = self.layout.box, f"row {line}", len(self.pages) + 1
        top = self.y
        self.items.append(Box(self.left, top, box, box, 0.35, block=block))
        self.spots.append(Spot("job", line, task.tag, page, self.left, top, box, box))
        height = box if len(words) == 1 else line_mm(WORDS_PT)
        for index, text in enumerate(words):
            self._text(text, self.left + box + 1.5, top + index * height, height, WORDS_PT, index < bold, block)
        base = top + self.row_height(len(words)) - 0.8
        self._text(line, self.left, base - self.layout.line + 1.4, self.layout.line - 1.4, WORDS_PT, True, block)
        start = self.left + 6.0
        self.items.append(Rule(start, base, self.right, base, 0.2, PEN_GRAY, block=block))
        self.spots.append(
            Spot("line", line, task.tag, page, start, base - self.layout.line, self.right - start, self.layout.line)
        )
        self.blocks.append(Block(block, self.left, top, self.right - self.left, self.row_height(len(words)) - 0.8))
        self.y = top + self.row_height(len(words)) + 0.6

    def care(self, words: str) -> None:
        """The paragraph at the end, over as many pages as it takes."""
        rows = wrap(words, WORDS_PT, self.right - self.left) if words else []
        for text in rows:
            if not self.room_for(line_mm(WORDS_PT)):
                self.close()
                self.open()
            self._text(text, self.left, self.y, line_mm(WORDS_PT), WORDS_PT, False, "care")
            self.blocks.append(Block("care", self.left, self.y, self.right - self.left, line_mm(WORDS_PT)))
            self.y += line_mm(WORDS_PT)


def day_list(
    plan: Schedule,
    trees: Mapping[str, Tree],
    settings: Settings,
    layout: Layout,
    serial: str,
    today: date,
    care: Sequence[Cared] = (),
) -> DayList:
    """Draw the list, with the care of those weeks at its end. Line numbers run through all its pages, and so does the serial."""
    writer = _Writer(layout, serial, settings.title, today, wording_of(settings))
    writer.open()
    lines: dict[str, str] = {}
    jobs: list[Offered] = []
    for when, tasks in sorted(plan.days.items()):
        if not writer.room_for(line_mm(TITLE_PT) + 2.0 + writer.row_height(2)):
            writer.close()
            writer.open()
        writer.day(when, tasks, plan.free.get(when, 0))
        for task in tasks:
            line = str(len(lines) + 1)
            lines[line] = task.tag
            head, more = _words(task, trees[task.tag], writer)
            words = [*head, *more]
            if not writer.room_for(writer.row_height(len(words))):
                writer.close()
                writer.open()
                writer.day(when, tasks, 0, again=True)
            writer.row(line, task, words, len(head))
            if task.job:
                jobs.append(_offered(line, task))
    writer.care(care_words(care, writer.wording, len(trees)))
    writer.close()
    if not serial or not lines:
        return DayList(tuple(writer.pages), None)
    tags = tuple(dict.fromkeys(lines.values()))
    digests = {tag: trees[tag].digest for tag in tags}
    sheet = Sheet(
        serial,
        today,
        layout.name,
        layout.version,
        settings.units.name,
        tags,
        lines,
        tuple(jobs),
        tuple(writer.spots),
        digests,
    )
    return DayList(tuple(writer.pages), sheet)


def _words(task: Task, tree: Tree, writer: _Writer) -> tuple[list[str], list[str]]:
    """Tag, name and work, then minutes, the window's end, the mix, and the sign to do it by."""
    room = writer.right - writer.left - writer.layout.box - 1.5
    name = f"{task.tag} {tree.name or tree.full_name}: {task.what}"
    wanted = task.job and not task.job.is_look_over
    sign = (writer.wording.reasons(task.job.conditions) or task.job.sign) if task.job and wanted else ""
    more = " · ".join(p for p in (f"{task.minutes} min", f"until {day_told(task.last)}", task.kin, sign) if p)
    return wrap(name, WORDS_PT, room, True), wrap(more, WORDS_PT, room)


def _offered(line: str, task: Task) -> Offered:
    job = task.job
    assert job is not None
    opens, closes = (d.isoformat() if d else "" for d in (job.opens, job.closes))
    return Offered(line, task.tag, job.work, job.branches, opens, closes, job.own)
