"""How often each pot wants looking at, month by month: a time to check, never an order to water."""

from __future__ import annotations

from datetime import date, timedelta

from ...formulas.pots import HEAVY_LITRES, holds, surface_mm2
from ...formulas.water import FARTHEST_DAYS, canopy_m2, check_every_days, store_litres
from ...season.climate import day_index
from ...season.site_year import SiteYear
from ...season.solar import hargreaves
from ...values import dataclass
from ..tree_state import State

UNKNOWN_DAYS = 1.0  # a pot nobody measured is looked at daily


@dataclass(frozen=True, slots=True)
class Thirst:
    """Days between looks in the thirstiest part of a span; `how` says what the number rests on."""

    days: float
    how: str
    heavy: bool = False


def thirst_between(state: State, site: SiteYear, first: date, last: date) -> Thirst:
    """For the day of the span with the highest reference evapotranspiration."""
    pot = holds(state.pot) if state.pot else None
    heavy = bool(pot and pot.litres >= HEAVY_LITRES)
    wet, dry = _weighed(state)
    store = store_litres(pot.litres if pot else None, wet, dry)
    crown = state.readings.get("crown", ())
    area = canopy_m2(crown[-1].value if crown else None, surface_mm2(state.pot) if state.pot else None)
    if store is None:
        return Thirst(UNKNOWN_DAYS, "its pot was never measured: look daily", heavy)
    if area is None:
        return Thirst(UNKNOWN_DAYS, "neither its crown nor its pot's opening was measured: look daily", heavy)
    thirstiest = highest_et0_mm(site, first, last)
    if thirstiest is None:
        return Thirst(UNKNOWN_DAYS, "no monthly normals on record: look daily", heavy)
    how = (
        "from its weighing"
        if wet and dry
        else f"from {'about ' if pot and pot.guessed else ''}a pot of {pot.litres:.1f} L"
        if pot
        else ""
    )
    return Thirst(min(check_every_days(store, thirstiest, area), FARTHEST_DAYS), how, heavy)


def highest_et0_mm(site: SiteYear, first: date, last: date) -> float | None:
    """The highest daily reference evapotranspiration of a span by the normals, mm; None without them."""
    where = site.place
    if where is None or site.climate is None:
        return None
    days = (first + timedelta(days=i) for i in range(min((last - first).days, 366) + 1))
    return max(
        hargreaves(
            where.latitude,
            day.timetuple().tm_yday,
            site.climate.tmin[day_index(day)],
            site.climate.tmax[day_index(day)],
        )
        for day in days
    )


def _weighed(state: State) -> tuple[float | None, float | None]:
    """The latest wet and dry weights of the pot it stands in, kg."""
    since = state.repotted.latest if state.repotted else date.min
    wet = dry = None
    for entry in state.entries:
        if entry.weighed and entry.date.latest >= since:
            wet, dry = entry.weighed.get("wet", wet), entry.weighed.get("dry", dry)
    return wet, dry
