"""Windows of upkeep: feeding, shelter, frost and pests, and the season in which plants grow."""

from __future__ import annotations

from datetime import timedelta

from ...horticulture.knowledge import Group
from ...season.climate import day_index
from ...season.marks import Absent, SiteYear
from ..tree_state import State
from ..windows import Answer, NoSpan, Span
from .warmth import active_growth

RISK_10 = 1.2816  # the standard normal's 90 % point


def growing_season(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """From swelling (or warm nights) to the end of growth."""
    begins, end = site.mark(group.name, "swell", season), site.mark(group.name, "growth end", season)
    if isinstance(begins, Absent) or isinstance(end, Absent) or begins.day > end.day:
        return active_growth(site, group, season, state)
    return Span(
        begins.day,
        begins.day,
        end.day,
        begins.band,
        (f"from swell about {begins.day.day} {begins.day:%b} to growth end",),
    )


def feeding(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """By stage: from open while the trunk is grown, from hardened in refinement; two-flush pines from swell. Pauses are told."""
    start_mark = (
        "swell"
        if group.name in ("two-flush pine", "scale juniper")
        else "hardened"
        if state.stage in ("refinement", "maintenance")
        else "open"
    )
    begins, end = site.mark(group.name, start_mark, season), site.mark(group.name, "growth end", season)
    if isinstance(end, Absent):
        return NoSpan(end.why)
    if isinstance(begins, Absent):
        return active_growth(site, group, season, state)
    opens = begins.day
    how = [f"from {start_mark} about {opens.day} {opens:%b} to three weeks before growth ends"]
    if state.repotted and not state.repotted.about:
        after = state.repotted.latest + timedelta(days=28)
        if opens < after and state.repotted.latest >= site.season_start(season):
            opens = after
            how.append("not for four weeks after repotting")
    if group.name == "two-flush pine":
        pause = 60 if state.stage in ("refinement", "maintenance") else 30
        how.append(f"pause {pause} days from candle removal")
    if state.resting:
        how.append("half strength while it rests")
    closes = end.day - timedelta(days=21)
    if opens > closes:
        return NoSpan("the season is too short here for it", refused=True)
    return Span(opens, opens, closes, begins.band, tuple(how))


def shelter(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """From the first to the last night of the winter before a season whose 10 %-risk minimum is under the roots' limit."""
    climate = site.climate
    if climate is None:
        return NoSpan("no monthly normals on record")
    start = site.midsummer(season)
    nights = [start + timedelta(days=i) for i in range(364)]
    cold = [
        d for d in nights if climate.tmin[day_index(d)] - RISK_10 * climate.sigma_min[day_index(d)] < group.root_limit
    ]
    if not cold or len(cold) > 330:
        return NoSpan(
            "roots stand the usual winter here" if not cold else "too cold here to stand outdoors", refused=bool(cold)
        )
    limit = site.settings.units.temperature_told(group.root_limit)
    return Span(
        cold[0],
        cold[0],
        cold[-1],
        12,
        (
            f"one night in ten is under {limit} at the roots from about {cold[0].day} {cold[0]:%b} to {cold[-1].day} {cold[-1]:%b}",
        ),
    )


def frost_watch(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """From open leaves to the last frost at 10 % risk."""
    opened, last = site.mark(group.name, "open", season), site.mark(group.name, "last frost 10 %", season)
    if isinstance(opened, Absent):
        return NoSpan(opened.why)
    if isinstance(last, Absent):
        return NoSpan(last.why)
    if last.day <= opened.day:
        return NoSpan("frost is over before the leaves open")
    return Span(
        opened.day,
        opened.day,
        last.day,
        opened.band,
        (
            f"leaves open about {opened.day.day} {opened.day:%b}, one frost in ten still to come until {last.day.day} {last.day:%b}",
        ),
    )


def pest_watch(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """From the first soft shoots to the end of growth; mites and scale once days reach 27 °C."""
    growing = growing_season(site, group, season, state)
    if isinstance(growing, NoSpan) or site.climate is None:
        return growing
    hot = [
        d
        for d in (growing.opens + timedelta(days=i) for i in range((growing.closes - growing.opens).days))
        if site.climate.tmax[day_index(d)] >= 27
    ]
    heat = (
        (
            f"days reach {site.settings.units.temperature_told(27)} from about {hot[0].day} {hot[0]:%b}: mites and scale",
        )
        if hot
        else ()
    )
    return Span(growing.opens, growing.opens, growing.closes, growing.band, (*growing.how, *heat))
