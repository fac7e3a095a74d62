"""A tree's measurements against its targets: when the trunk is likely there, and what stands in the way of saying so."""

from __future__ import annotations

from datetime import date

from ...collection.model import Targets
from ...formulas.growth import NoReach, Point, Reach, Unreached, reach, since_restart
from ...season.calendar import Calendar
from ...values import dataclass
from ..garden import Garden
from ..tree_state import State


@dataclass(frozen=True, slots=True)
class Growth:
    """The trunk's last reading and its target, mm, and when it is likely there."""

    now_mm: float
    target_mm: float
    outlook: Reach | NoReach


def points_of(state: State, garden: Garden, what: str = "trunk") -> list[Point]:
    """Readings that still tell the rate: those since it last changed, the later of two on one day."""
    latest = {r.day: r.value for r in state.readings.get(what, ())}
    works = garden.knowledge.works
    restarts = [e.date.latest for e in state.entries if e.work in works and works[e.work].changes_growth]
    return since_restart([Point(day, value) for day, value in latest.items()], restarts)


def seasons_between(calendar: Calendar, first: date, last: date) -> float:
    """Growing seasons from a day to another, by the days that grow."""
    year = calendar.growing_days(date(2025, 1, 1), date(2026, 1, 1))
    return calendar.growing_days(first, last) / year if year else 0.0


def trunk_growth(targets: Targets, state: State, garden: Garden) -> Growth | None:
    """When the trunk likely reaches its target; None where no target or no reading is on record."""
    readings = state.readings.get("trunk")
    if targets.trunk is None or not readings:
        return None
    return Growth(readings[-1].value, targets.trunk.to, _outlook(targets.trunk.to, state, garden))


def _outlook(target_mm: float, state: State, garden: Garden) -> Reach | NoReach:
    points = points_of(state, garden)
    if not points:
        return NoReach(Unreached.NONE_SINCE_CHANGE)
    return reach(points, target_mm, seasons_between(garden.site.calendar, points[0].day, points[-1].day))
