"""A window as days of one season, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from ..horticulture.window_syntax import Window
from ..season.learning import NOBODY, Who
from ..season.marks import Absent, Mark, SiteYear


@dataclass(frozen=True, slots=True)
class Span:
    """A window with days: opens ≤ best ≤ closes, the 80 % band of its marks (± days), and how it was found."""

    opens: date
    best: date
    closes: date
    band: int
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NoSpan:
    """No window this season. `refused`: the work must not be done; otherwise only its date is unknown."""

    why: str
    refused: bool = False


Answer = Span | NoSpan


def window_span(site: SiteYear, group: str, window: Window, season: int, who: Who = NOBODY) -> Answer:
    """A window of marks as days of one season."""
    marks: list[Mark] = []
    for moment in (window.opens, window.best, window.closes):
        mark = site.mark(group, moment.mark, season + moment.next_season, who)
        if isinstance(mark, Absent):
            return NoSpan(mark.why)
        marks.append(mark)
    opens, best, closes = (
        mark.day + timedelta(days=moment.days)
        for mark, moment in zip(marks, (window.opens, window.best, window.closes), strict=True)
    )
    if not opens <= closes:
        return NoSpan("the season is too short here for it", refused=True)
    best = min(max(best, opens), closes)
    return Span(opens, best, closes, max(m.band for m in marks), tuple(dict.fromkeys(_told(m) for m in marks)))


@lru_cache(maxsize=4096)
def _told(mark: Mark) -> str:
    band = f" ± {mark.band} days" if mark.band else ""
    return f"{mark.name} about {mark.day.day} {mark.day:%b %Y}{band} ({mark.how})"
