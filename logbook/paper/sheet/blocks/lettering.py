"""Lines of words as blocks set them: a bold lead before a paragraph, two texts at the two ends of a line, folded numbers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ...flow import Piece, baseline_text, line, lines, right_text
from ...page import moved
from ...typesetting import line_mm, tidy, width_mm, words_of, wrap

APART_MM = 2.5
JOINER = " ·"
MOST_OF_A_LINE = 0.7


def led(lead: str, text: str, size: float, room: float, *, indent: float = 0.0) -> list[Piece]:
    """A paragraph behind a bold lead on its first line; all of it is kept."""
    wide = width_mm(tidy(lead), size, True) + width_mm(" ", size)
    within = room - indent
    if wide > within * MOST_OF_A_LINE or not text.strip():
        alone = lead.removesuffix(JOINER)
        return [*lines(alone, size, room, bold=True, indent=indent), *lines(text, size, room, indent=indent)]
    first, rest = _parted(text, size, within - wide)
    height = line_mm(size)
    bold = baseline_text(lead, indent, height, size, bold=True)
    opening = Piece(height, (bold, baseline_text(first, indent + wide, height, size)) if first else (bold,))
    return [opening, *(line(row, size, indent=indent) for row in wrap(rest, size, within) if row)]


def _parted(text: str, size: float, room: float) -> tuple[str, str]:
    """The words that fit a first line of this room, and the rest."""
    words = words_of(text)
    count = 0
    while count < len(words) and width_mm(" ".join(words[: count + 1]), size) <= room:
        count += 1
    return " ".join(words[:count]), " ".join(words[count:])


def both_ends(left: str, right: str, width: float, sizes: tuple[float, float], indent: float = 0.0) -> Piece | None:
    """Two bold texts on one line, one at each end; None where they do not fit."""
    wide = width_mm(tidy(left), sizes[0], True) + width_mm(tidy(right), sizes[1], True)
    if indent + wide + (APART_MM if right else 0.0) > width:
        return None
    height = line_mm(sizes[0])
    first = baseline_text(left, indent, height, sizes[0], bold=True)
    if not right:
        return Piece(height, (first,))
    last = right_text(right, width, height, sizes[1], bold=True)
    return Piece(height, (first, replace(last, y=first.y)))


def at_ends(left: str, right: str, width: float, sizes: tuple[float, float], indent: float = 0.0) -> list[Piece]:
    """The same, wrapped over as many lines as both take; the right one ends the last line, or stands below it."""
    whole = both_ends(left, right, width, sizes, indent)
    if whole is not None:
        return [whole]
    rows = wrap(left, sizes[0], width - indent, True)
    *above, last = rows or [""]
    closing = both_ends(last, right, width, sizes, indent)
    made = [line(row, sizes[0], bold=True, indent=indent, keep=True) for row in above]
    if closing is not None:
        return [*made, closing]
    below = wrap(right, sizes[1], width - indent, True)
    height = line_mm(sizes[1])
    ends = [Piece(height, (right_text(row, width, height, sizes[1], bold=True),)) for row in below]
    return [*made, line(last, sizes[0], bold=True, indent=indent, keep=True), *ends]


def shifted(piece: Piece, dx: float, dy: float = 0.0) -> tuple[object, ...]:
    """A piece's items further right and down, mm."""
    return tuple(moved(item, dx, dy) for item in piece.items)


def stacked(pieces: Iterable[Piece], x: float = 0.0, y: float = 0.0) -> Piece:
    """Pieces under one another as one, so that no page parts them."""
    items, top = [], y
    for piece in pieces:
        items += [moved(item, x, top) for item in piece.items]
        top += piece.height
    return Piece(top, tuple(items))


def kept(pieces: Sequence[Piece]) -> list[Piece]:
    """Pieces that stay together."""
    return [Piece(piece.height, piece.items, keep=number + 1 < len(pieces)) for number, piece in enumerate(pieces)]


def folded(idents: Sequence[str]) -> str:
    """`1–4, 7, S1`: runs of three numbers or more as a range."""
    told: list[str] = []
    run: list[str] = []
    for ident in [*idents, ""]:
        follows = run and ident.isdecimal() and run[-1].isdecimal() and int(ident) == int(run[-1]) + 1
        if run and not follows:
            told += [f"{run[0]}–{run[-1]}"] if len(run) > 2 else run
            run = []
        run.append(ident)
    return ", ".join(told)
