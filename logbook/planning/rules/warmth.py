"""Windows that hang on warmth: nights that stay mild, active growth, and autumns mild enough for a second chance."""

from __future__ import annotations

from datetime import timedelta

from ...horticulture.knowledge import Group
from ...season.climate import day_index
from ...season.marks import Absent, SiteYear
from ..tree_state import State
from ..windows import Answer, NoSpan, Span

ACTIVE_NIGHTS = 12.0
MILD_NIGHTS = 8.0
MILD_COLDEST_MONTH = 5.0


def active_growth(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """The stretch of the season with warm nights."""
    return _nights(
        site, season, ACTIVE_NIGHTS, f"nights average {site.settings.units.temperature_told(ACTIVE_NIGHTS)} or more"
    )


def lengthening_growth(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """Up to sixty days of active growth, best while the days still lengthen."""
    if state.indoors:
        summer = site.midsummer(season)
        return Span(
            summer - timedelta(days=40), summer, summer + timedelta(days=40), 0, ("kept indoors: about midsummer",)
        )
    active = active_growth(site, group, season, state)
    if isinstance(active, NoSpan):
        return active
    closes = min(active.closes, active.opens + timedelta(days=60))
    return Span(active.opens, min(active.opens + timedelta(days=20), closes), closes, active.band, active.how)


def height_of_growth(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """The middle of active growth."""
    active = active_growth(site, group, season, state)
    if isinstance(active, NoSpan):
        return active
    best = active.opens + (active.closes - active.opens) / 2
    return Span(
        max(active.opens, best - timedelta(days=20)),
        best,
        min(active.closes, best + timedelta(days=20)),
        active.band,
        active.how,
    )


def mild_nights(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """From the time nights average 8 °C in spring, for 45 days."""
    mild = _nights(
        site, season, MILD_NIGHTS, f"nights average {site.settings.units.temperature_told(MILD_NIGHTS)} or more"
    )
    if isinstance(mild, NoSpan):
        return mild
    closes = min(mild.closes, mild.opens + timedelta(days=45))
    return Span(mild.opens, min(mild.opens + timedelta(days=14), closes), closes, mild.band, mild.how)


def _nights(site: SiteYear, season: int, warmth: float, words: str) -> Answer:
    return site.kept(("nights", season, warmth), lambda: _warm_nights(site, season, warmth, words))


def _warm_nights(site: SiteYear, season: int, warmth: float, words: str) -> Answer:
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


def mild_autumn(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """Early autumn, where winters are mild: sixty to thirty days before growth ends, once the heat is over."""
    climate, end = site.climate, site.mark(group.name, "growth end", season)
    if climate is None or isinstance(end, Absent):
        return NoSpan("no monthly normals on record")
    if climate.coldest_month < MILD_COLDEST_MONTH:
        return NoSpan("winters are too cold here to repot in autumn")
    opens, closes = end.day - timedelta(days=60), end.day - timedelta(days=30)
    how = f"a mild winter allows early autumn too, sixty to thirty days before growth ends (about {end.day.day} {end.day:%b})"
    return Span(opens, opens + timedelta(days=10), closes, end.band, (how,))
