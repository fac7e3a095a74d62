"""What every block of the front is made from, and what it was given room for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field
from datetime import date
from typing import TypeVar, cast

from ...collection.model import Settings
from ...horticulture.knowledge import Knowledge
from ...planning.model import Plan
from ...planning.wording import Wording, wording_of
from ...values import dataclass
from ..layouts import Layout
from ..photos import Photo
from .offers import Marked

T = TypeVar("T")
AHEAD_DAYS = 150
MOST_SIGNED = 4  # those that lose most by waiting
BENCH_SMALLER_PT, SMALL_SMALLER_PT = 8.5, 7.5


@dataclass(frozen=True, slots=True)
class Given:
    """How much of each block there is room for: what gives way first stands first.

    `days` of the log; `rows` of the year; `aim_lines` 0 for the whole aim; `tall` the height of drawing and photograph, mm;
    `dense` sets what is said of a job as one paragraph; `smaller` sets the smaller type; `signed` is how many jobs stand with
    their signs; `sooner` says under wire that its day is no promise; `tight` takes the white from between blocks, and sets jobs without
    their signs as small as the rest.
    """

    days: int
    rows: int
    sparkline: bool = True
    photo: bool = True
    aim_lines: int = 0
    drawing: bool = True
    tall: float = 24.0
    dense: bool = False
    smaller: bool = False
    signed: int = MOST_SIGNED
    tight: bool = False
    sooner: bool = True


@dataclass(frozen=True, slots=True)
class SheetContext:
    """What the blocks are made from. `marked` are the jobs of the front, in its order, with their marks."""

    plan: Plan
    settings: Settings
    knowledge: Knowledge
    layout: Layout
    width: float
    marked: tuple[Marked, ...]
    photo: Photo | None = None
    kept: dict[object, object] = field(default_factory=dict, compare=False)

    def once(self, key: object, make: Callable[[], T]) -> T:
        """What is made of this sheet whatever room it is given: the first time made, then kept under its name."""
        if key not in self.kept:
            self.kept[key] = make()
        return cast("T", self.kept[key])

    @property
    def wording(self) -> Wording:
        """How reasons are said on this sheet."""
        return wording_of(self.settings)

    @property
    def southern(self) -> bool:
        """Whether its seasons are those of the southern half."""
        return bool(self.settings.site and self.settings.site.southern)

    def bench(self, given: Given) -> float:
        """Size of what is read at the bench, points."""
        size = self.layout.size("bench")
        return min(size, BENCH_SMALLER_PT) if given.smaller else size

    def small(self, given: Given) -> float:
        """Size of what is read at a table, points."""
        size = self.layout.size("small")
        return min(size, SMALL_SMALLER_PT) if given.smaller else size


def day_on_paper(day: date, printed: date) -> str:
    """`14 Oct`; with its year where the day lies before the print day, or more than ten months after it."""
    from_then = (day - printed).days
    plain = f"{day.day} {day:%b}"
    return plain if 0 <= from_then <= 300 else f"{plain} {day.year}"
