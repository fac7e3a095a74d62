"""Jobs about roots out of their season: a first look where no repotting is on record, and help where the roots ail."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from ...horticulture.work import POT, Row, Work
from ...season.reasons import because
from ..grounds import ByLog, ByState
from ..model import Context, Job, Refusal, Status, job_by_sign, job_in
from ..seasons_due import DONE_SLACK_DAYS, answer_of, first_open_season
from ..windows import NoSpan, Span
from .registry import job_rule

LOOKED_DAYS = 300  # a look at the roots holds for the season, where no season can be told


@job_rule("root look")
def root_look(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """With no repotting on record: look at the roots in the repotting window before anything else."""
    if context.state.repotted is not None:
        return []
    potting = _potting_row(context)
    if potting is None:
        return []
    last = context.state.last(work.name)
    answer = answer_of(context, potting, first_open_season(context, potting))
    reason = because(ByLog.NO_POTTING)
    conditions = (because(ByState.POT_IF_ROOTS_FILL, sign=potting.sign),)
    if isinstance(answer, NoSpan):
        if last is not None and last.date.latest > context.today - timedelta(days=LOOKED_DAYS):
            return []
        return [job_by_sign(context, work, row, (reason, answer.why), conditions=conditions)]
    if last is not None and last.date.latest >= answer.opens - timedelta(days=DONE_SLACK_DAYS):
        return []
    status = Status.NOW if answer.opens <= context.today else Status.AHEAD
    return [job_in(context, work, row, answer, status, (reason, *answer.how), conditions=conditions)]


def _potting_row(context: Context) -> Row | None:
    """The row of the work whose interval counts from the last pot."""
    works = (w for w in context.knowledge.works.values() if w.counts_from == POT)
    rows = (context.knowledge.row_for(w, context.group.name, context.tree.species) for w in works)
    return next((row for row in rows if row is not None), None)


@job_rule("roots in trouble")
def emergency(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """Roots or pot in trouble: at any time, whatever the tree's strength."""
    state, today = context.state, context.today
    if not state.roots_ail:
        return []
    said = next(e for e in reversed(state.entries) if e.trouble == state.trouble)
    reasons = (because(ByLog.TROUBLE, when=said.date, what=said.trouble),)
    conditions = (because(ByState.AFTERCARE),)
    job = job_in(context, work, row, Span(today, today, today, 0), Status.NOW, reasons, conditions=conditions)
    return [replace(job, closes=None, caution=work.caution)]
