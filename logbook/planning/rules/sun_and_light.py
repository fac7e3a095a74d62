"""Shade in the heat of summer."""

from __future__ import annotations

from datetime import timedelta

from ...horticulture.work import Row, Work
from ..model import Context, Job, Refusal
from ..windows import Answer
from .pests import hot_days
from .registry import job_rule
from .turn_of_year import once_a_season

HALF_YEAR = timedelta(days=181)


@job_rule("summer shade")
def summer_shade(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """From the first to the last day whose mean maximum reaches what its kind is shaded from; nothing where it is not."""
    heat = context.knowledge.shade_above(context.group.name, context.tree.species)
    if heat is None:
        return []

    def answer_in(season: int) -> Answer:
        summer = context.calendar.midsummer(season)
        return hot_days(context.site, heat, summer - HALF_YEAR, summer + HALF_YEAR)

    return once_a_season(context, work, row, answer_in)
