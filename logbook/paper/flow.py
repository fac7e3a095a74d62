"""Putting blocks on pages: pieces stacked downwards, continued on a further page, never cut silently."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import field
from functools import lru_cache

from ..values import dataclass
from .page import MM_PER_POINT, Block, Item, Rule, Text, moved
from .typesetting import CAP_HEIGHT, line_mm, shrunk, tidy, width_mm, wrap


@dataclass(frozen=True, slots=True)
class Piece:
    """Items drawn from its own top left corner, and the height they take. `keep` holds it to the piece below."""

    height: float
    items: tuple[Item, ...] = ()
    keep: bool = False


@dataclass(frozen=True, slots=True)
class Chunk:
    """A named block: pieces in order, with white above it. `whole`: it begins a further page before it is parted."""

    name: str
    pieces: tuple[Piece, ...]
    above: float = 1.6
    whole: bool = False


@dataclass(slots=True)
class Room:
    """What is left of a page's column."""

    x: float
    top: float
    width: float
    bottom: float
    items: list[Item] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    y: float = 0.0

    def __post_init__(self) -> None:
        self.y = self.top

    def fits(self, height: float) -> bool:
        """Whether a piece of this height, mm, still has room."""
        return self.y + height <= self.bottom + 1e-6

    def place(self, name: str, piece: Piece) -> None:
        """Set a piece below what stands there, in the block of this name, which grows where it was the last."""
        for item in piece.items:
            self.items.append(moved(item, self.x, self.y, name))
        if self.blocks and self.blocks[-1].name == name:
            last = self.blocks[-1]
            self.blocks[-1] = Block(name, last.x, last.y, last.width, self.y + piece.height - last.y)
        else:
            self.blocks.append(Block(name, self.x, self.y, self.width, piece.height))
        self.y += piece.height


def flow(chunks: Sequence[Chunk], new_room: Callable[[int], Room]) -> list[Room]:
    """Stack chunks into rooms, opening further ones as needed; `new_room` gets the page's number from 0."""
    rooms = [new_room(0)]
    for chunk in chunks:
        if rooms[-1].y > rooms[-1].top:
            rooms[-1].y += chunk.above
        if chunk.whole and _is_better_whole(chunk, rooms[-1]):
            rooms.append(new_room(len(rooms)))
        _fill(rooms, chunk, new_room)
    return rooms


def _fill(rooms: list[Room], chunk: Chunk, new_room: Callable[[int], Room]) -> None:
    """Stack a chunk's pieces below what stands there, those that must stay together on one page."""
    for run in _runs(chunk.pieces):
        height = sum(piece.height for piece in run)
        if not rooms[-1].fits(height) and rooms[-1].y > rooms[-1].top:
            rooms.append(new_room(len(rooms)))
        for piece in run:
            rooms[-1].place(chunk.name, piece)


def _is_better_whole(chunk: Chunk, room: Room) -> bool:
    """Whether a block finds no room here, and would on a page of its own."""
    height = sum(piece.height for piece in chunk.pieces)
    return not room.fits(height) and room.y > room.top and height <= room.bottom - room.top + 1e-6


def _runs(pieces: Sequence[Piece]) -> list[list[Piece]]:
    """Pieces that must stay together."""
    runs: list[list[Piece]] = [[]]
    for piece in pieces:
        runs[-1].append(piece)
        if not piece.keep:
            runs.append([])
    return [run for run in runs if run]


def lines(
    text: str,
    size: float,
    room: float,
    *,
    bold: bool = False,
    indent: float = 0.0,
    keep: bool = False,
    white: bool = False,
) -> list[Piece]:
    """A paragraph as one piece a line."""
    rows = wrap(text, size, room - indent, bold)
    return [
        line(row, size, bold=bold, indent=indent, keep=keep or _widow(i, len(rows)), white=white)
        for i, row in enumerate(rows)
    ]


def _widow(index: int, count: int) -> bool:
    """No single first or last line of a paragraph alone on a page."""
    return count > 1 and index in (0, count - 2)


def line(
    text: str, size: float, *, bold: bool = False, indent: float = 0.0, keep: bool = False, white: bool = False
) -> Piece:
    """One line of text as a piece; `size` in points, `indent` in mm."""
    height = line_mm(size)
    return Piece(height, (baseline_text(text, indent, height, size, bold=bold, white=white),), keep)


@lru_cache(maxsize=512)
def baseline_text(
    text: str, x: float, height: float, size: float, *, bold: bool = False, white: bool = False
) -> Text:
    """A text set in a line of this height, its capitals centred."""
    clean = tidy(text)
    baseline = height / 2 + size * MM_PER_POINT * CAP_HEIGHT / 2
    return Text(x, baseline, clean, size, bold, white, width_mm(clean, size, bold))


def right_text(text: str, right: float, height: float, size: float, *, bold: bool = False) -> Text:
    """A text that ends at `right`, set in a line of this height, mm."""
    placed = baseline_text(text, 0.0, height, size, bold=bold)
    return moved(placed, right - placed.width, 0.0)  # type: ignore[return-value]


def heading(text: str, width: float, size: float) -> Piece:
    """A small bold heading with a hairline to its right."""
    height = line_mm(size) + 0.4
    words = baseline_text(text, 0.0, height, shrunk(text, size, width, bold=True), bold=True)
    if words.width + 3.0 > width:
        return Piece(height, (words,), keep=True)
    return Piece(height, (words, Rule(words.width + 1.5, height / 2, width, height / 2, 0.15, 0.5)), keep=True)


def row(cells: Sequence[tuple[float, str, bool]], width: float, size: float = 9.0) -> list[Piece]:
    """Cells at these shares of the width; a long one takes further lines in its own column."""
    starts = [share * width for share, _, _ in cells]
    ends = [*(start - 1.2 for start in starts[1:]), width]
    columns = [
        wrap(text, size, end - start, bold)
        for (start, end), (_, text, bold) in zip(zip(starts, ends, strict=True), cells, strict=True)
    ]
    pieces = []
    for number in range(max(map(len, columns))):
        items: list[Item] = []
        for start, column, (_, _, bold) in zip(starts, columns, cells, strict=True):
            if number < len(column):
                items.append(moved(baseline_text(column[number], 0.0, line_mm(size), size, bold=bold), start, 0.0))
        pieces.append(Piece(line_mm(size), tuple(items), keep=number + 1 < max(map(len, columns))))
    return pieces
