"""The small language of windows in works.yaml: `swell - 21 / swell - 3 / open`.

A window is three moments; a moment is a season mark with days added or taken, and `next` for the coming season's.
"""

from __future__ import annotations

import re
from enum import StrEnum

from ..values import dataclass


class MarkName(StrEnum):
    """The marks of a season by name; those of `MARKS` may stand in a window."""

    SWELL = "swell"
    OPEN = "open"
    HARDENED = "hardened"
    GROWTH_END = "growth end"
    LEAF_COLOUR = "leaf colour"
    LEAF_FALL = "leaf fall"
    MIDSUMMER = "midsummer"
    MIDWINTER = "midwinter"
    FLOWER = "flower"
    FLOWER_OVER = "flower over"
    LAST_FROST = "last frost"
    FIRST_FROST = "first frost"
    LAST_FROST_10 = "last frost 10 %"
    FIRST_FROST_10 = "first frost 10 %"


CAREFUL_FROSTS = frozenset((MarkName.LAST_FROST_10, MarkName.FIRST_FROST_10))
_TOLD_ONLY = CAREFUL_FROSTS | {MarkName.LEAF_COLOUR}
MARKS = tuple(name.value for name in MarkName if name not in _TOLD_ONLY)
_MOMENT = re.compile(r"(next )?([a-z ]+?)(?: ([+-]) (\d{1,3}))?")


class NotAWindow(ValueError):  # noqa: N818 - reads as what it says
    """The text is no window; the message says which part."""


@dataclass(frozen=True, slots=True)
class Moment:
    """`days` after (or before) a mark of this season, or of the next."""

    mark: str
    days: int = 0
    next_season: bool = False

    def told(self) -> str:
        """As a sentence has it: `21 days before swell`."""
        when = f"next {self.mark}" if self.next_season else self.mark
        if not self.days:
            return when
        return f"{abs(self.days)} days {'after' if self.days > 0 else 'before'} {when}"

    def __str__(self) -> str:
        """As it is typed."""
        when = f"next {self.mark}" if self.next_season else self.mark
        return f"{when} {'+' if self.days > 0 else '-'} {abs(self.days)}" if self.days else when


@dataclass(frozen=True, slots=True)
class Window:
    """When a work may begin, is best done, and must be done."""

    opens: Moment
    best: Moment
    closes: Moment

    def __str__(self) -> str:
        """As it is typed."""
        return f"{self.opens} / {self.best} / {self.closes}"


def read_window(text: str) -> Window:
    """Read `opens / best / closes`. Raises NotAWindow."""
    parts = [part.strip() for part in text.split(" / ")]
    if len(parts) != 3:
        raise NotAWindow(f"expected 'opens / best / closes', found '{text}'")
    return Window(*(read_moment(part) for part in parts))


def read_moment(text: str) -> Moment:
    """Read `swell - 21` or `next open`. Raises NotAWindow."""
    found = _MOMENT.fullmatch(text)
    if not found or found[2] not in MARKS:
        raise NotAWindow(f"expected a mark with days, as in 'swell - 21', found '{text}'")
    days = int(found[4] or 0) * (-1 if found[3] == "-" else 1)
    return Moment(found[2], days, bool(found[1]))
