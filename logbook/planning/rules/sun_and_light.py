"""Shade in the heat of summer, and the way back into the light after a winter under cover."""

from __future__ import annotations

from datetime import timedelta

from ...horticulture.window_syntax import MarkName
from ...horticulture.work import Row, Work
from ...season.mark import Absent
from ...season.reasons import because
from ..grounds import ByMark
from ..model import Context, Job, Refusal
from ..windows import Answer, NoSpan, Span
from .pests import hot_days
from .registry import RuleContext, job_rule, season_rule
from .turn_of_year import once_a_season
from .upkeep import shelter
from .warmth import active_growth

HALF_YEAR = timedelta(days=181)


@job_rule("summer shade")
def summer_shade(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """From the first to the last day whose mean maximum reaches what its kind is shaded from; nothing where it is not."""
    heat = context.knowledge.shade_above(context.group.name, context.tree.species)
    if heat is None:
        return []

    def answer_in(season: int) -> Answer:
        summer = context.calendar.midsummer(season)
        return hot_days(context.site.climate, heat, summer - HALF_YEAR, summer + HALF_YEAR)

    return once_a_season(context, work, row, answer_in)


@season_rule("hardening off", of_the_tree=True)
def hardening_off(context: RuleContext) -> Answer:
    """Out again after the winter, for groups that are sheltered here: as buds move, or as warm nights return."""
    indoors = shelter(context)
    if isinstance(indoors, NoSpan):
        return NoSpan(indoors.why)
    swell, frost = context.mark(MarkName.SWELL), context.mark(MarkName.LAST_FROST_10)
    if isinstance(swell, Absent):
        warm = active_growth(context)
        if isinstance(warm, NoSpan):
            return warm
        best, closes = (min(warm.opens + timedelta(days=n), warm.closes) for n in (7, 21))
        return Span(warm.opens, best, closes, warm.band, warm.how)
    closes = swell.day + timedelta(days=14)
    if not isinstance(frost, Absent):
        closes = max(closes, frost.day)
    how = because(ByMark.FROM_SWELL, day=swell.day)
    return Span(swell.day - timedelta(days=14), swell.day, closes, swell.band, (how,))
