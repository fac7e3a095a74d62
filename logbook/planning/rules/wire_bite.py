"""How fast wire bites: thickening since it went on, and the days to look at it and to take it off.

Thickening follows degree-days above 10 °C; the yearly amount, the 0.3 and 0.8 mm limits and the weeks are common
practice with no published source (horticulture/groups.yaml).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta

from ...horticulture.knowledge import WireRule
from ...horticulture.window_syntax import MarkName
from ...season.climate import YEAR_DAYS
from ...season.mark import Mark
from ...season.reasons import Reason, because
from ...season.site_year import SiteYear
from ...values import dataclass
from ..grounds import ByRule

BASE = 10.0
LOOK_AT_MM = 0.3
OFF_AT_MM = 0.8
WORTH_COUNTING_DAYS = 42
FARTHEST_DAYS = 800
TINY = 1e-9
SHRINK = 2.0
LEAST_RATIO, MOST_RATIO = 0.3, 3.0


@dataclass(frozen=True, slots=True)
class WireDays:
    """First or next day to look, and the latest to take the wire off; `why` tells what set each."""

    look: date
    look_why: Reason
    off: date | None
    off_why: Reason


def yearly_thickening(group_mm: float, factor: float) -> float:
    """mm a small branch gains in a year in this stage."""
    return group_mm * factor


def wire_days(
    site: SiteYear, rule: WireRule, on: date, looked: date | None, mm_a_year: float, keep: bool
) -> WireDays:
    """When to look at a wire laid `on` that day and last `looked` at, and when it must be off."""
    look, why = _look(site, rule, on, looked, mm_a_year)
    if keep:
        return WireDays(look, why, None, because(ByRule.STAYS_ON))
    off, off_why = _off(site, rule, on, mm_a_year)
    return WireDays(min(look, off), why if look <= off else off_why, off, off_why)


def _look(site: SiteYear, rule: WireRule, on: date, looked: date | None, mm_a_year: float) -> tuple[date, Reason]:
    """The first look: by weeks, or as the branch thickens; the next ones by half the weeks."""
    weeks = rule.first_check_weeks if looked is None else rule.first_check_weeks / 2
    since = on if looked is None else looked
    limit = since + timedelta(days=FARTHEST_DAYS)
    by_weeks = site.calendar.after_growing_days(since, weeks * 7, limit) or since + timedelta(days=365)
    if looked is not None:
        return by_weeks, because(ByRule.WEEKS_LOOKED, weeks=float(weeks))
    biting = _reaching(site, on, LOOK_AT_MM / mm_a_year)
    if biting is not None and biting < by_weeks:
        return biting, because(ByRule.LIKELY_THICKER, mm=LOOK_AT_MM)
    return by_weeks, because(ByRule.WEEKS_ON, weeks=float(weeks))


def _off(site: SiteYear, rule: WireRule, on: date, mm_a_year: float) -> tuple[date, Reason]:
    season = _first_whole_season(site, on) + rule.seasons - 1
    end = site.marks.mark("", MarkName.GROWTH_END, season)
    last = end.day if isinstance(end, Mark) else site.calendar.season_start(season + 1)
    grooved = _reaching(site, on, OFF_AT_MM / mm_a_year)
    if grooved is not None and grooved < last:
        return grooved, because(ByRule.LIKELY_THICKER, mm=OFF_AT_MM)
    return last, because(ByRule.SEASONS_END, seasons=rule.seasons)


def _first_whole_season(site: SiteYear, on: date) -> int:
    """Wire laid as growth ends counts with the season that follows: it has not begun to bite."""
    calendar = site.calendar
    season = calendar.season_of(on)
    left = calendar.growing_days(on, calendar.season_start(season + 1))
    return season if left >= WORTH_COUNTING_DAYS else season + 1


def thickened_mm(site: SiteYear, on: date, until: date, mm_a_year: float) -> float | None:
    """Likely thickening from a day to another, mm; None without normals or warmth."""
    if site.climate is None:
        return None
    year = site.climate.year_sum(BASE)
    return site.climate.sum_between(on, until, BASE) / year * mm_a_year if year > 0 else None


def bite_ratio(likely_mm: float, bite: str) -> float:
    """How much faster the branch thickened than reckoned, as far as one look tells: 1 where it agrees.

    `none` says under 0.3 mm, `starting` between 0.3 and 0.8, `cut` over 0.8.
    """
    low, high = {"none": (0.0, LOOK_AT_MM), "starting": (LOOK_AT_MM, OFF_AT_MM), "cut": (OFF_AT_MM, math.inf)}[bite]
    nearest = min(max(likely_mm, low), high)
    return min(max(nearest / max(likely_mm, 0.02), LEAST_RATIO), MOST_RATIO)


def learned_factor(group_ratios: Sequence[float], tree_ratios: Sequence[float]) -> float:
    """What looks at wire taught about thickening: pooled over the group, then the tree, each shrunk by n/(n + 2)."""
    kin = _shrunk_log(group_ratios)
    own = [math.log(r) - kin for r in tree_ratios]
    return math.exp(kin + (sum(own) / (len(own) + SHRINK) if own else 0.0))


def _shrunk_log(ratios: Sequence[float]) -> float:
    return sum(map(math.log, ratios)) / (len(ratios) + SHRINK) if ratios else 0.0


def _reaching(site: SiteYear, on: date, share: float) -> date | None:
    """The day by which this share of a year's warmth above 10 °C has passed since `on`."""
    if site.climate is None:
        return None
    wanted = share * site.climate.year_sum(BASE)
    if wanted <= 0 or share > 3:
        return None
    return site.climate.day_reaching(on, wanted - TINY, BASE, on + timedelta(days=3 * YEAR_DAYS))
