"""How closely the first screen is set: what must stand on it fits the smallest telephone, 320 by 568 px, in whatever size that takes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

ROOM_PX = 330.0  # above the buttons
WIDE_PX = 296.0
LEVELS = (("", 16.0, 1.32), ("dense", 14.0, 1.22), ("tight", 12.0, 1.15))  # class, px, line height
EM_A_LETTER = 0.6  # of the widest face in common use, in bold
Lines = Sequence[tuple[str, float, float]]  # text, em, px beside it that it can't have


def crowding(lines: Lines, gaps: float) -> str:
    """The class under which these lines fit with so many px of white between; the closest where none does."""
    for name, size, leading in LEVELS:
        if gaps + sum(_heights(lines, size, leading)) <= ROOM_PX:
            return name
    return LEVELS[-1][0]


def _heights(lines: Lines, size: float, leading: float) -> Iterable[float]:
    for text, em, beside in lines:
        rows = math.ceil(len(text) * EM_A_LETTER * em * size / (WIDE_PX - beside)) if text else 0
        yield rows * em * size * leading
