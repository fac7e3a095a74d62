"""The front of a record sheet: what a grower needs before starting, back after half a year, on one leaf.

Each block is one function and one line of the register. Where a leaf has no room for all of it, blocks give way in a fixed
order; what then fits again comes back. Where even the least does not fit, the front goes on on a further leaf.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from operator import attrgetter

from ...collection.dates import day_told
from ...values import dataclass
from ..flow import Chunk, Piece, Room, baseline_text, flow, right_text
from ..page import Block, Item, Page, Shape, moved
from ..typesetting import line_mm
from ..words import say
from .blocks.bars import bars
from .blocks.head import head, head_again
from .blocks.jobs import jobs, meant
from .blocks.leave import care, leave
from .blocks.log import log
from .blocks.tree import has_branches, tree
from .blocks.year import Weight, rows_of, year
from .context import Given, SheetContext
from .good_to import good_to

FIRST_DAYS, MOST_DAYS, EVERY_DAY = 3, 7, 10_000
LEAST_TALL, MOST_TALL = 24.0, 40.0
TALLS = (26.0, 28.0, 30.0, 32.0, 34.0, 36.0, 38.0, MOST_TALL)
AIM_LINES = 4
TIGHT = 0.4  # of the white between blocks
HEAD_GAP_MM = 1.2
ALWAYS = ("smaller",)
Step = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class FrontBlock:
    """A block's function, and what it may be given less or more of."""

    made: Callable[[SheetContext, Given], Chunk]
    gives: tuple[str, ...] = ()


BLOCKS: dict[str, FrontBlock] = {
    "bars": FrontBlock(bars, ("sooner",)),
    "meant": FrontBlock(meant),
    "jobs": FrontBlock(jobs, ("dense", "signed", "tight")),
    "leave": FrontBlock(leave, ("dense",)),
    "care": FrontBlock(care, ("rows", "tight")),
    "year": FrontBlock(year, ("rows",)),
    "tree": FrontBlock(tree, ("sparkline", "photo", "aim_lines", "drawing", "tall")),
    "log": FrontBlock(log, ("days",)),
}
_PARTS = {name: attrgetter(*block.gives, *ALWAYS) for name, block in BLOCKS.items()}  # what a block hangs on


@dataclass(slots=True)
class _Setter:
    """Makes the blocks of one sheet, each once for what it was given."""

    sheet: SheetContext
    made: dict[tuple[str, object], tuple[Chunk, float]] = field(default_factory=dict)
    heads: dict[bool, Piece] = field(default_factory=dict)

    def head(self, given: Given) -> Piece:
        """The head in the type that is given."""
        if given.smaller not in self.heads:
            self.heads[given.smaller] = head(self.sheet, given)
        return self.heads[given.smaller]

    def chunks(self, given: Given) -> list[Chunk]:
        """The layout's blocks in its order; empty ones left out."""
        filled = [chunk for chunk, _ in self._filled(given)]
        return [replace(chunk, above=chunk.above * TIGHT) for chunk in filled] if given.tight else filled

    def _filled(self, given: Given) -> list[tuple[Chunk, float]]:
        found = [self._chunk(name, given) for name in self.sheet.layout.front]
        return [one for one in found if one[0].pieces]

    def _chunk(self, name: str, given: Given) -> tuple[Chunk, float]:
        key = name, _PARTS[name](given)
        found = self.made.get(key)
        if found is None:
            chunk = BLOCKS[name].made(self.sheet, given)
            found = self.made[key] = chunk, sum(piece.height for piece in chunk.pieces)
        return found

    def fits(self, given: Given) -> bool:
        """Whether all of it stands on one leaf."""
        layout, filled = self.sheet.layout, self._filled(given)
        room = layout.room[1] - 2 * layout.margin - foot_mm(self.sheet)
        white = sum(chunk.above for chunk, _ in filled[1:]) * (TIGHT if given.tight else 1.0)
        return self.head(given).height + HEAD_GAP_MM + white + sum(height for _, height in filled) <= room + 1e-6


def front_pages(sheet: SheetContext, *, more: bool = False) -> list[Page]:
    """The fronts: one, or as many as it takes; with `more` the whole log and every row, however many leaves that is."""
    setter = _Setter(sheet)
    rows, drawn = len(rows_of(sheet)), has_branches(sheet.plan)
    full = Given(FIRST_DAYS, rows, drawing=drawn)
    given = None if more else _first_that_fits(setter, full)
    if given is not None:
        return [_one(setter, _grown(setter, given, full))]
    days = EVERY_DAY if more else MOST_DAYS
    return _several(setter, Given(days, rows, drawing=drawn or more, tall=MOST_TALL if more else LEAST_TALL))


def _first_that_fits(setter: _Setter, full: Given) -> Given | None:
    """The most that fits, in the order in which blocks give way; None where nothing does."""
    if setter.fits(full):
        return full
    tries = list(_less(setter, full))
    place = bisect_left(tries, True, key=setter.fits)
    return tries[place] if place < len(tries) else None


def foot_mm(sheet: SheetContext) -> float:
    """Height of a front's last line, mm."""
    return line_mm(sheet.layout.size("small"))


def _less(setter: _Setter, given: Given) -> Iterator[Given]:
    """What is given, then less and less of it, in the order in which blocks give way."""
    yield given
    for step in _steps(setter, given):
        given = replace(given, **step)  # type: ignore[arg-type]
        yield given


