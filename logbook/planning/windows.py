"""A window as days of one season, or why there is none."""

from __future__ import annotations

from datetime import date, timedelta

from ..horticulture.window_syntax import Window
from ..season.cache import Slot
from ..season.learning import NOBODY, Who
from ..season.mark import Absent, Mark
from ..season.reasons import Reason, because
from ..season.site_year import SiteYear
from ..values import dataclass
from .grounds import ByMark


@dataclass(frozen=True, slots=True)
class Span:
    """A window with days: opens ≤ best ≤ closes, the 80 % band of its marks (± days), and how it was found.

    `second` where it is a row's second chance in the season.
    """

    opens: date
    best: date
    closes: date
    band: int
    how: tuple[Reason, ...] = ()
    second: bool = False


@dataclass(frozen=True, slots=True)
class NoSpan:
    """No window this season. `refused`: the work must not be done; otherwise only its date is unknown."""

    why: Reason
    refused: bool = False


Answer = Span | NoSpan
_SPANS: Slot[tuple[Window, str, int, Who], Answer] = Slot("days by window, group, season and tree")


def window_span(site: SiteYear, group: str, window: Window, season: int, who: Who = NOBODY) -> Answer:
    """A window of marks as days of one season."""
    if who.tag and not tells_apart(site, group, window, season, who):
        who = Who("", who.species)
    key = (window, group, season, who)
    return site.cache_of(who).get(_SPANS, key, lambda: _fresh_span(site, group, window, season, who))


def tells_apart(site: SiteYear, group: str, window: Window, season: int, who: Who) -> bool:
    """Whether a tree's own marks may open or close a window on other days than its kin's, or for other reasons."""
    moments = (window.opens, window.best, window.closes)
    return any(m.mark in site.marks.own_names(who, group, season + m.next_season) for m in moments)


def _fresh_span(site: SiteYear, group: str, window: Window, season: int, who: Who) -> Answer:
    marks: list[Mark] = []
    for moment in (window.opens, window.best, window.closes):
        mark = site.marks.mark(group, moment.mark, season + moment.next_season, who)
        if isinstance(mark, Absent):
            return NoSpan(mark.why)
        marks.append(mark)
    opens, best, closes = (
        mark.day + timedelta(days=moment.days)
        for mark, moment in zip(marks, (window.opens, window.best, window.closes), strict=True)
    )
    if not opens <= closes:
        return NoSpan(because(ByMark.SEASON_TOO_SHORT), refused=True)
    best = min(max(best, opens), closes)
    return Span(opens, best, closes, max(m.band for m in marks), tuple(dict.fromkeys(map(mark_about, marks))))


def mark_about(mark: Mark) -> Reason:
    """The mark as a reason: its day, band, and where it comes from."""
    about = because(ByMark.MARK_ABOUT, mark=str(mark.name), day=mark.day, band=mark.band, how=mark.how)
    if mark.is_even:
        return about
    ends = {name: end for name, end in (("early", mark.early), ("late", mark.late)) if end is not None}
    return because(ByMark.MARK_ABOUT, **about.values, uneven=1, **ends)
