"""The grower's own intentions among the jobs: in the window of their work, and refused where the tree can't bear them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import TypeGuard

from ..collection.dates import When
from ..collection.model import Intention
from ..horticulture.work import Kind, Row, Work
from ..season.reasons import Reason, because
from .condition import soonest
from .conditions import conditions_of
from .grounds import ByLog, ByRule, ByState
from .model import INTENTION, Context, Job, Refusal, Status, job_by_sign, job_in
from .restrictions import forbidden, held, part_left
from .rules.registry import job_rule_of
from .seasons_due import answer_of
from .tree_state import was_silent_on
from .windows import Answer, NoSpan, Span

BEFORE_DEADLINE_DAYS = 182


def with_own_words(context: Context, jobs: list[Job], refused: Sequence[Refusal]) -> tuple[list[Job], list[Refusal]]:
    """The jobs with what was meant among them: a work that is due anyway keeps its dates and takes the words.

    What the tree can't bear, or what its kind must never get, is refused even where it was meant.
    """
    jobs, denied = list(jobs), list[Refusal]()
    for said, intention in context.state.intentions:
        if not intention.by and not intention.work:
            continue  # a thought to keep in mind; the sheet prints it, but there is nothing to tick
        reason = because(ByLog.MEANT, when=said, what=intention.what)
        same = _place_of_work(jobs, intention.work)
        if same is not None:
            jobs[same] = replace(
                jobs[same], own=intention.what, by=intention.by, reasons=(*jobs[same].reasons, reason), optional=False
            )
            continue
        found = _own(context, intention, reason, refused)
        if isinstance(found, Job):
            jobs.append(found)
        else:
            denied.append(found)
    return jobs, denied


def _place_of_work(jobs: Sequence[Job], work: str) -> int | None:
    return next((place for place, job in enumerate(jobs) if work and job.work == work), None)


def _own(context: Context, intention: Intention, reason: Reason, refused: Sequence[Refusal]) -> Job | Refusal:
    """What was meant as a job of its own, or why it must not be done."""
    work = context.knowledge.works.get(intention.work)
    if work is None:
        return _by_its_date(context, intention, reason)
    against = _speaks_against(context, intention, work, refused)
    if against is not None:
        return Refusal(context.tree.tag, work.name, against, (against, reason))
    row = context.knowledge.row_for(work, context.group.name, context.tree.species)
    if row is None:
        if work.rows and not work.is_exempt and work.kind is not Kind.CARE:
            never = because(ByState.NOT_OF_GROUP, work=work.name, group=context.tree.species or context.group.name)
            return Refusal(context.tree.tag, work.name, never, (never, reason))
        return _by_its_date(context, intention, reason)
    return _in_its_window(context, intention, reason, work, row)


def _in_its_window(context: Context, intention: Intention, reason: Reason, work: Work, row: Row) -> Job | Refusal:
    """The next window of the work that the meant day does not come after; by its signs where it has none."""
    if job_rule_of(row.rule) is not None:
        return _by_its_date(context, intention, reason)
    found = _next_span(context, row, intention.by)
    if isinstance(found, Reason):
        return Refusal(context.tree.tag, work.name, found, (found, reason))
    if found is None:
        rate_first, conditions = conditions_of(context, work, row, context.today)
        job = job_by_sign(
            context, work, row, (reason,), conditions=conditions, caution=work.caution, rate_first=rate_first
        )
    else:
        span, season = found
        left = part_left(context, work, span)
        against = forbidden(context, work, row, span, season) or ([] if isinstance(left, Span) else [left])
        if against or not isinstance(left, Span):
            return Refusal(context.tree.tag, work.name, against[0], (*against, reason))
        rate_first, conditions = conditions_of(context, work, row, left.opens)
        status = Status.NOW if left.opens <= context.today else Status.AHEAD
        job = job_in(
            context,
            work,
            row,
            left,
            status,
            (*left.how, reason),
            conditions=conditions,
            caution=work.caution,
            rate_first=rate_first,
        )
    return replace(job, own=intention.what, by=intention.by, branches=intention.branches)


def _next_span(context: Context, row: Row, by: When | None) -> tuple[Span, int] | Reason | None:
    """The first window that is not over on the day from which it was meant, with its season; a reason where there is never one."""
    begins = max(context.today, by.earliest) if by else context.today
    now = context.calendar.season_of(context.today)
    refused: Reason | None = None
    for day in (begins, context.today):
        for season in (now - 1, now, now + 1, now + 2):
            answer = answer_of(context, row, season)
            if _lies_there(answer, day, by):
                return answer, season
            refused = answer.why if isinstance(answer, NoSpan) and answer.refused else refused
    for season in (now, now + 1):
        answer = answer_of(context, row, season)
        if _lies_there(answer, context.today, None):
            return answer, season
    return refused


def _lies_there(answer: Answer, day: date, by: When | None) -> TypeGuard[Span]:
    """Whether a window is open on a day or later, and opens no later than it was meant for."""
    return isinstance(answer, Span) and answer.closes >= day and (by is None or answer.opens <= by.latest)


def _speaks_against(context: Context, intention: Intention, work: Work, refused: Sequence[Refusal]) -> Reason | None:
    """What forbids a meant work up to the day it was meant for."""
    already = next((refusal.why for refusal in refused if refusal.work == work.name), None)
    reasons = held(context, work)
    day = max(context.today, intention.by.latest) if intention.by else context.today
    block = soonest(context.blocks, work, day)
    return (
        next(iter(reasons), None)
        or already
        or (because(ByRule.WAITS_UNTIL, day=block.end, why=block.reason) if block else None)
    )


def _by_its_date(context: Context, intention: Intention, reason: Reason) -> Job:
    """A task in the grower's words alone: due half a year before the day it was meant for."""
    when = intention.by
    opens = max(when.earliest - timedelta(days=BEFORE_DEADLINE_DAYS), context.today) if when else None
    closes = max(when.latest, context.today) if when else None
    return Job(
        context.tree.tag,
        intention.work or INTENTION,
        "",
        "",
        _status(context, when, opens),
        opens,
        opens,
        closes,
        0,
        branches=intention.branches,
        reasons=(reason,),
        own=intention.what,
        by=when,
        since=when.latest if when and _is_late(context, when) else None,
        record=context.knowledge.works.get(intention.work),
    )


def _status(context: Context, when: When | None, opens: date | None) -> Status:
    if when is None:
        return Status.BY_SIGN
    if _is_late(context, when):
        return Status.OVERDUE
    return Status.NOW if when.latest < context.today or opens == context.today else Status.AHEAD


def _is_late(context: Context, when: When) -> bool:
    """Whether the day has passed, and not in a silence of which the grower came back since."""
    return when.latest < context.today and not (context.silent or was_silent_on(context.state, when.latest))