def _steps(setter: _Setter, given: Given) -> Iterator[Step]:
    """Older days of the log, far rows of the year, sparkline, photograph, the drawing (before it the aim, beside it), the warning of wire, the
    type, the long aim; then signs, and the year, the white and the size of what stands without its signs.
    """
    yield from ({"days": days} for days in range(given.days - 1, 0, -1))
    yield {"dense": True}
    least = sum(row.weight >= Weight.OFFERED for row in rows_of(setter.sheet))
    yield from ({"rows": rows} for rows in range(given.rows - 1, least - 1, -1))
    yield {"sparkline": False}
    yield {"photo": False}
    if given.drawing:
        yield {"aim_lines": AIM_LINES}
        yield {"drawing": False, "aim_lines": 0}
    yield {"sooner": False}
    yield {"smaller": True}
    yield {"aim_lines": AIM_LINES}
    yield from ({"signed": signed} for signed in range(given.signed - 1, 0, -1))
    yield {"rows": 0}
    yield {"signed": 0}
    yield {"tight": True}


def _grown(setter: _Setter, given: Given, full: Given) -> Given:
    """What fits again comes back; then drawing and photograph grow, then the log."""
    for steps in _back(given, full):
        given = _farthest(setter, given, steps)
    given = _farthest(setter, given, [{"tall": tall} for tall in TALLS])
    return _farthest(setter, given, [{"days": days} for days in range(given.days + 1, MOST_DAYS + 1)])


def _farthest(setter: _Setter, given: Given, steps: Sequence[Step]) -> Given:
    """The last of these steps, each more than the one before, that fits; as it was where none does."""
    count = bisect_left(steps, True, key=lambda step: not setter.fits(replace(given, **step)))  # type: ignore[arg-type]
    return replace(given, **steps[count - 1]) if count else given  # type: ignore[arg-type]


def _back(given: Given, full: Given) -> Iterator[list[Step]]:
    """What may come back, in the order in which it does."""
    if given.rows:
        yield [{"signed": signed} for signed in range(given.signed + 1, full.signed + 1)]
    yield [{"smaller": False}]
    yield [{"sooner": True}]
    yield [{"aim_lines": 0}]
    yield [{"photo": True}]
    yield [{"sparkline": True}]
    yield [{"rows": rows} for rows in range(given.rows + 1, full.rows + 1)]
    yield [{"days": days} for days in range(given.days + 1, full.days + 1)]
    yield [{"dense": False}]
    yield [{"drawing": True}]


def _one(setter: _Setter, given: Given) -> Page:
    sheet, layout = setter.sheet, setter.sheet.layout
    top = setter.head(given)
    room = Room(
        layout.margin,
        layout.margin + top.height + HEAD_GAP_MM,
        sheet.width,
        layout.room[1] - layout.margin - foot_mm(sheet),
    )
    (made,) = flow(setter.chunks(given), lambda _number: room)
    return _page(setter, given, made, 0, 1)


def _several(setter: _Setter, given: Given) -> list[Page]:
    sheet, layout = setter.sheet, setter.sheet.layout

    def room(number: int) -> Room:
        top = head_again(sheet) if number else setter.head(given)
        return Room(
            layout.margin,
            layout.margin + top.height + HEAD_GAP_MM,
            sheet.width,
            layout.room[1] - layout.margin - foot_mm(sheet),
        )

    rooms = flow(setter.chunks(given), room)
    return [_page(setter, given, made, number, len(rooms)) for number, made in enumerate(rooms)]


def _page(setter: _Setter, given: Given, made: Room, number: int, count: int) -> Page:
    sheet, layout = setter.sheet, setter.sheet.layout
    top = head_again(sheet) if number else setter.head(given)
    title = [moved(item, layout.margin, layout.margin, "head") for item in top.items]
    block = Block("head", layout.margin, layout.margin, sheet.width, top.height)
    foot, last = _foot(sheet, number, count)
    label = f"{sheet.plan.tree.tag} front {number + 1}"
    return Page(*layout.room, (*title, *made.items, *foot), (block, *made.blocks, last), label)


def _foot(sheet: SheetContext, number: int, count: int) -> tuple[list[Item], Block]:
    """How long it is good for, and the day it was printed, which the triangle under the year marks; of several leaves, which."""
    layout, size, height = sheet.layout, sheet.layout.size("small"), foot_mm(sheet)
    x, y = layout.margin, layout.room[1] - layout.margin - height
    left = baseline_text(say("good to", day=day_told(good_to(sheet.plan))), 0.0, height, size)
    right = right_text(say("printed", day=day_told(sheet.plan.today)), sheet.width, height, size)
    at, middle = right.x - 2.6, height / 2
    mark = Shape(((at + 1.0, middle - 0.9), (at + 2.0, middle + 0.8), (at, middle + 0.8)), 0.0)
    items: list[Item] = [left, right, mark]
    if count > 1:
        is_last = number + 1 == count
        told = say("page of", page=number + 1, pages=count) if is_last else say("next page")
        words = baseline_text(told, 0.0, height, size)
        if left.width + words.width + 4.0 <= at:
            items.append(moved(words, (left.width + at - words.width) / 2, 0.0))
        else:
            items = [words, right, mark] if is_last else [left, right_text(told, sheet.width, height, size)]
    return [moved(item, x, y, "foot") for item in items], Block("foot", x, y, sheet.width, height)
