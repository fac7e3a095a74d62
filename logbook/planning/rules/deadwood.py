"""Deadwood is looked after once a year where a tree has some, or where the grower means to."""

from __future__ import annotations

from ...horticulture.work import Row, Work
from ..model import Context, Job, Refusal
from ..windows import Answer, window_span
from .registry import Closes, job_rule
from .turn_of_year import once_a_season

DEADWOOD = "deadwood"
MADE = "deadwood made"


@job_rule("deadwood care", closes=Closes.WITH_ROW)
def deadwood_care(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """In the window of its row, where a branch is deadwood, some was made, or the work is meant."""
    state, window = context.state, row.window
    branches = any(b.role == DEADWOOD and b.id not in state.removed for b in context.tree.branches)
    meant = any(intention.work == work.name for _, intention in state.intentions)
    made = state.last(MADE) or state.last(work.name)
    if window is None or not (branches or meant or made):
        return []

    def answer_in(season: int) -> Answer:
        return window_span(context.site, context.group.name, window, season, context.who)

    return once_a_season(context, work, row, answer_in)
