"""A work done in several turns that are one: after the first, the next stands on the page until the round is over."""

from __future__ import annotations

from datetime import date, timedelta

from ..collection.model import Entry
from ..horticulture.work import Row, Turns, Work
from ..season.reasons import because
from .conditions import conditions_of
from .grounds import ByState
from .model import Context, Job, Status, job_in
from .restrictions import part_left, standing
from .seasons_due import answer_of
from .windows import Span


def further_turn(context: Context, work: Work, row: Row) -> Job | None:
    """The next turn of a round that was begun; nothing where it is over, the tree is let be, or too little season is left."""
    if work.turns is None or standing(context, work, row):
        return None
    done = _round(context, work, work.turns)
    if not done:
        return None
    opens = done[-1].date.latest + timedelta(days=work.turns.apart)
    closes = min(done[0].date.latest + timedelta(days=work.turns.within), _season_closes(context, row))
    if max(opens, context.today) > closes:
        return None
    left = part_left(context, work, Span(opens, opens, closes, 0))
    if not isinstance(left, Span):
        return None
    status = Status.NOW if left.opens <= context.today else Status.AHEAD
    rate_first, more = conditions_of(context, work, row, left.opens)
    conditions = (because(ByState.IF_IN_TURNS, when=done[-1].date), *more)
    return job_in(
        context,
        work,
        row,
        left,
        status,
        left.how,
        conditions=conditions,
        optional=True,
        caution=work.caution,
        rate_first=rate_first,
    )


def _round(context: Context, work: Work, turns: Turns) -> list[Entry]:
    """The turns of the round that is not over yet, the first first."""
    begun = context.today - timedelta(days=turns.within)
    found = [e for e in context.state.entries if e.work == work.name and begun <= e.date.latest <= context.today]
    return [e for e in found if e.date.is_day]


def _season_closes(context: Context, row: Row) -> date:
    """The day after which this season is too short for the work; a round that was begun is let go on without dates."""
    answer = answer_of(context, row, context.calendar.season_of(context.today))
    return answer.closes if isinstance(answer, Span) else date.max
