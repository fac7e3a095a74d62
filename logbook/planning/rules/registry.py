"""Windows of works that no mark gives: each rule computes a season's window, or says why there is none."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from ...horticulture.knowledge import Group
from ...season.marks import Absent, Mark, SiteYear
from ..tree_state import State
from ..windows import Answer, NoSpan, Span
from .upkeep import feeding, frost_watch, growing_season, pest_watch, shelter
from .warmth import active_growth, height_of_growth, lengthening_growth, mild_autumn, mild_nights

STILL_TO_COME = 800.0  # °C·d above 10 °C that a second flush wants


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
    while best > opened.day and site.climate.sum_between(best, end.day, 10.0) < STILL_TO_COME:
        best -= timedelta(days=1)
    if best <= opened.day:
        return NoSpan("season too short here: leave the candles or only shorten the strong ones", refused=True)
    limit = site.midsummer(season) + timedelta(days=after_midsummer)
    how = [
        f"{lead} days before days cool under {site.settings.units.temperature_told(13)} (about {end.day.day} {end.day:%b}), at the latest {limit.day} {limit:%b}"
    ]
    if best < min(end.day - timedelta(days=lead), limit):
        how.append(
            f"moved to {best.day} {best:%b}, so that {site.settings.units.warmth_told(STILL_TO_COME, 10)} are still to come"
        )
    how.append(f"reckoned for a {size} tree")
    opens = max(best - timedelta(days=10), opened.day)
    return Span(opens, best, best + timedelta(days=10), end.band, tuple(how))


def _size(state: State) -> tuple[str, int, int]:
    height = state.height_mm()
    if height is None:
        return "medium (height not on record)", 100, 4
    if height < 250:
        return "small", 90, 18
    return ("medium", 100, 4) if height <= 600 else ("large", 115, -10)


def after_flowering(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """Four weeks from the end of flowering, by this tree's own record of it."""
    over = _flower_day(site, season, state, over=True)
    if over is None:
        return NoSpan("no flowering on record: log 'saw flower' or 'saw flower over'")
    return Span(
        over,
        over + timedelta(days=10),
        over + timedelta(days=28),
        10,
        (f"flowers over about {over.day} {over:%b %Y}, from this tree's log",),
    )


def while_flowering(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """From a week into flower until three weeks after it."""
    begins, over = _flower_day(site, season, state, over=False), _flower_day(site, season, state, over=True)
    if begins is None or over is None:
        return NoSpan("no flowering on record: log 'saw flower' or 'saw flower over'")
    opens = begins + timedelta(days=7)
    return Span(
        opens,
        max(opens, over - timedelta(days=7)),
        over + timedelta(days=21),
        10,
        (f"in flower about {begins.day} {begins:%b} to {over.day} {over:%b %Y}, from this tree's log",),
    )


def _flower_day(site: SiteYear, season: int, state: State, *, over: bool) -> date | None:
    """Flowering's end or beginning in a season: the mean day of what the log says, four weeks apart where one is missing."""
    shift = {("flower", True): 28, ("flower over", False): -28}
    summer = site.midsummer
    offsets = []
    for entry in state.entries:
        if entry.saw in ("flower", "flower over"):
            seen = entry.date.earliest + timedelta(days=shift.get((entry.saw, over), 0))
            offsets.append((seen - summer(site.season_of(entry.date.earliest))).days)
    if not offsets:
        return None
    return summer(season) + timedelta(days=round(sum(offsets) / len(offsets)))


def a_season_later(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """About swelling buds, or as warm nights return: when a layer or graft of last season is taken off."""
    swell = site.mark(group.name, "swell", season)
    if isinstance(swell, Mark):
        start = swell.day - timedelta(days=14)
        how = f"a season after it was made, about swell {swell.day.day} {swell.day:%b %Y}"
        return Span(start, swell.day, swell.day + timedelta(days=14), swell.band, (how,))
    return active_growth(site, group, season, state)


def season_rule(name: str, site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """A rule's answer for a group in a season."""
    return SEASON_RULES[name](site, group, season, state)


# rules whose answer hangs on the tree's own state; the others may be kept for every tree of a group
OF_THE_TREE = frozenset(("candle removal", "lengthening growth", "after flowering", "while flowering", "feeding"))
SEASON_RULES: dict[str, Callable[[SiteYear, Group, int, State], Answer]] = {
    "candle removal": candle_removal,
    "active growth": active_growth,
    "lengthening growth": lengthening_growth,
    "mild nights": mild_nights,
    "mild autumn": mild_autumn,
    "after flowering": after_flowering,
    "while flowering": while_flowering,
    "height of growth": height_of_growth,
    "growing season": growing_season,
    "feeding": feeding,
    "shelter": shelter,
    "frost watch": frost_watch,
    "pest watch": pest_watch,
    "a season later": a_season_later,
}
