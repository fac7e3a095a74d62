"""Jobs of a rule that come once a season: the season whose turn it is, and what speaks against the work."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from ...horticulture.work import Row, Work
from ...season.reasons import Reason
from ..model import Context, Job, Refusal, Status, job_in, refusal
from ..restrictions import forbidden, part_left
from ..seasons_due import DONE_SLACK_DAYS, NEAR_DAYS
from ..windows import Answer, Span


def once_a_season(
    context: Context, work: Work, row: Row, answer_in: Callable[[int], Answer], *more: Reason
) -> list[Job | Refusal]:
    """The next window of a work that was not yet done for it; a refusal where it is near and forbidden; else nothing."""
    last, today = context.state.last(work.name), context.today
    now = context.calendar.season_of(today)
    for season in (now - 1, now, now + 1):
        answer = answer_in(season)
        if not isinstance(answer, Span) or answer.closes < today:
            continue
        if last is not None and last.date.latest >= answer.opens - timedelta(days=DONE_SLACK_DAYS):
            continue
        left = part_left(context, work, answer)
        against = forbidden(context, work, row, answer, season)
        if against or isinstance(left, Reason):
            against += [left] if isinstance(left, Reason) else []
            return [refusal(context, work, against)] if answer.opens <= today + timedelta(days=NEAR_DAYS) else []
        status = Status.NOW if left.opens <= today else Status.AHEAD
        reasons = (*left.how, *more)
        return [job_in(context, work, row, left, status, reasons, caution=work.caution, optional=row.optional)]
    return []
