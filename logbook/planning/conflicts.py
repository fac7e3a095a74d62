"""Choosing among jobs: one hard work at a time, the grower's own intentions among them, and the order they stand in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ..collection.dates import on_day
from ..collection.model import Entry, Intention
from ..season.reasons import Reason, because
from .grounds import ByInterval, ByLog, ByRule
from .model import INTENTION, Context, Job, Refusal, Status
from .restrictions import forbidden, hard_limits, is_hard
from .seasons_due import NEAR_DAYS
from .windows import Span

BEFORE_DEADLINE_DAYS = 182


def one_hard_work_at_a_time(context: Context, jobs: list[Job]) -> tuple[list[Job], list[Refusal]]:
    """Of hard works that would exclude one another, the one that was meant, is overdue or comes earlier stays; the others say which comes first."""
    hard = [j for j in jobs if j.opens and j.best and j.closes and j.record is not None and is_hard(j.record)]
    kept: list[Job] = []
    refusals: list[Refusal] = []
    dropped: set[int] = set()
    for job in sorted(hard, key=_first_choice):
        against = next((first for first in kept if _excludes(context, first, job)), None)
        if against is None:
            kept.append(job)
            continue
        dropped.add(id(job))
        if job.opens and against.best and job.opens <= context.today + timedelta(days=NEAR_DAYS):
            why = because(ByRule.COMES_FIRST, work=against.work, day=against.best)
            reasons = (because(ByRule.TOO_MUCH_TOGETHER), *job.reasons)
            refusals.append(Refusal(context.tree.tag, job.work, why, reasons))
    return [j for j in jobs if id(j) not in dropped], refusals


def _first_choice(job: Job) -> tuple[bool, bool, bool, date]:
    """What was meant first, then what is open or was missed, then what has to be before what may be."""
    waiting = job.status not in (Status.NOW, Status.OVERDUE) and not was_missed(job)
    return (not job.own, waiting, job.optional, job.opens or date.max)


def was_missed(job: Job) -> bool:
    """Whether its window went by before, and this is the next chance."""
    return any(reason.code is ByInterval.DUE_SINCE for reason in job.reasons)


def _excludes(context: Context, first: Job, job: Job) -> bool:
    """Whether doing `first` at its best day would forbid `job` in its window, or the other way round."""
    one, other = (first, job) if first.best <= job.best else (job, first)  # type: ignore[operator]
    work = other.record
    row = context.knowledge.row_for(work, context.group.name, context.tree.species) if work else None
    if (
        work is None
        or row is None
        or one.best is None
        or other.best is None
        or other.opens is None
        or other.closes is None
    ):
        return False
    done = Entry(date=on_day(one.best), work=one.work)
    after = replace(context, state=replace(context.state, entries=(*context.state.entries, done)))
    span = Span(other.opens, other.best, other.closes, other.band, ())
    season = context.calendar.season_of(other.best)
    return bool(forbidden(after, work, row, span, season)) or bool(
        hard_limits(after, after.state.entries, span, season)
    )


def urgency(job: Job, today: date) -> tuple[object, ...]:
    """Open windows by how soon they close, then those ahead by how soon they open; dateless last."""
    far = date.max
    if job.opens is None:
        return (2, job.optional, far, job.work)
    if job.opens <= today:
        return (0, False, job.closes or far, job.work)
    return (1, False, job.opens, job.work)


def with_own_words(context: Context, jobs: list[Job]) -> list[Job]:
    """The grower's own intentions among the jobs: an intended work that is due anyway keeps its dates and takes the words."""
    jobs = list(jobs)
    for said, intention in context.state.intentions:
        if not intention.by and not intention.work:
            continue  # a thought to keep in mind; the sheet prints it, but there is nothing to tick
        reason = because(ByLog.MEANT, when=said, what=intention.what)
        same = next((i for i, job in enumerate(jobs) if intention.work and job.work == intention.work), None)
        if same is None:
            jobs.append(_own_job(context, intention, reason))
        else:
            jobs[same] = replace(
                jobs[same], own=intention.what, by=intention.by, reasons=(*jobs[same].reasons, reason), optional=False
            )
    return jobs


def _own_job(context: Context, intention: Intention, reason: Reason) -> Job:
    when = intention.by
    opens = max(when.earliest - timedelta(days=BEFORE_DEADLINE_DAYS), context.today) if when else None
    closes = max(when.latest, context.today) if when else None
    status = Status.BY_SIGN
    if when:
        late = when.latest < context.today
        status = Status.OVERDUE if late else Status.NOW if opens == context.today else Status.AHEAD
    return Job(
        context.tree.tag,
        intention.work or INTENTION,
        "",
        "",
        status,
        opens,
        opens,
        closes,
        0,
        branches=intention.branches,
        reasons=(reason,),
        own=intention.what,
        by=when,
        since=when.latest if when and when.latest < context.today else None,
        record=context.knowledge.works.get(intention.work),
    )
