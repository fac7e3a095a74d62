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
    now = context.calendar.season_of(context.today)
    for season in (now - 1, now, now + 1):
        answer = answer_in(season)
        if isinstance(answer, Span) and not _is_over(context, work, answer):
            return _of_span(context, work, row, answer, season, more)
    return []


def _is_over(context: Context, work: Work, span: Span) -> bool:
    """Whether a window has closed, or its work is done already."""
    last = context.state.last(work.name)
    done = last is not None and last.date.latest >= span.opens - timedelta(days=DONE_SLACK_DAYS)
    return done or span.closes < context.today


def _of_span(
    context: Context, work: Work, row: Row, span: Span, season: int, more: tuple[Reason, ...]
) -> list[Job | Refusal]:
    """The work in its window; where something forbids it, a refusal once the window is near."""
    left = part_left(context, work, span)
    against = forbidden(context, work, row, span, season)
    if isinstance(left, Reason):
        against = [*against, left]
    if against or isinstance(left, Reason):
        near = span.opens <= context.today + timedelta(days=NEAR_DAYS)
        return [refusal(context, work, against)] if near else []
    status = Status.NOW if left.opens <= context.today else Status.AHEAD
    reasons = (*left.how, *more)
    return [job_in(context, work, row, left, status, reasons, caution=work.caution, optional=row.optional)]
