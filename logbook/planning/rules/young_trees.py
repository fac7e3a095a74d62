"""Jobs of seedlings: potting on, and the care of their first years; a tree whose stage is not known is none."""

from __future__ import annotations

from datetime import timedelta

from ...horticulture.work import Row, Work
from ..model import Context, Job, Refusal, Status, job_in
from ..windows import Answer, Span, window_span
from .registry import Closes, answer_of_rule, job_rule, rule_context
from .turn_of_year import once_a_season
from .upkeep import growing_season

SEEDLING = "seedling"
AGAIN_DAYS = 28


@job_rule("seedlings", closes=Closes.WITH_ROW)
def potting_on(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """A seedling in the window of its row, or in active growth where it has no marks."""

    def answer_in(season: int) -> Answer:
        if row.window is None:
            return answer_of_rule(row.also_rule, rule_context(context, season))
        return window_span(context.site, context.group.name, row.window, season, context.who)

    return once_a_season(context, work, row, answer_in) if context.state.stage == SEEDLING else []


@job_rule("seedlings in growth")
def seedling_care(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """As long as a seedling grows; looked at again four weeks after the last time."""
    if context.state.stage != SEEDLING:
        return []
    last, today = context.state.last(work.name), context.today
    again = last.date.latest + timedelta(days=AGAIN_DAYS) if last else today
    now = context.calendar.season_of(today)
    for season in (now - 1, now, now + 1):
        found = growing_season(rule_context(context, season))
        if isinstance(found, Span) and found.closes >= max(today, again):
            opens = max(found.opens, again)
            status = Status.NOW if opens <= today else Status.AHEAD
            span = Span(opens, opens, found.closes, found.band)
            return [job_in(context, work, row, span, status, found.how)]
    return []
