"""Windows that no mark gives: each rule computes a season's window, or says why there is none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from ..season.climate import day_index
from ..season.marks import Absent, Mark, SiteYear
from ..trade.knowledge import Group
from ..trade.windows import Window
from .state import State

ACTIVE_NIGHTS = 12.0
MILD_NIGHTS = 8.0


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


def window_span(site: SiteYear, group: str, window: Window, season: int) -> Answer:
    """A window of marks as days of one season."""
    marks: list[Mark] = []
    for moment in (window.opens, window.best, window.closes):
        mark = site.mark(group, moment.mark, season + moment.next_season)
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


def _told(mark: Mark) -> str:
    band = f" ± {mark.band} days" if mark.band else ""
    return f"{mark.name} about {mark.day.day} {mark.day:%b %Y}{band} ({mark.how})"


def candle_removal(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """About a hundred days before growth ends, so that a second flush hardens; earlier on large trees."""
    if site.climate is None:
        return NoSpan("no monthly normals on record: about 100 days before growth ends")
    end, opened = site.growth_end(season, 13.0), site.mark(group.name, "open", season)
    if isinstance(end, Absent):
        return NoSpan(end.why)
    if isinstance(opened, Absent):
        return NoSpan(opened.why)
    size, lead, after_midsummer = _size(state)
    best = min(end.day - timedelta(days=lead), site.midsummer(season) + timedelta(days=after_midsummer))
    while best > opened.day and site.climate.sum_between(best, end.day, 10.0) < 800:
        best -= timedelta(days=1)
    if best <= opened.day:
        return NoSpan("season too short here: leave the candles or only shorten the strong ones", refused=True)
    how = (
        f"{lead} days before days cool under 13 °C (about {end.day.day} {end.day:%b}), not after "
        f"{after_midsummer:+d} days from midsummer, and with 800 °C·d above 10 °C still to come",
        f"reckoned for a {size} tree",
    )
    return Span(max(best - timedelta(days=10), opened.day), best, best + timedelta(days=10), end.band, how)


def _size(state: State) -> tuple[str, int, int]:
    height = state.height_mm()
    if height is None:
        return "medium (height not on record)", 100, 4
    if height < 250:
        return "small", 90, 18
    return ("medium", 100, 4) if height <= 600 else ("large", 115, -10)


def active_growth(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """The stretch of the season with warm nights."""
    return _nights(site, season, ACTIVE_NIGHTS, "nights average 12 °C or more")


def lengthening_growth(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """Up to sixty days of active growth, best while the days still lengthen."""
    active = active_growth(site, group, season, state)
    if isinstance(active, NoSpan):
        return active
    closes = min(active.closes, active.opens + timedelta(days=60))
    return Span(active.opens, min(active.opens + timedelta(days=20), closes), closes, active.band, active.how)


def mild_nights(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """From the time nights average 8 °C in spring, for 45 days."""
    mild = _nights(site, season, MILD_NIGHTS, "nights average 8 °C or more")
    if isinstance(mild, NoSpan):
        return mild
    closes = min(mild.closes, mild.opens + timedelta(days=45))
    return Span(mild.opens, min(mild.opens + timedelta(days=14), closes), closes, mild.band, mild.how)


def _nights(site: SiteYear, season: int, warmth: float, words: str) -> Answer:
    climate = site.climate
    if climate is None:
        return NoSpan("no monthly normals on record")
    start = site.midsummer(season) - timedelta(days=182)
    days = [start + timedelta(days=i) for i in range(364)]
    warm = {d for d in days if climate.tmin[day_index(d)] >= warmth}
    if not warm:
        return NoSpan(f"it is never so warm here that {words}: follow the signs")
    if len(warm) == len(days):
        opens = start + timedelta(days=70)
        return Span(
            opens,
            opens + timedelta(days=20),
            opens + timedelta(days=240),
            15,
            (f"{words} all year: while days lengthen",),
        )
    summer = site.midsummer(season)
    if summer not in warm:
        return NoSpan(f"{words} at no settled time here: follow the signs")
    opens, closes = summer, summer
    while opens - timedelta(days=1) in warm:
        opens -= timedelta(days=1)
    while closes + timedelta(days=1) in warm:
        closes += timedelta(days=1)
    return Span(
        opens, min(opens + timedelta(days=30), closes), closes, 12, (f"{words} from about {opens.day} {opens:%b}",)
    )


SEASON_RULES: dict[str, Callable[[SiteYear, Group, int, State], Answer]] = {
    "candle removal": candle_removal,
    "active growth": active_growth,
    "lengthening growth": lengthening_growth,
    "mild nights": mild_nights,
}
