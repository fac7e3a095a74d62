"""Jobs about roots out of their season: a first look where no repotting is on record, and help where the roots ail."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ...horticulture.work import POT, Row, Work
from ...season.reasons import Reason, because
from ..condition import LIFTED, soonest
from ..grounds import ByLog, ByState
from ..model import Context, Job, Refusal, Status, job_by_sign, job_in
from ..restrictions import held
from ..seasons_due import DONE_SLACK_DAYS, answer_of, first_open_season
from ..windows import Answer, NoSpan, Span
from .registry import Closes, job_rule

LOOKED_DAYS = 300  # a look at the roots holds for the season, where no season can be told


@job_rule("root look")
def root_look(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """With no repotting on record: look at the roots in the repotting window before anything else."""
    found = _potting(context) if context.state.repotted is None else None
    if found is None:
        return []
    potting = found[1]
    last = context.state.last(work.name)
    answer = answer_of(context, potting, first_open_season(context, potting))
    if _new_from_the_ground(context, found[0], context.today if isinstance(answer, NoSpan) else answer.best):
        return []
    reason = because(ByLog.NO_POTTING)
    conditions = (_then(context, *found, answer),)
    if isinstance(answer, NoSpan):
        if last is not None and last.date.latest > context.today - timedelta(days=LOOKED_DAYS):
            return []
        return [job_by_sign(context, work, row, (reason, answer.why), conditions=conditions)]
    if last is not None and last.date.latest >= answer.opens - timedelta(days=DONE_SLACK_DAYS):
        return []
    status = Status.NOW if answer.opens <= context.today else Status.AHEAD
    return [job_in(context, work, row, answer, status, (reason, *answer.how), conditions=conditions)]


def _new_from_the_ground(context: Context, potting: Work, day: date) -> bool:
    """Whether its roots are left to hold: a ball that is lifted to be looked at tears the first new ones."""
    block = soonest(context.blocks, potting, day)
    return context.lifting is not None and block is not None and LIFTED in block.work.acts


def _potting(context: Context) -> tuple[Work, Row] | None:
    """The work whose interval counts from the last pot, with its row."""
    return next(((work, row) for work, row in context.kin.rows if work.counts_from == POT), None)


def _then(context: Context, potting: Work, row: Row, answer: Answer) -> Reason:
    """What may follow the look: potting where roots fill the pot, and nothing where the tree must not be potted."""
    against = next(iter(held(context, potting)), None)
    block = soonest(context.blocks, potting, context.today if isinstance(answer, NoSpan) else answer.best)
    why = against or (block.reason if block else None)
    return because(ByState.LOOK_ONLY, why=why) if why else because(ByState.POT_IF_ROOTS_FILL, sign=row.sign)


@job_rule("roots in trouble", closes=Closes.NEVER)
def emergency(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """Roots or pot in trouble: at any time, whatever the tree's strength."""
    state, today = context.state, context.today
    if not state.roots_ail:
        return []
    said = next(e for e in reversed(state.entries) if e.trouble == state.trouble)
    reasons = (because(ByLog.TROUBLE, when=said.date, what=said.trouble),)
    frost, feeding = context.knowledge.weeks_after(work)
    conditions = (because(ByState.AFTERCARE, frost=frost, feeding=feeding),)
    job = job_in(context, work, row, Span(today, today, today, 0), Status.NOW, reasons, conditions=conditions)
    return [replace(job, closes=None, caution=work.caution)]
