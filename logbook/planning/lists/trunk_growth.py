"""A tree's measurements against its targets: when the trunk is likely there, and what stands in the way of saying so."""

from __future__ import annotations

from datetime import date

from ...collection.model import Targets
from ...collection.units import Units
from ...formulas.growth import NoReach, Point, Reach, reach, since_restart
from ...season.marks import SiteYear
from ..tree_state import State

# what changes the rate of thickening: out of the ground into a pot, the trunk shortened, a sacrifice branch gone
RESTARTS = ("lifting", "trunk chop", "sacrifice branch off")


def points_of(state: State, what: str = "trunk") -> list[Point]:
    """Readings that still tell the rate: those since it last changed, the later of two on one day."""
    latest = {r.day: r.value for r in state.readings.get(what, ())}
    restarts = [e.date.latest for e in state.entries if e.work in RESTARTS]
    return since_restart([Point(day, value) for day, value in latest.items()], restarts)


def seasons_between(site: SiteYear, first: date, last: date) -> float:
    """Growing seasons from a day to another, by the days that grow."""
    year = site.growing_days(date(2025, 1, 1), date(2026, 1, 1))
    return site.growing_days(first, last) / year if year else 0.0


def trunk_reach(targets: Targets, state: State, site: SiteYear) -> Reach | NoReach | None:
    """When the trunk likely reaches its target; None where no target or no reading is on record."""
    if targets.trunk is None or not state.readings.get("trunk"):
        return None
    points = points_of(state)
    if not points:
        return NoReach("no reading yet since its growth changed")
    return reach(points, targets.trunk.to, seasons_between(site, points[0].day, points[-1].day))


def growth_told(targets: Targets, state: State, site: SiteYear, units: Units) -> str:
    """`trunk 38.5 mm of 45 mm, about autumn 2029 (2028-2031)`, or why no day is given."""
    found = trunk_reach(targets, state, site)
    if found is None or targets.trunk is None:
        return ""
    now = state.readings["trunk"][-1].value
    said = f"trunk {units.length_told(now)} of {units.length_told(targets.trunk.to)}"
    if isinstance(found, NoReach):
        return f"{said}: {found.why}"
    return f"{said}, {found.told(site.southern)}, {units.length_told(round(found.mm_a_year, 1))} a year"
